#include "output/safe_text.hpp"

#include "core/utf8.hpp"

#include <algorithm>
#include <cstdint>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

constexpr bool continues(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

constexpr bool is_printable(char c) {
    return c >= 0x20 && c < 0x7F;
}

// The text with `in_place(code)` for every character that is unseen, and a mark for every byte that
// is not UTF-8.
template<class InPlace>
std::string without_unseen(std::string_view text, InPlace in_place) {
    std::string result;
    result.reserve(text.size());
    while (!text.empty()) {
        const auto other = std::find_if_not(text.begin(), text.end(), is_printable);
        const auto plain = static_cast<std::size_t>(other - text.begin());
        result += text.substr(0, plain);
        text.remove_prefix(plain);
        if (text.empty()) {
            break;
        }
        const Utf8Character character = first_character(text);
        if (!character.valid) {
            result += replacement;
        } else if (is_unseen(character.code)) {
            result += in_place(character.code);
        } else {
            result += text.substr(0, character.bytes);
        }
        text.remove_prefix(character.bytes);
    }
    return result;
}

// As JSON writes a character: RFC 8259, section 7.
std::string escape(std::uint32_t code) {
    if (code < 0x10000) {
        return fmt::format("\\u{:04x}", code);
    }
    const std::uint32_t rest = code - 0x10000;
    return fmt::format("\\u{:04x}\\u{:04x}", 0xD800 + (rest >> 10U), 0xDC00 + (rest & 0x3FFU));
}

} // namespace

std::string safe(std::string_view text) {
    return without_unseen(text, [](std::uint32_t) { return replacement; });
}

std::string safe_json(std::string_view json) {
    std::string result = without_unseen(json, [](std::uint32_t code) {
        const bool blank = code == '\t' || code == '\n' || code == '\r';
        return blank ? std::string(1, static_cast<char>(code)) : escape(code);
    });
    for (std::size_t at = result.find('\r'); at != std::string::npos;
         at = result.find('\r', at + 1)) {
        if (at + 1 == result.size() || result[at + 1] != '\n') {
            result[at] = '\n';
        }
    }
    return result;
}

std::size_t length_of(std::string_view safe_text) {
    std::size_t length = 0;
    for (const char c : safe_text) {
        length += continues(c) ? 0 : 1;
    }
    return length;
}

std::size_t width_of(std::string_view safe_text) {
    const std::size_t room = 2 * safe_text.size() + 1;
    const std::size_t blanks = fmt::format("{:<{}}", safe_text, room).size() - safe_text.size();
    return room - blanks;
}

std::string fitted(std::string_view text, std::size_t width) {
    std::string result = safe(text);
    if (length_of(result) <= width) {
        return result;
    }
    std::size_t end = 0;
    for (std::size_t kept = 0; kept + 1 < width; ++kept) {
        end += first_character(std::string_view(result).substr(end)).bytes;
    }
    result.resize(end);
    return result.append(ellipsis);
}

std::string wrapped(std::string_view text, std::size_t width, std::size_t margin) {
    std::string result;
    std::size_t on_line = 0;
    const std::string clean = safe(text);
    std::string_view rest = clean;
    while (!rest.empty()) {
        const std::size_t blank = rest.find(' ');
        const std::string_view word = rest.substr(0, blank);
        rest = blank == std::string_view::npos ? std::string_view{} : rest.substr(blank + 1);
        const std::size_t length = length_of(word);
        if (on_line > 0 && on_line + 1 + length > width) {
            result += fmt::format("\n{:{}}", "", margin);
            on_line = 0;
        } else if (on_line > 0) {
            result += ' ';
            ++on_line;
        }
        result += word;
        on_line += length;
    }
    return result;
}

} // namespace trayworth::output
