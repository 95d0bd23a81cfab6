// Kinds of bytes and parts of texts, as every reader tells them apart.
#pragma once

#include <string_view>

namespace trayworth::io {

// White space between JSON's tokens: RFC 8259, section 2.
constexpr bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

// A byte of UTF-8 that begins no character: RFC 3629, section 3.
constexpr bool continues_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

constexpr bool contains(std::string_view text, std::string_view part) {
    return text.find(part) != std::string_view::npos;
}

} // namespace trayworth::io
