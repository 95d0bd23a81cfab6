// Decimal rounding of binary numbers, and decimals as text whatever the locale.
#pragma once

#include <cstddef>
#include <string>

namespace trayworth {

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
