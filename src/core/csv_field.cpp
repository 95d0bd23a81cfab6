// Which fields a spreadsheet takes for formulas, the full-width forms of the four characters among
// them: OWASP, "CSV Injection" (from memory).
#include "core/csv_field.hpp"

#include <algorithm>
#include <array>

namespace trayworth {
namespace {

// In UTF-8: = + - @ and U+FF1D, U+FF0B, U+FF0D, U+FF20.
constexpr std::array<std::string_view, 8> openings{
    "=", "+", "-", "@", "\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D", "\xEF\xBC\xA0"};

// What a spreadsheet may pass over before a formula.
constexpr std::array<std::string_view, 9> blanks{
    " ", "\t", "\r", "\n", "\"", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x81\x9F", "\xE3\x80\x80"};

} // namespace

std::string csv_field(std::string_view text) {
    const bool blank_at_end = text.starts_with(' ') || text.ends_with(' ');
    if (!blank_at_end && text.find_first_of(",\"\r\n") == std::string_view::npos) {
        return std::string(text);
    }
    std::string field = "\"";
    for (const char c : text) {
        field += c;
        if (c == '"') {
            field += c;
        }
    }
    return field + '"';
}

bool opens_formula(std::string_view text) {
    const auto begins = [&text](std::string_view start) { return text.starts_with(start); };
    for (auto blank = blanks.begin(); blank != blanks.end();) {
        blank = std::find_if(blanks.begin(), blanks.end(), begins);
        text.remove_prefix(blank == blanks.end() ? 0 : blank->size());
    }
    return std::any_of(openings.begin(), openings.end(), begins);
}

} // namespace trayworth
