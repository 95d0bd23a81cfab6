// UTF-8, one character at a time: RFC 3629, section 4.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

namespace trayworth {

struct Utf8Character {
    std::size_t bytes = 1; // to go on by, also where it is not valid
    std::uint32_t code = 0;
    bool valid = false;
};

// The first character of a text that is not empty.
Utf8Character first_character(std::string_view text);

// Whether one cannot see the character, or it moves other text.
bool is_unseen(std::uint32_t code);

// Offset of the first byte that is not UTF-8, or of a NUL.
std::optional<std::size_t> first_bad_byte(std::string_view text);

} // namespace trayworth
