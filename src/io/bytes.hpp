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

constexpr bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// Bytes that may begin a text in UTF-8; RFC 8259, 8.1: a parser may ignore them.
inline constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

constexpr std::string_view without_blanks_behind(std::string_view text) {
    while (!text.empty() && is_blank(text.back())) {
        text.remove_suffix(1);
    }
    return text;
}

// Without the blanks at both ends.
constexpr std::string_view trimmed(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) {
        text.remove_prefix(1);
    }
    return without_blanks_behind(text);
}

constexpr bool contains(std::string_view text, std::string_view part) {
    return text.find(part) != std::string_view::npos;
}

} // namespace trayworth::io
