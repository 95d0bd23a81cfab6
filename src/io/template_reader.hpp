// A user's own text with named placeholders in the syntax of fmt: "{title}", "{weight:>9}", and two
// braces for one. Checked before it is used, so that filling it cannot fail nor grow without bound.
#pragma once

#include "core/diagnostic.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace trayworth::io {

// Appends an error for each placeholder that is not closed, has no name of `fields`, or asks for a
// width or precision beyond three digits, for each character that one cannot see, line breaks and
// tabs apart, and for more than bounds::placeholders; no more errors than bounds::errors and one.
// `file` is what diagnostics call the text.
void check_template(std::string_view text,
                    const std::string& file,
                    const std::vector<std::string_view>& fields,
                    Diagnostics& diagnostics);

} // namespace trayworth::io
