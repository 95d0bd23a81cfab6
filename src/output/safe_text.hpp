// Texts from outside on their way to a terminal, or to whoever looks at a file with one.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace trayworth::output {

inline constexpr std::string_view ellipsis = "\xE2\x80\xA6";

// The text with every control character, bidirectional control, character that one cannot see and
// byte that is not UTF-8 replaced by U+FFFD, so that it neither acts on a terminal nor passes for
// another text.
std::string safe(std::string_view text);

// A JSON text, comments and all, with the same characters written as escapes: it holds the same
// values. Tabs and line breaks stay, but a carriage return on its own becomes a line feed.
std::string safe_json(std::string_view json);

// Safe, and cut to `width` characters with an ellipsis at the cut.
std::string fitted(std::string_view text, std::size_t width);

// The number of characters (code points) of a safe text.
std::size_t length_of(std::string_view safe_text);

// The columns that a safe text takes on a terminal: two for the wide characters of East Asia, as
// fmt counts them when it aligns.
std::size_t width_of(std::string_view safe_text);

// Safe, broken at blanks into lines of at most `width` characters, each after the first preceded by
// a line break and `margin` spaces. A word longer than a line stands on a line of its own.
std::string wrapped(std::string_view text, std::size_t width, std::size_t margin);

} // namespace trayworth::output
