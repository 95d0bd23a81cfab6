#include "core/decimal.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdlib>

namespace trayworth {
namespace {

// Powers of ten that are exact as doubles.
constexpr std::array<double, 23> powers{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                        1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                        1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

double power_of_ten(int exponent) {
    const auto index = static_cast<std::size_t>(exponent);
    return index < powers.size() ? powers[index] : std::pow(10.0, exponent);
}

double scaled(double x, int exponent) {
    return exponent >= 0 ? x * power_of_ten(exponent) : x / power_of_ten(-exponent);
}

} // namespace

double to_significant(double x, int digits) {
    if (x == 0) {
        return 0;
    }
    // log10 |x| from its binary exponent, at most one too small.
    int binary = 0;
    std::frexp(x, &binary);
    constexpr double log10_of_2 = 0.30102999566398120;
    int exponent = digits - 1 - static_cast<int>(std::floor((binary - 1) * log10_of_2));
    double rounded = std::round(scaled(x, exponent));
    if (std::abs(rounded) >= power_of_ten(digits)) {
        --exponent;
        rounded = std::round(scaled(x, exponent));
    }
    return scaled(rounded, -exponent);
}

} // namespace trayworth
