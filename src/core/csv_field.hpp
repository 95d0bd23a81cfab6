// One field of comma-separated values as it is written: RFC 4180, section 2.
#pragma once

#include <string>
#include <string_view>

namespace trayworth {

// In quotation marks where it holds a comma, a quotation mark, a line break or a blank at an end.
std::string csv_field(std::string_view text);

// Whether a spreadsheet would take the text for a formula, and run it: it begins, whatever blanks
// and quotation marks come first, with = + - or @ or a full-width form of them.
bool opens_formula(std::string_view text);

} // namespace trayworth
