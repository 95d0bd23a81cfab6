#include "fitting/evidence.hpp"

#include "core/date.hpp"
#include "core/nearest.hpp"
#include "valuation/value.hpp"
#include "weight/weigh.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>
#include <variant>

#include <fmt/format.h>

namespace trayworth::fitting {
namespace {

// Which of the model's numbers a stone uses, each with its weight at the likely inputs.
class UsesOf {
public:
    UsesOf(const valuation::Model& model, const Numbers& numbers) : numbers_(numbers) {
        x_.reserve(model.variables.size());
        for (const valuation::Variable& variable : model.variables) {
            x_.push_back(variable.input.value);
        }
        for (const valuation::Term& term : model.terms) {
            take(term);
        }
        // Uses of one input together: two faults alike have one [low, high].
        std::stable_sort(uses_.begin(), uses_.end(),
                         [](const Use& a, const Use& b) { return a.input < b.input; });
    }

    [[nodiscard]] std::vector<Use> uses() && { return std::move(uses_); }

private:
    void take(const valuation::Term& term) {
        const valuation::Coordinate spread = valuation::spread_of(term);
        // A term without an interval has an input of its own, of no width.
        input_ = static_cast<std::uint16_t>(spread.variable ? *spread.variable
                                                            : x_.size() + without_interval_++);
        power_ = term.only ? term.only->share(x_) : 1;
        std::visit([this](const auto& rule) { of(rule); }, term.rule);
    }

    void use(const pricing::Spread& number, double weight, bool mixed = false) {
        const std::optional<std::size_t> index = numbers_.find(number);
        if (weight > 0 && index) {
            uses_.push_back({mixed ? weight : power_ * weight, power_,
                             static_cast<std::uint32_t>(*index), input_, mixed});
        }
    }

    void of(const valuation::PricePerCarat& price) {
        const double other = price.other == nullptr ? 0 : price.between.at(x_);
        cells(*price.grid, price, 1 - other);
        if (price.other != nullptr) {
            cells(*price.other, price, other);
        }
    }

    void cells(const pricing::Grid& grid, const valuation::PricePerCarat& price, double share) {
        const double brightness = price.brightness.at(x_) + price.mapping.at(x_);
        for (const pricing::Grid::Neighbour& near :
             grid.neighbours(price.tone.at(x_), brightness)) {
            if (near.weight > 0) {
                use(*grid.cell(near.row, near.column), share * near.weight);
            }
        }
    }

    void of(const valuation::BetweenWords& words) {
        const double t = words.position.at(x_);
        use(words.first->spread, words.first == words.second ? 1 : 1 - t);
        if (words.first != words.second) {
            use(words.second->spread, t);
        }
    }

    void of(const valuation::Colours& colours) {
        double sum = 0;
        for (const valuation::Colours::Part& part : colours.parts) {
            sum += part.share.at(x_) * std::exp(part.colour->spread.log_middle);
        }
        for (const valuation::Colours::Part& part : colours.parts) {
            use(part.colour->spread,
                part.share.at(x_) * std::exp(part.colour->spread.log_middle) / sum, true);
        }
    }

    void of(const valuation::AlongCurve& along) {
        const pricing::AxisPlace place =
            along.curve->place(along.x.at(x_) / (along.per ? along.per->at(x_) : 1));
        use(along.curve->factors[place.below], 1 - place.weight_above);
        use(along.curve->factors[place.above], place.weight_above);
    }

    const Numbers& numbers_;
    std::vector<double> x_;
    std::vector<Use> uses_;
    std::size_t without_interval_ = 0;
    std::uint16_t input_ = 0;
    double power_ = 1;
};

// Gives each run of uses of one input to `take`.
template<class Take>
void each_input(std::span<const Use> uses, Take take) {
    for (std::size_t begin = 0; begin < uses.size();) {
        std::size_t end = begin + 1;
        while (end < uses.size() && uses[end].input == uses[begin].input) {
            ++end;
        }
        take(uses.subspan(begin, end - begin), begin);
        begin = end;
    }
}

const pricing::Entry*
level_of(const Sale& sale, const pricing::Matrix& matrix, Diagnostics& diagnostics) {
    const pricing::Entry* level = pricing::find(matrix.market_levels, *sale.market_level);
    if (level == nullptr) {
        std::vector<std::string_view> names;
        for (const pricing::Entry& known : matrix.market_levels) {
            names.emplace_back(known.name);
        }
        const std::optional<std::string_view> near = nearest(*sale.market_level, names);
        report(diagnostics, Code::not_priced, "/sale/market_level",
               fmt::format("The matrix has no market level \"{}\".", *sale.market_level),
               near ? fmt::format("Did you mean \"{}\"?", *near)
                    : fmt::format("It has: {}. Use one of them, or add it to /market_levels.",
                                  fmt::join(names, ", ")));
    }
    return level;
}

bool is_in(const Sale& sale, const Currency& currency, Diagnostics& diagnostics) {
    if (*sale.currency == currency.code) {
        return true;
    }
    diagnostics.push_back(
        {Code::currency_differs, Severity::error, "/sale/currency",
         fmt::format("The price is in {} and the matrix in {}.", *sale.currency, currency.code),
         "State the price in the matrix's currency, at the rate of its day."});
    return false;
}

} // namespace

std::optional<Observation> observe(const Stone& stone,
                                   const pricing::Matrix& matrix,
                                   const Numbers& numbers,
                                   Diagnostics& diagnostics) {
    if (!stone.sale || !(stone.sale->price || stone.sale->unsold_at)) {
        report(diagnostics, Code::field_missing, "/sale", "The record has no \"sale\".",
               "Add what the stone sold for, as \"sale\": {\"price\": 250, \"currency\": \"AUD\", "
               "\"date\": \"2026-11-28\", \"market_level\": \"retail\"}.");
        return std::nullopt;
    }
    const Sale& sale = *stone.sale;
    const pricing::Entry* level = level_of(sale, matrix, diagnostics);
    if (!is_in(sale, matrix.currency, diagnostics) || level == nullptr) {
        return std::nullopt;
    }
    const std::optional<valuation::Modelled> modelled = valuation::value_and_model(
        stone, {matrix, *level, 0, 1, valuation::Explain::no}, valuation::Explain::no, diagnostics);
    if (!modelled) {
        return std::nullopt;
    }
    const auto& [value, model] = *modelled;
    Observation found;
    found.log_value = std::log(value.likely);
    found.unsold = !sale.price;
    found.log_price = std::log(sale.price ? *sale.price : *sale.unsold_at);
    found.uses = UsesOf(model, numbers).uses();
    const double by_matrix = variance(found, numbers.spreads(), matrix.coverage_factor);
    found.own_variance = std::max(value.u * value.u - by_matrix, 0.0);

    found.day = *date_from(*sale.date);
    found.days_on_offer = sale.days;
    const auto& price = std::get<valuation::PricePerCarat>(model.terms.front().rule);
    found.grid = static_cast<std::size_t>(price.grid - matrix.grids.data());
    found.tone = *stone.body_tone;
    const Range<double> grade = *stone.brightness->grade;
    found.brightness =
        map_brightness((grade.low + grade.high) / 2,
                       {*stone.brightness->steps, *stone.brightness->brightest}, matrix.brightness);
    found.carats = value.weight.ct.value;
    return found;
}

double log_change(const Observation& sale, std::span<const double> corrections) {
    double change = 0;
    each_input(sale.uses, [&](std::span<const Use> uses, std::size_t) {
        double mean = 0;
        double weights = 0;
        for (const Use& use : uses) {
            if (use.mixed) {
                mean += use.weight * std::exp(corrections[use.number]);
                weights += use.weight;
            } else {
                change += use.weight * corrections[use.number];
            }
        }
        if (weights > 0) {
            change += uses.front().power * std::log(mean / weights);
        }
    });
    return change;
}

void gradient(const Observation& sale,
              std::span<const double> corrections,
              std::vector<double>& weights) {
    weights.clear();
    each_input(sale.uses, [&](std::span<const Use> uses, std::size_t begin) {
        double sum = 0;
        for (const Use& use : uses) {
            weights.push_back(use.mixed ? use.weight * std::exp(corrections[use.number])
                                        : use.weight);
            sum += use.mixed ? weights.back() : 0;
        }
        for (std::size_t i = 0; i < uses.size(); ++i) {
            if (uses[i].mixed) {
                weights[begin + i] *= uses[i].power / sum;
            }
        }
    });
}

double variance(const Observation& sale, std::span<const pricing::Spread> spreads, double k) {
    double sum = sale.own_variance;
    each_input(sale.uses, [&](std::span<const Use> uses, std::size_t) {
        double half = 0;
        double mean = 0;
        double mixed_half = 0;
        for (const Use& use : uses) {
            const pricing::Spread& spread = spreads[use.number];
            if (use.mixed) {
                mean += use.weight;
                mixed_half += use.weight * spread.log_half;
            } else {
                half += use.weight * spread.log_half;
            }
        }
        if (mean > 0) {
            half += uses.front().power * mixed_half / mean;
        }
        sum += half * half / (k * k);
    });
    return sum;
}

} // namespace trayworth::fitting
