// How pages look: all of their CSS.
#pragma once

#include <string_view>

namespace trayworth::output {

extern const std::string_view base_style;    // colours, type: of every page
extern const std::string_view sheet_style;   // of stones and trays that were valued
extern const std::string_view matrix_style;  // of a price matrix laid out
extern const std::string_view report_style;  // of headings and tables, with one of these:
extern const std::string_view compare_style; // of two matrices on one stock
extern const std::string_view fit_style;     // of a matrix against past sales

} // namespace trayworth::output
