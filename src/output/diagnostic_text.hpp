// Diagnostics for a person who mends a file.
#pragma once

#include "core/diagnostic.hpp"
#include "output/text_style.hpp"

#include <string>

namespace trayworth::output {

// "file:line:column: error: what is wrong [code]", the pointer, the source line with a caret under
// the column where the style has source lines, and how to mend it.
std::string diagnostic_text(const Diagnostic& diagnostic, TextStyle style);

// All of them.
std::string diagnostic_texts(const Diagnostics& diagnostics, TextStyle style);

} // namespace trayworth::output
