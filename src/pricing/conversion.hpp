// A matrix whose values come out in another currency.
#pragma once

#include "core/money.hpp"
#include "pricing/matrix.hpp"

#include <string>

namespace trayworth::pricing {

// `rate` is the number of units of `to` for one of the matrix's currency, > 0, with at most seven
// significant digits, since it is reckoned with as it is printed.
//
// The prices stay as they are; the rate is a factor of its own, the last. The steps of rounding,
// written for amounts of the matrix's currency, are converted with it, each to the nearest 1, 2 or
// 5 times a power of ten, so that an amount stays as coarse as the matrix means it and round.
Matrix converted(Matrix matrix, const Currency& to, double rate, std::string date);

// 1, 2 or 5 times a power of ten, whichever is nearest in the logarithm. x > 0.
double round_step(double x);

} // namespace trayworth::pricing
