#include "core/utf8.hpp"

namespace trayworth {
namespace {

constexpr bool continues(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

} // namespace

Utf8Character first_character(std::string_view text) {
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
    const bool valid = code >= least[bytes] && code <= 0x10FFFF && !surrogate;
    return {valid ? bytes : 1, code, valid};
}

std::optional<std::size_t> first_bad_byte(std::string_view text) {
    std::size_t at = 0;
    while (at < text.size()) {
        const Utf8Character character = first_character(text.substr(at));
        if (!character.valid || character.code == 0) {
            return at;
        }
        at += character.bytes;
    }
    return std::nullopt;
}

} // namespace trayworth
