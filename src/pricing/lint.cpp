#include "pricing/lint.hpp"

#include "core/decimal.hpp"
#include "core/robust.hpp"
#include "pricing/lint_parts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

namespace trayworth::pricing {
namespace {

// ---- market levels

void lint_levels(const Matrix& matrix, Diagnostics& found) {
    for (std::size_t i = 1; i < matrix.market_levels.size(); ++i) {
        const Entry& lower = matrix.market_levels[i - 1];
        const Entry& higher = matrix.market_levels[i];
        if (likely(higher.spread) < likely(lower.spread)) {
            report(found, Code::level_order, "/market_levels/" + pointer_token(higher.name),
                   fmt::format("The level \"{}\" stands after \"{}\" and is below it: likely {} "
                               "against {}.",
                               higher.name, lower.name, likely(higher.spread),
                               likely(lower.spread)),
                   "List the levels from the lowest to the highest, or correct the multiple.");
        }
    }
}

// ---- rounding

double cheapest(const Matrix& matrix) {
    double least = std::numeric_limits<double>::infinity();
    for (const Grid& grid : matrix.grids) {
        for (const std::optional<Spread>& cell : grid.cells) {
            least = cell ? std::min(least, likely(*cell)) : least;
        }
    }
    return least;
}

void lint_rounding(const Matrix& matrix, Diagnostics& found) {
    const double unit = std::pow(10.0, -matrix.currency.minor_digits);
    const double least = cheapest(matrix);
    for (std::size_t i = 0; i < matrix.rounding.size(); ++i) {
        const RoundingStep& step = matrix.rounding[i];
        const std::string at = fmt::format("/rounding/{}/to_nearest", i);
        if (i > 0 && step.to_nearest < matrix.rounding[i - 1].to_nearest) {
            report(
                found, Code::rounding_order, at,
                fmt::format("From {} on, prices are rounded to the nearest {}, finer than the {} "
                            "below.",
                            step.from, step.to_nearest, matrix.rounding[i - 1].to_nearest),
                "Let the steps grow with the price.");
        }
        if (i == 0 ? step.to_nearest / 2 > least
                   : step.to_nearest / 2 > limits::coarsest_rounding * step.from) {
            report(found, Code::rounding_coarse, at,
                   i == 0
                       ? fmt::format("Prices are rounded to the nearest {}, and a carat is likely "
                                     "{} in the cheapest cell: it is printed as nothing.",
                                     step.to_nearest, least)
                       : fmt::format("From {} on, prices are rounded to the nearest {}: up to "
                                     "{:.0f} % of the price.",
                                     step.from, step.to_nearest, 50 * step.to_nearest / step.from),
                   "Make the step finer.");
        }
        if (step.to_nearest < unit) {
            report(found, Code::rounding_fine, at,
                   fmt::format("{} is finer than the smallest unit of {}, {}.", step.to_nearest,
                               matrix.currency.code, unit),
                   fmt::format("Write {} or more.", unit));
        }
    }
}

// ---- what is accepted

bool covers(const Acceptance& acceptance, const Diagnostic& diagnostic) {
    const std::string& at = acceptance.at;
    return acceptance.code == diagnostic.code && diagnostic.pointer.starts_with(at) &&
           (diagnostic.pointer.size() == at.size() || diagnostic.pointer[at.size()] == '/');
}

void leave_out_accepted(const Matrix& matrix, Diagnostics& found) {
    std::vector<bool> used(matrix.accepted.size());
    std::erase_if(found, [&](const Diagnostic& diagnostic) {
        bool accepted = false;
        for (std::size_t i = 0; i < matrix.accepted.size(); ++i) {
            if (covers(matrix.accepted[i], diagnostic)) {
                used[i] = true;
                accepted = true;
            }
        }
        return accepted;
    });
    for (std::size_t i = 0; i < matrix.accepted.size(); ++i) {
        if (!used[i]) {
            report(found, Code::acceptance_unused, matrix.accepted[i].pointer,
                   fmt::format("There is no {} at {} to be accepted.",
                               name_of(matrix.accepted[i].code), matrix.accepted[i].at),
                   "Take it out, or correct its \"at\".");
        }
    }
}

} // namespace

bool is_lint_code(Code code) {
    return code >= Code::grid_gap && code <= Code::rounding_fine;
}

Diagnostics lint(const Matrix& matrix) {
    Diagnostics found;
    lint_levels(matrix, found);
    lint_grids(matrix, found);
    lint_factors(matrix, found);
    lint_rounding(matrix, found);
    leave_out_accepted(matrix, found);
    return found;
}

// ---- lint_parts.hpp

double likely(const Spread& spread) {
    constexpr int digits = 4;
    return to_significant(std::exp(spread.log_middle), digits);
}

std::vector<OutOfLine> out_of_line(const std::vector<double>& x, const std::vector<double>& y) {
    if (x.size() < 3) {
        return {};
    }
    std::vector<double> residuals; // of the points between the ends
    for (std::size_t i = 1; i + 1 < x.size(); ++i) {
        const double weight = (x[i] - x[i - 1]) / (x[i + 1] - x[i - 1]);
        residuals.push_back(y[i] - ((1 - weight) * y[i - 1] + weight * y[i + 1]));
    }
    const bool enough = residuals.size() >= limits::fewest_between_ends;
    const double usual = limits::deviations * robust_deviation(residuals);
    std::vector<OutOfLine> found;
    for (std::size_t i = 0; i < residuals.size(); ++i) {
        const double off = std::abs(residuals[i]);
        // A wrong point moves what is expected of its neighbours, by less than it is off itself.
        const bool worst = (i == 0 || off >= std::abs(residuals[i - 1])) &&
                           (i + 1 == residuals.size() || off >= std::abs(residuals[i + 1]));
        const bool large = off > std::log(limits::certain_jump) ||
                           (enough && off > std::log(limits::least_jump) && off > usual);
        if (worst && large) {
            found.push_back({i + 1, y[i + 1] - residuals[i]});
        }
    }
    return found;
}

std::string times_off(double y, double expected) {
    constexpr int digits = 2;
    return fmt::format("{} times {}", to_significant(std::exp(std::abs(y - expected)), digits),
                       y > expected ? "dearer" : "cheaper");
}

bool is_priced(const Matrix& matrix, StoneType type, Transparency transparency) {
    return matrix.grid_for(type, transparency) != nullptr;
}

} // namespace trayworth::pricing
