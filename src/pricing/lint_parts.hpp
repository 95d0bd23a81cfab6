// The parts of lint(), and what they share.
#pragma once

#include "core/diagnostic.hpp"
#include "pricing/matrix.hpp"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::pricing {

void lint_grids(const Matrix& matrix, Diagnostics& found);
void lint_factors(const Matrix& matrix, Diagnostics& found);

// Geometric mean of the ends, in four significant digits, as messages show it.
double likely(const Spread& spread);

// Of points in line, those that do not lie where their neighbours on either side say, with what
// these say (in the same units as y). x ascends; y is a logarithm.
struct OutOfLine {
    std::size_t index = 0;
    double expected = 0;
};
std::vector<OutOfLine> out_of_line(const std::vector<double>& x, const std::vector<double>& y);

// By how much, "12 times dearer" or "cheaper"; both are logarithms.
std::string times_off(double y, double expected);

// Whether a grid prices stones of that type and transparency.
bool is_priced(const Matrix& matrix, StoneType type, Transparency transparency);

} // namespace trayworth::pricing
