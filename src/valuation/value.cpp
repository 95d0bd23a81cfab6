// Symbols as in value.hpp and model.hpp, and
//   u_i = 1/2 |ln V(x_i + u(x_i)) - ln V(x_i - u(x_i))|   contribution of the input x_i
//                                                        JCGM 100:2008, 5.1.3, Note 2
//   u^2 = sum u_i^2                                      independent inputs; 5.1.2
//   limits of an input: the ends of a rectangular one; k standard uncertainties of a normal one
#include "valuation/value.hpp"

#include "core/decimal.hpp"
#include "valuation/simulate.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <memory_resource>

namespace trayworth::valuation {
namespace {

// The least and greatest an input is taken to be.
Range<double> limits_of(const Uncertain& input, double k) {
    const double reach =
        input.distribution == Distribution::normal ? k * input.u : input.half_width();
    return {input.value - reach, input.value + reach};
}

class Evaluation {
public:
    Evaluation(const Model& model, double k, std::pmr::memory_resource* memory)
        : model_(model), k_(k), x_(memory), contributions_(memory),
          places_(memory), lowest_{std::pmr::vector<double>(memory)}, highest_{
                                                                          std::pmr::vector<double>(
                                                                              memory)} {
        x_.reserve(model.variables.size());
        for (const Variable& variable : model.variables) {
            x_.push_back(variable.input.value);
        }
        contributions_.resize(x_.size());
        const Uncertain& weight = model.variables.front().input;
        contributions_[0] = std::log((weight.value + weight.u) / (weight.value - weight.u)) / 2;
    }

    // Also adds the line's effects to the contributions of its variables. The lines of a term come
    // one after the other, and each finds the inputs of those before it at their limits: so their
    // product is the term with all its inputs at their limits.
    pricing::Figures figures(const Line& line) {
        const Term& term = model_.terms[line.term];
        const auto inputs = model_.inputs_of(line);
        if (const pricing::Entry* entry = sole_entry(term)) {
            for (const std::size_t i : inputs) { // of an entry alone, the spread
                contributions_[i] += entry->spread.log_half * model_.variables[i].input.u;
            }
            return entry->figures;
        }
        const double middle = line.carries_value ? start(term) : 0;
        double down = 0;
        double up = 0;
        for (const std::size_t i : inputs) {
            const double lowest = lowest_.log_factor;
            const double highest = highest_.log_factor;
            move(term, i);
            down += lowest_.log_factor - lowest;
            up += highest_.log_factor - highest;
            contributions_[i] += contribution(term, i);
        }
        pricing::Figures found;
        found.likely = line.carries_value ? to_significant(std::exp(middle)) : 1;
        found.low = down == 0 ? found.likely : to_significant(std::exp(middle + down));
        found.high = up == 0 ? found.likely : to_significant(std::exp(middle + up));
        return found;
    }

    // Largest first; inputs of one source are one line.
    [[nodiscard]] std::vector<BudgetShare> budget() const {
        std::vector<BudgetShare> lines;
        lines.reserve(contributions_.size());
        double total = 0;
        for (std::size_t i = 0; i < contributions_.size(); ++i) {
            const double variance = contributions_[i] * contributions_[i];
            total += variance;
            const std::string& source = model_.sources[i];
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

    // Of every input that has one.
    [[nodiscard]] std::vector<Effect> effects(const pricing::Matrix& matrix) const {
        std::vector<Effect> all;
        all.reserve(contributions_.size());
        for (std::size_t i = 0; i < contributions_.size(); ++i) {
            if (contributions_[i] != 0) {
                const double common = matrix.common_of(model_.variables[i].kind);
                all.push_back({model_.sources[i], common, contributions_[i]});
            }
        }
        return all;
    }

    [[nodiscard]] double combined() const {
        double variance = 0;
        for (const double contribution : contributions_) {
            variance += contribution * contribution;
        }
        return std::sqrt(variance);
    }

private:
    // The entry that a term is without any straddle.
    static const pricing::Entry* sole_entry(const Term& term) {
        const auto* words = std::get_if<BetweenWords>(&term.rule);
        const bool sole = words != nullptr && words->first == words->second && !term.only;
        return sole ? words->first : nullptr;
    }

    // The inputs at which a term is least or greatest, as far as its lines have come.
    struct Corner {
        std::pmr::vector<double> x;
        double log_factor = 0;
    };

    // At the likely values of all inputs; returns ln f there.
    double start(const Term& term) {
        interval_ = interval(term, x_);
        const double middle = interval_ ? interval_->log_middle : log_value(term, x_);
        z_ = spread_of(term);
        spread_ = interval_ ? z_.variable : std::nullopt;
        together_ = true;
        lowest_.x = x_;
        lowest_.log_factor = middle;
        highest_.x = x_;
        highest_.log_factor = middle;
        return middle;
    }

    // Moves x_i, within its limits, to where the term is least in the one corner and greatest in
    // the other.
    void move(const Term& term, std::size_t i) {
        const Range<double> limits = limits_of(model_.variables[i].input, k_);
        if (i == spread_) { // linear, and the first of the inputs to move
            lowest_.x[i] = limits.low;
            lowest_.log_factor += limits.low * interval_->log_half;
            highest_.x[i] = limits.high;
            highest_.log_factor += limits.high * interval_->log_half;
            return;
        }
        places_.clear();
        add_turning_points(term, lowest_.x, i, limits, places_);
        if (!together_) {
            add_turning_points(term, highest_.x, i, limits, places_);
        }
        places_.push_back(limits.low);
        places_.push_back(limits.high);
        Range<double> best{lowest_.x[i], highest_.x[i]};
        for (const double place : places_) {
            lowest_.x[i] = highest_.x[i] = place;
            const Range<double> found = log_factors(term);
            if (found.low < lowest_.log_factor) {
                lowest_.log_factor = found.low;
                best.low = place;
            }
            if (found.high > highest_.log_factor) {
                highest_.log_factor = found.high;
                best.high = place;
            }
        }
        lowest_.x[i] = best.low;
        highest_.x[i] = best.high;
        together_ = together_ && best.is_point();
    }

    // In both corners. Where they differ in z alone, the matrix is read once.
    Range<double> log_factors(const Term& term) const {
        if (!together_) {
            return {log_value(term, lowest_.x), log_value(term, highest_.x)};
        }
        if (interval_) {
            const pricing::Spread spread = *interval(term, lowest_.x);
            return {spread.at(z_.at(lowest_.x)), spread.at(z_.at(highest_.x))};
        }
        const double both = log_value(term, lowest_.x);
        return {both, both};
    }

    double contribution(const Term& term, std::size_t i) {
        const Uncertain& input = model_.variables[i].input;
        if (i == spread_) {
            return interval_->log_half * input.u;
        }
        x_[i] = input.value + input.u;
        const double above = log_value(term, x_);
        x_[i] = input.value - input.u;
        const double below = log_value(term, x_);
        x_[i] = input.value;
        return (above - below) / 2;
    }

    const Model& model_;
    double k_;
    std::pmr::vector<double> x_; // the likely values
    std::pmr::vector<double> contributions_;
    std::pmr::vector<double> places_; // of turning points, kept for its memory
    // Of the term at hand:
    std::optional<pricing::Spread> interval_; // at the likely values, where ln f is linear in z
    Coordinate z_;
    std::optional<std::size_t> spread_; // that z, where it is uncertain
    bool together_ = true;              // whether the corners differ in z alone
    Corner lowest_;
    Corner highest_;
};

// The linear rule in logarithms asks that a positive input stays well above zero.
bool too_uncertain(const Uncertain& weight, double k) {
    return limits_of(weight, std::max(k, 3.0)).low <= 0;
}

// Beyond, minor units are not exact, or nothing is left of the value.
bool is_amount(double value) {
    return value >= 1 / largest_amount && value <= largest_amount;
}

void warn_of_cost(const Stone& stone, const pricing::Matrix& matrix, Diagnostics& diagnostics) {
    if (stone.cost && stone.cost->currency && *stone.cost->currency != matrix.currency.code) {
        diagnostics.push_back({Code::currency_differs, Severity::warning, "/cost/currency",
                               "The cost is in " + *stone.cost->currency + " and the value in " +
                                   matrix.currency.code + ", so the two are not compared.",
                               "State the cost in the currency of the value."});
    }
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
    // Most models fit in here, and then a valuation allocates nothing but what it returns.
    std::array<std::byte, 16384> store; // NOLINT(*-member-init): only what is written is read
    std::pmr::monotonic_buffer_resource memory(store.data(), store.size());
    const bool explain = request.explain == Explain::yes;
    std::optional<Model> model =
        build(stone, *weight, matrix, request.level, request.explain, diagnostics, &memory);
    if (!model) {
        return std::nullopt;
    }
    warn_of_cost(stone, matrix, diagnostics);

    Valuation result;
    result.nomenclature = name_stone(stone);
    const Range<double> limits = limits_of(weight->ct, k);
    result.weight_limits = {to_significant(limits.low), to_significant(limits.high)};
    result.market_level = request.level.name;
    Evaluation evaluation(*model, k, &memory);
    double running = weight->ct.value;
    result.outer = result.weight_limits;
    bool reckonable = true;
    result.reasons.reserve(model->rows.size());
    for (std::size_t i = 0; i < model->lines.size(); ++i) {
        const pricing::Figures figures = evaluation.figures(model->lines[i]);
        running *= figures.likely;
        result.outer.low *= figures.low;
        result.outer.high *= figures.high;
        reckonable = reckonable && is_amount(result.outer.low) && is_amount(result.outer.high);
        if (explain) {
            result.reasons.push_back(
                {std::move(model->rows[i]), figures.low, figures.likely, figures.high, running,
                 i + 1 < model->lines.size() ? matrix.price_currency() : matrix.currency});
        }
    }
    if (!reckonable) {
        diagnostics.push_back({Code::value_range, Severity::error, "/weight_ct",
                               "The weight times the matrix's prices and factors comes to amounts "
                               "below 1e-12 or above 1e+12, which are not reckoned with.",
                               "Correct the weight, or the prices and factors of the matrix."});
        return std::nullopt;
    }
    result.likely = running;
    if (explain) {
        result.budget = evaluation.budget();
        result.effects = evaluation.effects(matrix);
    }
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

std::optional<Modelled> value_and_model(const Stone& stone,
                                        const Request& request,
                                        Explain model,
                                        Diagnostics& diagnostics) {
    std::optional<Valuation> valuation = value(stone, request, diagnostics);
    if (!valuation) {
        return std::nullopt;
    }
    Diagnostics said_already;
    std::optional<Model> behind =
        build(stone, valuation->weight, request.matrix, request.level, model, said_already);
    return Modelled{std::move(*valuation), std::move(*behind)};
}

} // namespace trayworth::valuation
