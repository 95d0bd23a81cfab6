#include "core/decimal.hpp"

#include <array>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>

namespace trayworth {
namespace {

// Powers of ten that are exact as doubles.
constexpr std::array<double, 23> powers{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                        1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                        1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

} // namespace

double power_of_ten(int exponent) {
    const auto index = static_cast<std::size_t>(exponent);
    return index < powers.size() ? powers[index] : std::pow(10.0, exponent);
}

namespace {

double scaled(double x, int exponent) {
    return exponent >= 0 ? x * power_of_ten(exponent) : x / power_of_ten(-exponent);
}

// Halves away from zero, for |x| < 2^63: what std::llround does, without a call.
std::int64_t to_whole(double x) {
    const auto whole = static_cast<std::int64_t>(x);
    const double rest = x - static_cast<double>(whole);
    return rest >= 0.5 ? whole + 1 : rest <= -0.5 ? whole - 1 : whole;
}

// floor(log2 |x|) of a normal number.
int binary_exponent(double x) {
    constexpr std::uint64_t exponent_bits = 0x7FF;
    constexpr unsigned mantissa_width = 52;
    constexpr int bias = 1023;
    const auto bits = std::bit_cast<std::uint64_t>(x);
    return static_cast<int>(bits >> mantissa_width & exponent_bits) - bias;
}

} // namespace

double Decimal::value() const {
    return scaled(static_cast<double>(digits), -decimals);
}

Decimal decimal_of(double x, int significant) {
    // floor(log10 |x|) from the binary exponent, at most one too small: 78913 / 2^18 is log10 of 2,
    // near enough for every exponent of a double.
    constexpr int log10_of_2_scaled = 78913;
    constexpr int scale = 18;
    Decimal found;
    found.decimals = significant - 1 - (binary_exponent(x) * log10_of_2_scaled >> scale);
    found.digits = to_whole(scaled(x, found.decimals));
    if (static_cast<double>(std::abs(found.digits)) >= power_of_ten(significant)) {
        --found.decimals;
        found.digits = to_whole(scaled(x, found.decimals));
    }
    return found;
}

double to_significant(double x, int digits) {
    return x == 0 ? 0 : decimal_of(x, digits).value();
}

std::string fixed(double x, int decimals) {
    std::array<char, 400> text{}; // the longest double has 309 digits before the point
    const auto end = std::to_chars(text.data(), text.data() + text.size(), x,
                                   std::chars_format::fixed, decimals);
    return {text.data(), end.ptr};
}

std::string shortest(double x, int digits) {
    std::array<char, 400> text{};
    const auto end = std::to_chars(text.data(), text.data() + text.size(),
                                   to_significant(x, digits), std::chars_format::fixed);
    return {text.data(), end.ptr};
}

std::string grouped(std::size_t number) {
    std::string digits = std::to_string(number);
    for (std::size_t at = digits.size(); at > 3; at -= 3) {
        digits.insert(at - 3, 1, ',');
    }
    return digits;
}

} // namespace trayworth
