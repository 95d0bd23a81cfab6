// A price matrix for a person at a terminal: grids laid out, shaded by price where there is colour,
// factors as short lists. No line is longer than the style's width; a wider terminal takes more
// beside each other.
#pragma once

#include "output/text_parts.hpp"
#include "pricing/matrix.hpp"

#include <string>

namespace trayworth::output {

std::string matrix_text(const pricing::Matrix& matrix, TextStyle style);

} // namespace trayworth::output
