#include "weight/carats.hpp"

#include <cmath>

namespace trayworth::weight {

std::int64_t rounded_points(Carat weight) {
    // 1.769 has no exact binary form and times 1000 may fall just short of 1769. A millionth of a
    // thousandth carries it over; no scale for gems reads a billionth of a carat.
    constexpr double rounding = 1e-6;
    const auto thousandths = static_cast<std::int64_t>(std::floor(weight.value * 1000 + rounding));
    return thousandths / 10 + (thousandths % 10 == 9 ? 1 : 0);
}

std::string points_text(std::int64_t points) {
    std::string text = std::to_string(points / 100) + '.';
    const std::int64_t decimals = points % 100;
    if (decimals < 10) {
        text += '0';
    }
    return text + std::to_string(decimals);
}

std::string carats_text(Carat weight) {
    return points_text(rounded_points(weight));
}

} // namespace trayworth::weight
