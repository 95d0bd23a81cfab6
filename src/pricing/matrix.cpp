#include "pricing/matrix.hpp"

#include "core/decimal.hpp"

#include <algorithm>

#include <fmt/compile.h>

namespace trayworth::pricing {

AxisPlace place_on(const std::vector<double>& axis, double x) {
    if (x <= axis.front()) {
        return {};
    }
    if (x >= axis.back()) {
        return {axis.size() - 1, axis.size() - 1, 0};
    }
    // Axes are short: counting them without a branch is faster than halving them.
    const auto above = static_cast<std::size_t>(
        std::count_if(axis.begin(), axis.end(), [x](double point) { return point <= x; }));
    const std::size_t below = above - 1;
    if (axis[below] == x) {
        return {below, below, 0};
    }
    return {below, above, (x - axis[below]) / (axis[above] - axis[below])};
}

Grid::Neighbours Grid::neighbours(double tone, double brightness_grade) const {
    const AxisPlace down = place_on(tones, tone);
    const AxisPlace across = place_on(brightness, brightness_grade);
    const double u = down.weight_above;
    const double v = across.weight_above;
    return {{{down.below, across.below, (1 - u) * (1 - v)},
             {down.below, across.above, (1 - u) * v},
             {down.above, across.below, u * (1 - v)},
             {down.above, across.above, u * v}}};
}

Spread Grid::price(double tone, double brightness_grade) const {
    Spread sum;
    for (const Neighbour& near : neighbours(tone, brightness_grade)) {
        if (near.weight > 0) {
            const Spread& spread = *cell(near.row, near.column);
            sum.log_middle += near.weight * spread.log_middle;
            sum.log_half += near.weight * spread.log_half;
        }
    }
    return sum;
}

std::string Grid::cell_pointer(std::size_t row, std::size_t column) const {
    return pointer + "/per_carat/" + std::to_string(row) + "/" + std::to_string(column);
}

std::string Grid::cell_name(std::size_t row, std::size_t column) const {
    return fmt::format(FMT_COMPILE("{} at brightness {}"), tone_name(static_cast<int>(tones[row])),
                       brightness[column]);
}

Entry::Entry(std::string named, Spread priced)
    : name(std::move(named)), spread(priced), figures{to_significant(priced.low()),
                                                      to_significant(std::exp(priced.log_middle)),
                                                      to_significant(priced.high())} {}

const Entry* find(const std::vector<Entry>& entries, std::string_view name) {
    const auto found = std::find_if(entries.begin(), entries.end(),
                                    [name](const Entry& entry) { return entry.name == name; });
    return found == entries.end() ? nullptr : &*found;
}

AxisPlace Curve::place(double x) const {
    if (log_spacing) {
        return x > 0 ? place_on(places, std::log(x)) : AxisPlace{};
    }
    return place_on(places, x);
}

Spread Curve::factor(double x) const {
    const AxisPlace where = place(x);
    const Spread& below = factors[where.below];
    const Spread& above = factors[where.above];
    const double w = where.weight_above;
    return {(1 - w) * below.log_middle + w * above.log_middle,
            (1 - w) * below.log_half + w * above.log_half};
}

std::string_view Matrix::origin_of(std::string_view pointer) const {
    if (sources.empty()) {
        return {};
    }
    const auto found = origins.find(pointer);
    return sources[found == origins.end() ? 0 : found->second];
}

const Grid* Matrix::grid_for(StoneType type, Transparency transparency) const {
    const auto found = std::find_if(grids.begin(), grids.end(), [&](const Grid& grid) {
        return grid.stones.admits(type, transparency);
    });
    return found == grids.end() ? nullptr : &*found;
}

Money Matrix::rounded(Money money) const {
    const auto reached = std::find_if(rounding.rbegin(), rounding.rend(), [&](const auto& step) {
        return money.minor >= to_money(step.from, currency).minor;
    });
    const double step = (reached == rounding.rend() ? rounding.front() : *reached).to_nearest;
    return to_nearest(money, step);
}

} // namespace trayworth::pricing
