// A price matrix as a page that stands alone: HTML with a heat map of each grid in SVG, and a table
// of each factor. No script, nothing from a network; light or dark as the reader's system is.
#pragma once

#include "pricing/matrix.hpp"

#include <string>

namespace trayworth::output {

std::string matrix_html(const pricing::Matrix& matrix);

} // namespace trayworth::output
