#include "valuation/compare.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

namespace trayworth::valuation {
namespace {

// Two sums whose weights differ by no more than this are of the same weights.
constexpr double weight_tolerance = 1e-9;

double log_middle(const CellUsed& cell) {
    return (std::log(cell.low) + std::log(cell.high)) / 2;
}

double log_likely(const std::optional<Reason>& reason) {
    return reason ? std::log(reason->likely) : 0;
}

bool same_mean(const Row& a, const Row& b) {
    return a.arithmetic == b.arithmetic &&
           std::equal(a.cells.begin(), a.cells.end(), b.cells.begin(), b.cells.end(),
                      [](const CellUsed& x, const CellUsed& y) {
                          return x.at == y.at && std::abs(x.weight - y.weight) < weight_tolerance;
                      });
}

// A geometric mean changes by each cell's weight times the change of its logarithm; an arithmetic
// one by the logarithmic mean of what the cell brings to it, likewise. In proportion to these, so
// that the parts add up to the term's own change whatever it was rounded to.
std::vector<CellChange> cell_changes(const Cause& cause) {
    std::vector<CellChange> cells;
    if (!cause.a || !cause.b || !same_mean(cause.a->row, cause.b->row)) {
        return cells;
    }
    double sum = 0;
    for (std::size_t i = 0; i < cause.a->row.cells.size(); ++i) {
        CellChange change{cause.a->row.cells[i], cause.b->row.cells[i], 0};
        const double from = log_middle(change.a);
        const double to = log_middle(change.b);
        const double weight = cause.row().arithmetic
                                  ? change.a.weight * logarithmic_mean(std::exp(from), std::exp(to))
                                  : change.a.weight;
        change.log_change = weight * (to - from);
        sum += change.log_change;
        cells.push_back(std::move(change));
    }
    if (std::abs(sum) < weight_tolerance) { // they cancel out, and have no proportion
        return {};
    }
    for (CellChange& change : cells) {
        change.log_change *= cause.log_change / sum;
    }
    std::erase_if(cells, [](const CellChange& change) { return change.log_change == 0; });
    return cells;
}

// The causes of A's reasons, each with its like among B's, and those that only B has. The terms of
// one factor are told apart by the field that they read; of equal ones the first goes with the
// first.
std::vector<Cause> matched(std::vector<Reason> a, std::vector<Reason> b) {
    std::vector<Cause> causes;
    std::vector<bool> taken(b.size(), false);
    for (Reason& reason : a) {
        Cause cause{reason.row.step, {}, {}, 0, 0, {}};
        for (std::size_t i = 0; i < b.size(); ++i) {
            if (!taken[i] && b[i].row.step == reason.row.step &&
                b[i].row.field == reason.row.field) {
                taken[i] = true;
                cause.b = std::move(b[i]);
                break;
            }
        }
        cause.a = std::move(reason);
        causes.push_back(std::move(cause));
    }
    for (std::size_t i = 0; i < b.size(); ++i) {
        if (!taken[i]) {
            std::string step = b[i].row.step;
            causes.push_back({std::move(step), {}, std::move(b[i]), 0, 0, {}});
        }
    }
    return causes;
}

} // namespace

double logarithmic_mean(double a, double b) {
    // (b - a) / ln(b / a) loses its digits as b nears a: with x = ln(b / a), it is
    // a (exp(x) - 1) / x.
    const double x = std::log(b / a);
    return x == 0 ? a : a * std::expm1(x) / x;
}

Compared compare(const Stone& stone, const Request& a, const Request& b) {
    Compared result;
    result.a = value(stone, a, result.a_diagnostics);
    result.b = value(stone, b, result.b_diagnostics);
    if (!result.a || !result.b) {
        return result;
    }
    const double from = result.a->likely;
    const double to = result.b->likely;
    result.change = to - from;
    result.log_change = std::log(to / from);
    const double mean = logarithmic_mean(from, to);
    result.causes = matched(std::move(result.a->reasons), std::move(result.b->reasons));
    for (Cause& cause : result.causes) {
        cause.log_change = log_likely(cause.b) - log_likely(cause.a);
        cause.change = mean * cause.log_change;
        cause.cells = cell_changes(cause);
    }
    std::erase_if(result.causes, [](const Cause& cause) { return cause.log_change == 0; });
    std::stable_sort(result.causes.begin(), result.causes.end(),
                     [](const Cause& x, const Cause& y) {
                         return std::abs(x.log_change) > std::abs(y.log_change);
                     });
    return result;
}

void ComparedTotal::add(const Compared& comparison) {
    if (!comparison.a || !comparison.b) {
        ++(comparison.a ? only_a : comparison.b ? only_b : neither);
        return;
    }
    ++both;
    a += comparison.a->likely;
    b += comparison.b->likely;
    std::vector<std::string_view> counted;
    for (const Cause& cause : comparison.causes) {
        auto step = std::find_if(steps.begin(), steps.end(),
                                 [&](const StepTotal& known) { return known.step == cause.step; });
        if (step == steps.end()) {
            step = steps.insert(step, StepTotal{cause.step});
        }
        step->change += cause.change;
        if (std::find(counted.begin(), counted.end(), cause.step) == counted.end()) {
            ++step->stones;
            counted.emplace_back(cause.step);
        }
    }
}

void ComparedTotal::sort_steps() {
    std::stable_sort(steps.begin(), steps.end(), [](const StepTotal& x, const StepTotal& y) {
        return std::abs(x.change) > std::abs(y.change);
    });
}

} // namespace trayworth::valuation
