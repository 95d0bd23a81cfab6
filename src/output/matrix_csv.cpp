#include "output/matrix_csv.hpp"

#include "core/decimal.hpp"
#include "output/csv_row.hpp"
#include "output/matrix_parts.hpp"

#include <array>
#include <cmath>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::size_t most_keys = 3;

std::string row(std::string_view part,
                std::string_view name,
                std::vector<std::string> keys,
                const pricing::Spread& spread,
                std::string_view pointer) {
    keys.resize(most_keys);
    CsvRow cells;
    cells.own(part).text(name);
    for (const std::string& key : keys) {
        cells.text(key);
    }
    for (const double number : {spread.low(), std::exp(spread.log_middle), spread.high()}) {
        cells.own(fmt::format("{}", to_significant(number)));
    }
    return cells.text(pointer).line();
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
