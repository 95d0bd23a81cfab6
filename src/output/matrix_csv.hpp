// A price matrix as comma-separated values, a row a number or interval; RFC 4180, UTF-8, each line
// ended by CR LF. For reading by programs; to edit a matrix in a spreadsheet, export it.
//
//   part               price, level, factor
//   name               of the grid or the factor; empty for a level
//   key, key_2, key_3  price: body tone, brightness; level: its name; factor: its word, or its
//                      point, or a fault's kind, place and severity
//   low, likely, high  in the matrix's currency per carat, or multiples; likely is the geometric
//                      mean in seven significant digits
//   pointer            JSON Pointer into the matrix
//
// Texts that a spreadsheet would take for a formula have an apostrophe in front.
#pragma once

#include "pricing/matrix.hpp"

#include <string>

namespace trayworth::output {

std::string matrix_csv(const pricing::Matrix& matrix);

} // namespace trayworth::output
