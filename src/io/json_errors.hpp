// What nlohmann-json says of a text that is not JSON, and where.
#pragma once

#include "core/diagnostic.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

namespace trayworth::io {

struct SyntaxError {
    Code code = Code::json_syntax;
    std::string message;
    std::string hint;
    std::size_t offset = 0; // of the byte or token at fault, from the start of the text
    std::string pointer{};  // of the object or array that it stands in
    std::string detail{};   // the parser's own complaint, without the place
};

// From the three arguments of a SAX handler's parse_error().
SyntaxError syntax_error(std::size_t position,
                         const std::string& token,
                         const nlohmann::json::exception& thrown);

// Whether an error of this code is one of too much: the text is JSON so far.
bool is_bound(Code code);

// What there is to say of what is beyond the bounds.
std::string text_too_long();
std::string name_too_long();

// Reads the text for its syntax, its depth, the length of its names and, where there is a bound on
// them, the members of each object.
std::optional<SyntaxError> check_syntax(std::string_view text,
                                        bool comments_allowed = false,
                                        std::optional<std::size_t> most_members = std::nullopt);

// The offset of a NUL byte, which the parser would take for the end of the text, or of a second
// byte order mark; reported as json_encoding.
std::optional<std::size_t> stray_byte(std::string_view text, Diagnostics& diagnostics);

} // namespace trayworth::io
