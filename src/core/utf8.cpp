#include "core/utf8.hpp"

#include <algorithm>
#include <array>

namespace trayworth {
namespace {

constexpr bool continues(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

struct Codes {
    std::uint32_t first = 0;
    std::uint32_t last = 0;
};

// What one cannot see, and what moves other text: the control characters (general category Cc),
// line and paragraph separators, Default_Ignorable_Code_Point, which holds the controls of the
// bidirectional algorithm (UAX 9) and all of zero width, and the marks of interlinear annotation.
// The Unicode Standard 14.0, DerivedCoreProperties; tests/output/unseen.py compares.
constexpr std::array<Codes, 20> unseen{{
    {0x0000, 0x001F},   {0x007F, 0x009F},       {0x00AD, 0x00AD},
    {0x034F, 0x034F},   {0x061C, 0x061C},       {0x115F, 0x1160},
    {0x17B4, 0x17B5},   {0x180B, 0x180F},       {0x200B, 0x200F},
    {0x2028, 0x202E},   {0x2060, 0x206F},       {0x3164, 0x3164},
    {0xFE00, 0xFE0F},   {0xFEFF, 0xFEFF},       {0xFFA0, 0xFFA0},
    {0xFFF0, 0xFFFB},   {0x1BCA0, 0x1BCA3},     {0x1D173, 0x1D17A},
    {0xE0000, 0xE0FFF}, {0x110000, 0xFFFFFFFF}, // no character
}};

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

bool is_unseen(std::uint32_t code) {
    return std::lower_bound(unseen.begin(), unseen.end(), code,
                            [](const Codes& codes, std::uint32_t c) { return codes.last < c; })
               ->first <= code;
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
