// Relative luminance and contrast: WCAG 2.2, definitions (from memory).
#include "output/matrix_parts.hpp"

#include "core/decimal.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

template<class Enum, std::size_t N>
std::vector<std::string_view> words_of(std::uint8_t mask, const std::array<Named<Enum>, N>& all) {
    std::vector<std::string_view> words;
    for (std::size_t i = 0; i < N; ++i) {
        if ((mask >> i & 1U) != 0) {
            words.push_back(all[i].name);
        }
    }
    return words.size() == N ? std::vector<std::string_view>{} : words;
}

std::string field_words(const pricing::Factor& factor) {
    if (const auto* category = std::get_if<pricing::Category>(&factor.rule)) {
        return std::string(pricing::word_field_pointers[static_cast<std::size_t>(category->field)]);
    }
    const auto pointer_of = [](pricing::NumberField field) {
        return pricing::number_field_pointers[static_cast<std::size_t>(field)];
    };
    if (const auto* curve = std::get_if<pricing::Curve>(&factor.rule)) {
        return fmt::format("{}{}{}", pointer_of(curve->field), curve->per ? " over " : "",
                           curve->per ? pointer_of(*curve->per) : "");
    }
    return std::holds_alternative<pricing::Faults>(factor.rule) ? "/faults"
                                                                : "/play_of_colour/colours";
}

double linear(unsigned char channel) {
    const double c = channel / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

} // namespace

std::string figure(double number) {
    std::string text = fmt::format("{}", to_significant(number));
    const std::size_t point = std::min(text.find_first_of(".e"), text.size());
    for (std::size_t at = point; at > 3;) {
        at -= 3;
        text.insert(at, ",");
    }
    return text;
}

std::string range_text(const pricing::Spread& spread, std::string_view dash) {
    if (spread.log_half == 0) {
        return figure(spread.low());
    }
    return figure(spread.low()).append(dash).append(figure(spread.high()));
}

std::string class_words(const pricing::StoneClass& stones) {
    const auto types = words_of(stones.types, stone_types);
    const auto clearness = words_of(stones.transparencies, transparencies);
    if (types.empty() && clearness.empty()) {
        return "all";
    }
    return fmt::format("{}{}{}", fmt::join(types, ", "),
                       types.empty() || clearness.empty() ? "" : "; ",
                       fmt::join(clearness, " or "));
}

std::string scale_words(const BrightnessScale& scale) {
    return fmt::format("{} steps, {} the brightest", scale.steps, scale.brightest);
}

std::string head_words(const pricing::Matrix& matrix) {
    return fmt::format("{} per carat at the {} level, as of {}; low to high takes in {:g} % of "
                       "prices; brightness in {}.",
                       matrix.currency.code, matrix.market_level, matrix.as_of,
                       100 * matrix.coverage, scale_words(matrix.brightness));
}

std::string rule_words(const pricing::Factor& factor) {
    const std::string field = "by " + field_words(factor);
    if (const auto* curve = std::get_if<pricing::Curve>(&factor.rule)) {
        return fmt::format("{}, {} between points", field,
                           curve->log_spacing ? "logarithmic" : "linear");
    }
    if (std::holds_alternative<pricing::ShareWeighted>(factor.rule)) {
        return field + ", the mean weighted by share";
    }
    const auto* category = std::get_if<pricing::Category>(&factor.rule);
    const bool many = category == nullptr || category->field == pricing::WordField::treatments;
    return many ? field + ", each one multiplies" : field;
}

std::string absent_words(const pricing::Factor& factor) {
    return factor.if_absent ? "not stated: " + range_text(factor.if_absent->spread)
                            : "must be stated";
}

std::vector<FactorItem> items_of(const pricing::Factor& factor) {
    std::vector<FactorItem> items;
    const std::string values = factor.pointer + "/values";
    const auto add = [&items](const std::vector<pricing::Entry>& entries,
                              const std::vector<std::string>& front, const std::string& pointer) {
        for (const pricing::Entry& entry : entries) {
            std::vector<std::string> keys = front;
            keys.push_back(entry.name);
            items.push_back(
                {std::move(keys), entry.spread, pointer + "/" + pointer_token(entry.name)});
        }
    };
    if (const auto* category = std::get_if<pricing::Category>(&factor.rule)) {
        add(category->values, {}, values);
    } else if (const auto* shares = std::get_if<pricing::ShareWeighted>(&factor.rule)) {
        add(shares->values, {}, values);
    } else if (const auto* curve = std::get_if<pricing::Curve>(&factor.rule)) {
        for (std::size_t i = 0; i < curve->at.size(); ++i) {
            items.push_back({{figure(curve->at[i])},
                             curve->factors[i],
                             fmt::format("{}/points/{}", factor.pointer, i)});
        }
    } else {
        for (const pricing::FaultKind& kind : std::get<pricing::Faults>(factor.rule).kinds) {
            for (const pricing::FaultPlace& place : kind.places) {
                add(place.severities, {kind.name, place.name},
                    values + "/" + pointer_token(kind.name) + "/" + pointer_token(place.name));
            }
        }
    }
    return items;
}

PriceShare::PriceShare(const pricing::Grid& grid)
    : least_(std::numeric_limits<double>::infinity()), most_(-least_) {
    for (const std::optional<pricing::Spread>& cell : grid.cells) {
        if (cell) {
            least_ = std::min(least_, cell->log_middle);
            most_ = std::max(most_, cell->log_middle);
        }
    }
}

double PriceShare::of(const pricing::Spread& spread) const {
    return most_ > least_ ? (spread.log_middle - least_) / (most_ - least_) : 0.5;
}

Shade shade_of(double share) {
    // From potch grey-blue by way of sea green to a pale gold, ever lighter.
    constexpr std::array<std::array<double, 3>, 4> stops{
        {{43, 52, 84}, {26, 104, 122}, {92, 168, 118}, {246, 226, 150}}};
    const double place = std::clamp(share, 0.0, 1.0) * (stops.size() - 1);
    const auto below = std::min(static_cast<std::size_t>(place), stops.size() - 2);
    const double weight = place - static_cast<double>(below);
    const auto channel = [&](std::size_t i) {
        return static_cast<unsigned char>(
            std::lround((1 - weight) * stops[below][i] + weight * stops[below + 1][i]));
    };
    Shade shade{channel(0), channel(1), channel(2), false};
    const double luminance =
        0.2126 * linear(shade.red) + 0.7152 * linear(shade.green) + 0.0722 * linear(shade.blue);
    // Black and white are equally far from it where (L + 0.05)^2 = 1.05 x 0.05.
    shade.black_text = (luminance + 0.05) * (luminance + 0.05) > 1.05 * 0.05;
    return shade;
}

} // namespace trayworth::output
