#include "io/json_errors.hpp"

#include "core/bounds.hpp"
#include "core/decimal.hpp"
#include "io/bytes.hpp"
#include "io/locate.hpp"
#include "io/parse_json.hpp"

#include <algorithm>
#include <vector>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

constexpr int number_overflow = 406; // nlohmann::json::out_of_range::id

constexpr std::size_t longest_shown = 60; // of a number

// The detail of "[json.exception...] parse error at line 1, column 2: syntax error while parsing
// value - invalid literal; last read: '...'; expected ..." that follows the place, without what was
// read: that may be any text.
std::string detail_of(std::string_view what) {
    constexpr std::string_view lead = "syntax error while parsing ";
    constexpr std::string_view read = "; last read: '";
    if (const std::size_t at = what.find(lead); at != std::string_view::npos) {
        what.remove_prefix(at + lead.size());
    }
    const std::size_t end = what.find(read);
    std::string detail(what.substr(0, end));
    const std::size_t expected = what.rfind("'; expected ");
    if (end != std::string_view::npos && expected != std::string_view::npos && expected > end &&
        !contains(detail, "invalid string")) {
        detail += what.substr(expected + 1);
    }
    return detail;
}

std::string_view context_of(std::string_view detail) {
    return detail.substr(0, detail.find(" - "));
}

// The part after "unexpected", or the lexer's own complaint.
std::string_view complaint_of(std::string_view detail) {
    const std::size_t dash = detail.find(" - ");
    return dash == std::string_view::npos ? detail : detail.substr(dash + 3);
}

// The parser stands past the token that it did not expect; the lexer on the byte that will not do.
std::size_t offset_of(std::size_t position, const std::string& token, std::string_view detail) {
    const auto back = [position](std::size_t bytes) {
        return position - std::min(position, bytes);
    };
    if (contains(detail, "unexpected string literal") ||
        contains(detail, "unexpected number literal")) {
        return back(token.size());
    }
    for (const std::string_view word : {"true", "false", "null"}) {
        if (contains(detail, fmt::format("unexpected {} literal", word))) {
            return back(word.size());
        }
    }
    return back(1);
}

// Accepts whatever is JSON, and knows where it is.
class SyntaxCheck final : public JsonHandler {
public:
    explicit SyntaxCheck(std::optional<std::size_t> most_members) : most_members_(most_members) {}

    using json = nlohmann::json;
    std::optional<SyntaxError> error{};

    bool null() override { return value(); }
    bool boolean(bool) override { return value(); }
    bool number_integer(json::number_integer_t) override { return value(); }
    bool number_unsigned(json::number_unsigned_t) override { return value(); }
    bool number_float(double, const std::string&) override { return value(); }
    bool string(std::string&) override { return value(); }
    bool binary(json::binary_t&) override { return false; }
    bool start_object(std::size_t) override { return open(); }
    bool end_object() override { return close(); }
    bool start_array(std::size_t) override { return open(); }
    bool end_array() override { return close(); }
    bool key(std::string& name) override {
        if (name.size() > bounds::name_length && characters_in(name) > bounds::name_length) {
            return refuse(Code::text_size, name_too_long(), "Shorten it, or keep it as a text.");
        }
        if (most_members_ && levels_.back().passed == *most_members_) {
            return refuse(
                Code::list_size,
                fmt::format("The object has more than {} members.", grouped(*most_members_)),
                "Is it the right file?");
        }
        levels_.back().key = name;
        levels_.back().is_object = true;
        return true;
    }
    bool parse_error(std::size_t position,
                     const std::string& token,
                     const json::exception& thrown) override {
        error = syntax_error(position, token, thrown);
        error->pointer = pointer();
        return false;
    }

private:
    struct Level {
        std::string key{};
        bool is_object = false;
        std::size_t passed = 0; // values
    };

    // Of the object or array that is open.
    [[nodiscard]] std::string pointer() const {
        std::string text;
        for (std::size_t i = 0; i + 1 < levels_.size(); ++i) {
            const Level& level = levels_[i];
            text +=
                "/" + (level.is_object ? pointer_token(level.key) : std::to_string(level.passed));
        }
        return text;
    }
    bool refuse(Code code, std::string message, std::string hint) {
        error = SyntaxError{code, std::move(message), std::move(hint), 0, pointer(), {}};
        return false;
    }
    bool value() {
        if (!levels_.empty()) {
            ++levels_.back().passed;
        }
        return true;
    }
    bool open() {
        levels_.emplace_back();
        return levels_.size() <= bounds::nesting ||
               refuse(Code::json_too_deep,
                      fmt::format("The text is nested deeper than {} levels.", bounds::nesting),
                      "Remove what encloses it.");
    }
    bool close() {
        levels_.pop_back();
        return value();
    }

    std::optional<std::size_t> most_members_;
    std::vector<Level> levels_;
};

} // namespace

std::string text_too_long() {
    return fmt::format("The text is longer than {} characters.", grouped(bounds::text_length));
}

std::string name_too_long() {
    return fmt::format("A field's name is longer than {} characters.",
                       grouped(bounds::name_length));
}

bool is_bound(Code code) {
    return code == Code::json_too_deep || code == Code::text_size;
}

std::optional<SyntaxError> check_syntax(std::string_view text,
                                        bool comments_allowed,
                                        std::optional<std::size_t> most_members) {
    SyntaxCheck check(most_members);
    parse_json(text, check, comments_allowed);
    if (check.error && is_bound(check.error->code)) { // JSON so far
        const Wanted place{check.error->pointer};
        check.error->offset =
            locate(text, {&place, 1}, comments_allowed ? Comments::allowed : Comments::refused)
                .front();
    }
    return check.error;
}

SyntaxError syntax_error(std::size_t position,
                         const std::string& token,
                         const nlohmann::json::exception& thrown) {
    SyntaxError error;
    if (thrown.id == number_overflow) {
        error.code = Code::number_size;
        error.message =
            fmt::format("The number {}{} is too large to be held.", token.substr(0, longest_shown),
                        token.size() > longest_shown ? "..." : "");
        error.hint = "Write the number that was measured.";
        error.offset = position - std::min(position, token.size());
        return error;
    }
    error.detail = detail_of(thrown.what());
    const std::string_view detail = error.detail;
    error.offset = offset_of(position, token, detail);
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
    error.hint = "Look at the brackets, commas and quotes at and before this place.";
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
