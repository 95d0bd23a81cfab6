#include "output/matrix_csv.hpp"

#include "core/csv_field.hpp"
#include "core/decimal.hpp"
#include "output/matrix_parts.hpp"
#include "output/safe_text.hpp"

#include <array>
#include <cmath>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::size_t most_keys = 3;

std::string text_field(std::string_view text) {
    const std::string clean = safe(text);
    return csv_field(opens_formula(clean) ? "'" + clean : clean);
}

std::string row(std::string_view part,
                std::string_view name,
                std::vector<std::string> keys,
                const pricing::Spread& spread,
                std::string_view pointer) {
    keys.resize(most_keys);
    std::string line(part);
    line += "," + text_field(name);
    for (const std::string& key : keys) {
        line += "," + text_field(key);
    }
    for (const double number : {spread.low(), std::exp(spread.log_middle), spread.high()}) {
        line += fmt::format(",{}", to_significant(number));
    }
    return line + "," + text_field(pointer) + "\r\n";
}

} // namespace

std::string matrix_csv(const pricing::Matrix& matrix) {
    std::string text = "part,name,key,key_2,key_3,low,likely,high,pointer\r\n";
    for (const pricing::Grid& grid : matrix.grids) {
        for (std::size_t i = 0; i < grid.tones.size(); ++i) {
            for (std::size_t j = 0; j < grid.brightness.size(); ++j) {
                if (const auto& cell = grid.cell(i, j)) {
                    text += row("price", grid.name,
                                {std::string(tone_name(static_cast<int>(grid.tones[i]))),
                                 fmt::format("{}", grid.brightness[j])},
                                *cell, grid.cell_pointer(i, j));
                }
            }
        }
    }
    for (const pricing::Entry& level : matrix.market_levels) {
        text += row("level", "", {level.name}, level.spread,
                    "/market_levels/" + pointer_token(level.name));
    }
    for (const pricing::Factor& factor : matrix.factors) {
        for (const FactorItem& item : items_of(factor)) {
            text += row("factor", factor.name, item.keys, item.spread, item.pointer);
        }
        if (factor.if_absent) {
            text += row("factor", factor.name, {}, factor.if_absent->spread,
                        factor.pointer + "/if_absent");
        }
    }
    return text;
}

} // namespace trayworth::output
