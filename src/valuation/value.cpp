// Symbols as in value.hpp and model.hpp, and
//   u_i = 1/2 |ln V(x_i + u(x_i)) - ln V(x_i - u(x_i))|   contribution of the input x_i
//                                                        JCGM 100:2008, 5.1.3, Note 2
//   u^2 = sum u_i^2                                      independent inputs; 5.1.2
//   limits of an input: the ends of a rectangular one; k standard uncertainties of a normal one
#include "valuation/value.hpp"

#include "valuation/simulate.hpp"

#include <algorithm>
#include <cmath>

namespace trayworth::valuation {
namespace {

constexpr int significant_digits = 7;

// The decimal number of so many digits nearest to x > 0.
double to_significant(double x) {
    const int exponent = significant_digits - 1 - static_cast<int>(std::floor(std::log10(x)));
    const double scale = std::pow(10.0, std::abs(exponent));
    return exponent >= 0 ? std::round(x * scale) / scale : std::round(x / scale) * scale;
}

// The least and greatest an input is taken to be.
Interval limits_of(const Uncertain& input, double k) {
    const double reach =
        input.distribution == Distribution::normal ? k * input.u : input.half_width();
    return {input.value - reach, input.value + reach};
}

// Changes of ln factor as one input moves and the others stay.
struct Effect {
    double least = 0;    // within the input's limits; 0 or less
    double greatest = 0; // 0 or more
    double u = 0;        // signed, of one standard uncertainty
};

class Evaluation {
public:
    Evaluation(const Model& model, double k) : model_(model), k_(k) {
        x_.reserve(model.variables.size());
        for (const Variable& variable : model.variables) {
            x_.push_back(variable.input.value);
        }
        contributions_.resize(x_.size());
        const Uncertain& weight = model.variables.front().input;
        contributions_[0] = std::log((weight.value + weight.u) / (weight.value - weight.u)) / 2;
    }

    // Also adds the row's effects to the contributions of its variables.
    Reason reason(const Row& row) {
        const Term& term = model_.terms[row.term];
        const double middle = log_value(term, x_);
        Reason reason{row};
        if (row.carries_value) {
            reason.likely = to_significant(std::exp(middle));
        }
        double down = 0;
        double up = 0;
        for (const std::size_t i : row.variables) {
            const Effect effect = effect_of(term, middle, i);
            down += effect.least;
            up += effect.greatest;
            contributions_[i] += effect.u;
        }
        reason.low = down == 0 ? reason.likely : to_significant(reason.likely * std::exp(down));
        reason.high = up == 0 ? reason.likely : to_significant(reason.likely * std::exp(up));
        return reason;
    }

    // Largest first; inputs of one source are one line.
    [[nodiscard]] std::vector<BudgetShare> budget() const {
        std::vector<BudgetShare> lines;
        double total = 0;
        for (std::size_t i = 0; i < contributions_.size(); ++i) {
            const double variance = contributions_[i] * contributions_[i];
            total += variance;
            const std::string& source = model_.variables[i].source;
            auto line = std::find_if(lines.begin(), lines.end(), [&](const BudgetShare& known) {
                return known.source == source;
            });
            if (line == lines.end()) {
                line = lines.insert(line, BudgetShare{source});
            }
            line->share += variance; // for now, the variance itself
        }
        std::erase_if(lines, [](const BudgetShare& line) { return line.share == 0; });
        for (BudgetShare& line : lines) {
            line.u = std::sqrt(line.share);
            line.share /= total;
        }
        std::stable_sort(
            lines.begin(), lines.end(),
            [](const BudgetShare& a, const BudgetShare& b) { return a.share > b.share; });
        return lines;
    }

    [[nodiscard]] double combined() const {
        double variance = 0;
        for (const double contribution : contributions_) {
            variance += contribution * contribution;
        }
        return std::sqrt(variance);
    }

private:
    Effect effect_of(const Term& term, double middle, std::size_t i) {
        const Uncertain& input = model_.variables[i].input;
        const auto change = [&](double at) {
            x_[i] = at;
            const double log_factor = log_value(term, x_);
            x_[i] = input.value;
            return log_factor - middle;
        };
        const Interval limits = limits_of(input, k_);
        std::vector<double> places = turning_points(term, x_, i);
        std::erase_if(places, [&](double at) { return at <= limits.low || at >= limits.high; });
        places.insert(places.end(), {limits.low, limits.high});
        Effect effect;
        for (const double at : places) {
            effect.least = std::min(effect.least, change(at));
            effect.greatest = std::max(effect.greatest, change(at));
        }
        effect.u = (change(input.value + input.u) - change(input.value - input.u)) / 2;
        return effect;
    }

    const Model& model_;
    double k_;
    std::vector<double> x_;
    std::vector<double> contributions_;
};

// The linear rule in logarithms asks that a positive input stays well above zero.
bool too_uncertain(const Uncertain& weight, double k) {
    return limits_of(weight, std::max(k, 3.0)).low <= 0;
}

} // namespace

std::optional<Valuation>
value(const Stone& stone, const Request& request, Diagnostics& diagnostics) {
    const pricing::Matrix& matrix = request.matrix;
    const double k = matrix.coverage_factor;
    std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
    if (!weight) {
        require_grading(stone, diagnostics);
        return std::nullopt;
    }
    weight->ct.value = to_significant(weight->ct.value);
    if (too_uncertain(weight->ct, k)) {
        diagnostics.push_back({Code::value_range, Severity::error, "/weight_ct",
                               "The weight is uncertain by a third of itself or more.",
                               "Weigh the stone, or measure it with more decimals."});
        return std::nullopt;
    }
    const std::optional<Model> model = build(stone, *weight, matrix, request.level, diagnostics);
    if (!model) {
        return std::nullopt;
    }

    Valuation result;
    result.nomenclature = name_stone(stone);
    result.weight_limits = limits_of(weight->ct, k);
    result.market_level = request.level.name;
    Evaluation evaluation(*model, k);
    double running = weight->ct.value;
    result.outer = result.weight_limits;
    for (const Row& row : model->rows) {
        Reason reason = evaluation.reason(row);
        running *= reason.likely;
        reason.running = running;
        result.outer.low *= reason.low;
        result.outer.high *= reason.high;
        result.reasons.push_back(std::move(reason));
    }
    result.likely = running;
    result.budget = evaluation.budget();
    result.u = evaluation.combined();
    // Rectangular inputs end where they end, whatever the coverage.
    result.range.low = std::max(running * std::exp(-k * result.u), result.outer.low);
    result.range.high = std::min(running * std::exp(k * result.u), result.outer.high);
    if (request.trials > 0) {
        result.simulation = simulate(*model, matrix.coverage, request.trials, request.seed);
    }
    result.weight = std::move(*weight);
    return result;
}

} // namespace trayworth::valuation
