// Texts on their way into a page.
#pragma once

#include <string>
#include <string_view>

namespace trayworth::output {

// Safe (safe_text.hpp), and with the five characters escaped that mean something in HTML, so that
// it can stand in an element or in a quoted attribute and be nothing but text.
std::string escaped(std::string_view text);

// Escaped, in an element of its own writing direction: for what the user named.
std::string isolated(std::string_view text);

// <tag class="name">text</tag>; the text is HTML already.
std::string element(std::string_view tag, std::string_view name, std::string_view html);

} // namespace trayworth::output
