// Texts from a record on their way to a terminal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace trayworth::output {

// The text with every control character, bidirectional control and byte that is not UTF-8 replaced
// by U+FFFD, so that nothing in a record can act on a terminal.
std::string safe(std::string_view text);

// Safe, and cut to `width` characters with an ellipsis at the cut.
std::string fitted(std::string_view text, std::size_t width);

// The number of characters (code points) of a safe text.
std::size_t length_of(std::string_view safe_text);

// The columns that a safe text takes on a terminal: two for the wide characters of East Asia, as
// fmt counts them when it aligns.
std::size_t width_of(std::string_view safe_text);

// Safe, broken at blanks into lines of at most `width` characters, each after the first preceded by
// a line break and `indent` spaces. A word longer than a line stands on a line of its own.
std::string wrapped(std::string_view text, std::size_t width, std::size_t indent);

} // namespace trayworth::output
