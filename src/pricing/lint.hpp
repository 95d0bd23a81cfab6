// What in a price matrix does not hang together, though each number by itself may stand: gaps,
// prices out of order against the trade, slips of the decimal point, inputs that count twice.
// Everything found is a warning with a pointer and the numbers; none of it is changed.
#pragma once

#include "core/diagnostic.hpp"
#include "pricing/matrix.hpp"

#include <cstddef>

namespace trayworth::pricing {

// The limits past which a number is reported. They are stated in trayworth-matrix(5).
namespace limits {
// A price is out of line when it is off by more than `least_jump` times, and by more than
// `deviations` robust deviations of its grid.
inline constexpr double least_jump = 1.4;
inline constexpr double deviations = 5;
// A point between two others, of a curve or of a grid of one or two lines, is out of line when it
// is off by more than this many times; where as many points or more lie between the ends, by the
// limits above too.
inline constexpr std::size_t fewest_between_ends = 5;
inline constexpr double certain_jump = 3;
// high / low of a price, against the median of its grid, and at most.
inline constexpr double spread_against_grid = 1.6;
inline constexpr double widest_price = 10;
inline constexpr double widest_factor = 20;
// Half a step of rounding over the price that it is for.
inline constexpr double coarsest_rounding = 0.1;
} // namespace limits

// Whether lint() reports that code, and a matrix may thus accept it.
bool is_lint_code(Code code);

// What the matrix accepts is left out; an acceptance of nothing is reported.
Diagnostics lint(const Matrix& matrix);

} // namespace trayworth::pricing
