#include "output/safe_text.hpp"

#include <cstdint>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";
constexpr std::string_view ellipsis = "\xE2\x80\xA6";

struct Character {
    std::size_t bytes = 1;
    std::uint32_t code = 0;
    bool valid = false;
};

constexpr bool continues(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

// The first character of a text that is not empty: RFC 3629, section 4.
Character first_of(std::string_view text) {
    const auto lead = static_cast<unsigned char>(text.front());
    if (lead < 0x80) {
        return {1, lead, true};
    }
    const std::size_t bytes = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || text.size() < bytes) {
        return {};
    }
    std::uint32_t code = lead & (0xFFU >> (bytes + 1));
    for (std::size_t i = 1; i < bytes; ++i) {
        if (!continues(text[i])) {
            return {};
        }
        code = code << 6U | (static_cast<unsigned char>(text[i]) & 0x3FU);
    }
    constexpr std::uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
    return {bytes, code, code >= least[bytes] && code <= 0x10FFFF && !surrogate};
}

// Unicode's Cc, line and paragraph separators, and the controls of the bidirectional algorithm
// (UAX 9, section 2).
constexpr bool acts_on_a_terminal(std::uint32_t code) {
    return code < 0x20 || (code >= 0x7F && code < 0xA0) || code == 0x061C ||
           (code >= 0x200E && code <= 0x200F) || (code >= 0x2028 && code <= 0x202E) ||
           (code >= 0x2066 && code <= 0x2069) || code == 0xFEFF;
}

} // namespace

std::string safe(std::string_view text) {
    std::string result;
    result.reserve(text.size());
    while (!text.empty()) {
        const Character character = first_of(text);
        const bool keep = character.valid && !acts_on_a_terminal(character.code);
        result += keep ? text.substr(0, character.bytes) : replacement;
        text.remove_prefix(character.valid ? character.bytes : 1);
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
        end += first_of(std::string_view(result).substr(end)).bytes;
    }
    result.resize(end);
    return result.append(ellipsis);
}

std::string wrapped(std::string_view text, std::size_t width, std::size_t indent) {
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
            result += fmt::format("\n{:{}}", "", indent);
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
