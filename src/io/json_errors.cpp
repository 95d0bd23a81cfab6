#include "io/json_errors.hpp"

#include "io/parse_json.hpp"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

constexpr int number_overflow = 406; // nlohmann::json::out_of_range::id

// The detail of "[json.exception...] parse error at line 1, column 2: syntax error while parsing
// value - unexpected ',': ..." that follows the place.
std::string_view detail_of(std::string_view what) {
    constexpr std::string_view lead = "syntax error while parsing ";
    const std::size_t at = what.find(lead);
    return at == std::string_view::npos ? what : what.substr(at + lead.size());
}

std::string_view context_of(std::string_view detail) {
    return detail.substr(0, detail.find(" - "));
}

bool contains(std::string_view text, std::string_view part) {
    return text.find(part) != std::string_view::npos;
}

// Of a character that no token begins with, where one was to begin.
std::string_view hint_for_stray(char c) {
    switch (c) {
    case '/':
    case '#':
        return "A record has no comments; \"notes\" is there for them.";
    case 'N':
    case 'I':
        return "JSON has no NaN and no Infinity: leave out what was not measured.";
    case 'T':
    case 'F':
        return "Write true and false in small letters.";
    case '+':
    case '.':
        return "A number begins with a digit or a minus: 0.9.";
    case '\'':
        return "Texts stand in double quotes.";
    default:
        return std::isalpha(static_cast<unsigned char>(c)) != 0 ? "Texts stand in double quotes."
                                                                : "";
    }
}

std::string hint_for(std::string_view detail, std::string_view token) {
    if (contains(detail, "unexpected end of input") || contains(detail, "missing closing quote")) {
        return "Is the file cut short? Close every bracket and quote that was opened.";
    }
    if (contains(detail, "control character")) {
        return "Write a line break inside a text as \\n and a tab as \\t.";
    }
    if (contains(detail, "invalid literal") && !token.empty()) {
        if (const std::string_view hint = hint_for_stray(token.back()); !hint.empty()) {
            return std::string(hint);
        }
    }
    if (context_of(detail) == "object key" && contains(detail, "number literal")) {
        return "A decimal is written with a point, not a comma: 12.1.";
    }
    if (context_of(detail) == "object key") {
        return "A field's name stands in double quotes, and no comma before a closing bracket.";
    }
    if (contains(detail, "expected '}'") || contains(detail, "expected ']'")) {
        return "Is a comma missing before this place, or a bracket not closed?";
    }
    return "Look at the brackets, commas and quotes at and before this place.";
}

// The part after "unexpected", or the lexer's own complaint.
std::string complaint_of(std::string_view detail) {
    const std::size_t dash = detail.find(" - ");
    std::string_view complaint = dash == std::string_view::npos ? detail : detail.substr(dash + 3);
    complaint = complaint.substr(0, complaint.find("; last read"));
    return std::string(complaint);
}

// Accepts whatever is JSON.
struct SyntaxCheck final : JsonHandler {
    using json = nlohmann::json;
    std::optional<SyntaxError> error{};

    bool null() override { return true; }
    bool boolean(bool) override { return true; }
    bool number_integer(json::number_integer_t) override { return true; }
    bool number_unsigned(json::number_unsigned_t) override { return true; }
    bool number_float(double, const std::string&) override { return true; }
    bool string(std::string&) override { return true; }
    bool binary(json::binary_t&) override { return true; }
    bool start_object(std::size_t) override { return true; }
    bool end_object() override { return true; }
    bool start_array(std::size_t) override { return true; }
    bool end_array() override { return true; }
    bool key(std::string&) override { return true; }
    bool parse_error(std::size_t position,
                     const std::string& token,
                     const json::exception& thrown) override {
        error = syntax_error(position, token, thrown);
        return false;
    }
};

} // namespace

std::optional<SyntaxError> check_syntax(std::string_view text, bool comments_allowed) {
    SyntaxCheck check;
    parse_json(text, check, comments_allowed);
    return check.error;
}

SyntaxError syntax_error(std::size_t position,
                         const std::string& token,
                         const nlohmann::json::exception& thrown) {
    SyntaxError error;
    const std::string_view what = thrown.what();
    const std::size_t past = position == 0 ? 0 : position - 1;
    if (thrown.id == number_overflow) {
        error.code = Code::number_size;
        error.message = fmt::format("The number {} is too large to be held.", token);
        error.hint = "Write the number that was measured.";
        error.offset = position - std::min(position, token.size());
        return error;
    }
    const std::string_view detail = detail_of(what);
    const bool in_token = contains(detail, "last read");
    // The lexer stops on the byte that will not do; the parser has read the whole token.
    error.offset = in_token || contains(detail, "end of input")
                       ? past
                       : position - std::min(position, token.size());
    if (contains(detail, "UTF-8")) {
        error.code = Code::json_encoding;
        error.message = "The text is not UTF-8 here.";
        error.hint = "Save the file as UTF-8.";
        return error;
    }
    if (contains(detail, "surrogate")) {
        error.code = Code::json_encoding;
        error.message = "A \\u escape is half of a surrogate pair.";
        error.hint = "Write the character itself, or both halves of its escape.";
        return error;
    }
    error.message = fmt::format("The text is not JSON here: {} (while reading {}).",
                                complaint_of(detail), context_of(detail));
    error.hint = hint_for(detail, token);
    return error;
}

std::optional<std::size_t> stray_byte(std::string_view text, Diagnostics& diagnostics) {
    const std::size_t nul = text.find('\0');
    if (nul != std::string_view::npos) {
        diagnostics.push_back(
            {Code::json_encoding, Severity::error, "",
             "There is a NUL byte, which no JSON text holds.",
             "Remove it; was the file saved as UTF-16, or cut short by a crash?"});
        return nul;
    }
    if (text.substr(0, 3) == "\xEF\xBB\xBF") {
        diagnostics.push_back({Code::json_encoding, Severity::error, "",
                               "There is a byte order mark inside the file.",
                               "Remove it; only the first bytes of a file may be one."});
        return 0;
    }
    return std::nullopt;
}

} // namespace trayworth::io
