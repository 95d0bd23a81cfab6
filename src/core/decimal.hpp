// Decimal rounding of binary numbers, and decimals as text whatever the locale.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

namespace trayworth {

// digits x 10^-decimals
struct Decimal {
    std::int64_t digits = 0;
    int decimals = 0;

    [[nodiscard]] double value() const; // the nearest double, while both powers are exact
};

// x rounded to so many significant decimal digits (1 to 15). x is finite and not 0.
Decimal decimal_of(double x, int significant = 7);

// The number of `digits` significant decimal digits (1 to 15) that is nearest to x, as the double
// nearest to it. x is finite.
double to_significant(double x, int digits = 7);

// 10 to the power, for an exponent >= 0; exact up to 22.
double power_of_ten(int exponent);

// With so many decimals: "12.10".
std::string fixed(double x, int decimals);
// With at most so many significant digits, and no zeros after the last: "0.9", "2600".
std::string shortest(double x, int digits);
// "10,000"
std::string grouped(std::size_t number);

} // namespace trayworth
