#include "io/json_slips.hpp"

#include "io/bytes.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <optional>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

constexpr std::size_t npos = std::string_view::npos;
constexpr std::size_t most_slips = 20; // of one text

bool is_letter(char c) {
    return std::isalpha(static_cast<unsigned char>(c)) != 0;
}

// Quotes of word processors, three or two bytes long in UTF-8.
constexpr std::array<std::string_view, 7> curly_quotes{
    "\xE2\x80\x9C", "\xE2\x80\x9D", "\xE2\x80\x9E", "\xE2\x80\x98",
    "\xE2\x80\x99", "\xC2\xAB",     "\xC2\xBB"};

std::size_t curly_quote_at(std::string_view text, std::size_t at) {
    for (const std::string_view quote : curly_quotes) {
        if (text.substr(at, quote.size()) == quote) {
            return quote.size();
        }
    }
    return 0;
}

// Looks at what stands before and behind the place where the parser stopped: what stands before it
// is sound as far as it goes, so that its last byte tells what may follow.
class SlipFinder {
public:
    SlipFinder(std::string_view text, SyntaxError error)
        : text_(text), slip_{std::move(error), {}} {
        if (contains(detail(), "invalid literal")) {
            while (at() > 0 && is_letter(text_[at() - 1])) { // to the beginning of its word
                --slip_.error.offset;
            }
        }
        if (at() > 0) {
            before_ = text_.find_last_not_of(" \t\r\n", at() - 1);
        }
    }

    Slip find() {
        if (is_bound(slip_.error.code)) {
            return std::move(slip_);
        }
        if (slip_.error.code == Code::json_encoding || slip_.error.code == Code::number_size) {
            encoding();
        } else if (at() >= text_.size()) {
            cut_short();
        } else if (contains(detail(), "invalid string")) {
            in_text();
        } else if (contains(detail(), "invalid number")) {
            say("The number is not complete here.", "Write its digits: 5 or 5.0, not \"5.\".");
            if (text_[at() - 1] == '.') {
                patch(at() - 1, " ");
            }
        } else if (contains(detail(), "expected end of input")) {
            say("The text goes on after its last closing bracket.",
                "Is a bracket closed twice? Otherwise give each record a line of its own (NDJSON), "
                "or write [ and ] around them and commas between them.");
        } else if (!comment() && !comma() && !bracket()) {
            if (detail().starts_with("object separator")) {
                colon();
            } else if (value_ended()) {
                after_value();
            } else {
                instead_of_value();
            }
        }
        return std::move(slip_);
    }

private:
    [[nodiscard]] std::size_t at() const { return slip_.error.offset; }
    [[nodiscard]] char here() const { return text_[at()]; }
    [[nodiscard]] char before() const { return before_ == npos ? '\0' : text_[before_]; }
    [[nodiscard]] bool adjacent() const { return before_ != npos && before_ + 1 == at(); }
    [[nodiscard]] const std::string& detail() const { return slip_.error.detail; }
    [[nodiscard]] bool name_is_due() const { return detail().starts_with("object key"); }
    [[nodiscard]] bool value_ended() const {
        const char c = before();
        return c == '"' || c == '}' || c == ']' || is_digit(c) || is_letter(c);
    }

    void say(std::string message, std::string hint) {
        slip_.error.message = std::move(message);
        slip_.error.hint = std::move(hint);
    }
    void patch(std::size_t offset, std::string bytes) {
        slip_.patches.push_back({offset, std::move(bytes)});
    }
    void blank(std::size_t begin, std::size_t end) { patch(begin, std::string(end - begin, ' ')); }

    // The run of bytes from here that `belongs` holds of.
    template<class Belongs>
    [[nodiscard]] std::string_view run(std::size_t from, Belongs belongs) const {
        std::size_t end = from;
        while (end < text_.size() && belongs(text_[end])) {
            ++end;
        }
        return text_.substr(from, end - from);
    }
    // The number that ends before `end`.
    [[nodiscard]] std::string_view number_before(std::size_t end) const {
        std::size_t begin = end;
        while (begin > 0 &&
               (is_digit(text_[begin - 1]) || text_[begin - 1] == '.' || text_[begin - 1] == '-')) {
            --begin;
        }
        return text_.substr(begin, end - begin);
    }

    // The parser stops on the first byte that does not continue a character (RFC 3629, section 3).
    void encoding() {
        if (!contains(detail(), "ill-formed UTF-8") || at() >= text_.size()) {
            return;
        }
        const auto byte = [this](std::size_t i) { return static_cast<unsigned char>(text_[i]); };
        std::size_t begin = at();
        while (begin > 0 && (byte(begin - 1) & 0xC0U) == 0x80U) {
            --begin;
        }
        begin -= begin > 0 && byte(begin - 1) >= 0xC0U ? 1 : 0;
        const std::size_t length = byte(begin) >= 0xF0U ? 4 : byte(begin) >= 0xE0U ? 3 : 2;
        const bool begun = begin < at() && byte(begin) >= 0xC0U && begin + length > at();
        const std::size_t end = begun ? at() : at() + 1;
        slip_.error.offset = begun ? begin : at();
        patch(at(), std::string(end - at(), '?'));
    }

    void cut_short() {
        say(contains(detail(), "closing quote")
                ? "The text ends inside a quoted text."
                : "The text ends before its last bracket is closed.",
            "Is the file cut short? Close every bracket and quote that was opened.");
    }

    void in_text() {
        const char c = here();
        if (c == '\n' || c == '\r') {
            say("A line ends inside a quoted text.",
                "Is its closing quote missing? A line break that belongs to the text is written "
                "\\n.");
        } else if (c == '\t') {
            say("A tab stands inside a quoted text.", "Write it as \\t, or as blanks.");
            patch(at(), " ");
        } else if (contains(detail(), "control character")) {
            say(fmt::format("The control character U+{:04X} stands inside a quoted text.",
                            static_cast<unsigned>(static_cast<unsigned char>(c))),
                "Remove it.");
            patch(at(), " ");
        } else if (contains(detail(), "backslash")) {
            say("A backslash stands before a letter that it gives no meaning to.",
                "A backslash that belongs to the text is written \\\\.");
            patch(at() - 1, "/");
        } else if (contains(detail(), "hex digits")) {
            say("\\u is not followed by four hexadecimal digits.",
                "Write the character itself, or its four digits, as \\u00e9.");
        }
    }

    bool comment() {
        const std::string_view rest = text_.substr(at());
        std::size_t end = 0;
        if (rest.starts_with("//") || rest.starts_with("#")) {
            end = std::min(rest.find('\n'), rest.size());
        } else if (rest.starts_with("/*")) {
            const std::size_t close = rest.find("*/");
            end = close == npos ? 0 : close + 2;
        } else {
            return false;
        }
        if (end == 0) {
            say("A comment is not closed.", "Close it with */.");
        } else if (rest.starts_with("#")) {
            say("A comment begins with #.",
                "A record has no comments; \"notes\" is there for them. In a matrix a comment "
                "begins with //.");
        } else {
            say("A record has no comments.", "\"notes\" is there for them.");
        }
        if (end > 0) {
            blank(at(), at() + end);
        }
        return true;
    }

    bool comma() {
        if (here() != ',' || value_ended()) {
            return false;
        }
        if (before() == ':') {
            say("The field has no value.", "Write its value, or leave the field out.");
        } else {
            say(before() == ',' ? "A comma stands twice." : "A comma has nothing before it.",
                "Remove it.");
            patch(at(), " ");
        }
        return true;
    }

    bool bracket() {
        const char c = here();
        if (c != '}' && c != ']') {
            return false;
        }
        if (before() == ',') {
            slip_.error.offset = before_;
            say(fmt::format("A comma stands before a closing {}.", c), "Remove the comma.");
            patch(before_, " ");
        } else if (before() == ':') {
            say("The field has no value.", "Write its value, or leave the field out.");
        } else if (detail().starts_with("object separator")) {
            say("The field has no value.", "Write a colon and its value, or leave the field out.");
        } else {
            say(fmt::format("A {} closes what was opened with {}.", c, c == '}' ? '[' : '{'),
                "Close [ with ] and { with }, the last opened first.");
        }
        return true;
    }

    void colon() {
        if (here() == '=') {
            say("An equals sign stands where a colon belongs.", "Write a colon.");
            patch(at(), ":");
        } else {
            say("A colon is missing between the field's name and its value.",
                "Write \"name\": value.");
            if (is_blank(text_[at() - 1])) {
                patch(at() - 1, ":");
            }
        }
    }

    // A comma or a closing bracket was due.
    void after_value() {
        const char c = here();
        const bool after_number = is_digit(before());
        if (after_number && (is_letter(c) || c == '%')) {
            const std::string_view unit = run(
                at(), [](char b) { return is_letter(b) || is_digit(b) || b == '%' || b == '/'; });
            say(fmt::format("\"{}\" stands behind a number.", unit),
                "Write the number alone: the field's name says its unit, and a share is a part of "
                "1.");
            blank(at(), at() + unit.size());
        } else if (after_number && adjacent() &&
                   (is_digit(c) || c == '.' || c == '_' || c == '\'')) {
            odd_number();
        } else if (after_number && is_digit(c)) {
            const std::string_view rest = run(at(), [](char b) { return is_digit(b) || b == '.'; });
            say("Two numbers stand side by side.",
                fmt::format("Write a comma between them, or, when it is one number, {}{}.",
                            number_before(before_ + 1), rest));
            blank(at(), at() + rest.size());
        } else if (c == ';') {
            say("A semicolon stands where a comma belongs.", "Write a comma.");
            patch(at(), ",");
        } else if (before() == '"' && !is_value_start(c)) {
            say("A quoted text ends before this.",
                "A quote inside a text is written \\\"; otherwise remove what stands here.");
        } else if (is_value_start(c)) {
            say("A comma is missing before this.",
                "Write it, or close the bracket or quote that is still open.");
            if (is_blank(text_[at() - 1])) {
                patch(at() - 1, ",");
            }
        }
    }

    static bool is_value_start(char c) {
        return c == '"' || c == '{' || c == '[' || c == '-' || is_digit(c) || c == 't' ||
               c == 'f' || c == 'n';
    }

    // A number that the parser took to be at its end, and more of it.
    void odd_number() {
        const std::string_view rest =
            run(at(), [](char b) { return is_digit(b) || b == '.' || b == '_' || b == '\''; });
        if (is_digit(here())) {
            say("A number begins with 0 and another digit.", fmt::format("Write {}.", rest));
            patch(before_, " ");
            return;
        }
        std::string digits(number_before(at()));
        const bool grouped = here() != '.';
        for (const char c : rest) {
            digits += is_digit(c) || (grouped && c == '.') ? std::string(1, c) : "";
        }
        say(grouped ? "The digits of a number are grouped." : "A number has two points.",
            grouped ? fmt::format("Write {}.", digits)
                    : "Write one point, in front of the decimals, and nothing between the other "
                      "digits.");
        blank(at(), at() + rest.size());
    }

    // A value or a field's name was due.
    void instead_of_value() {
        const char c = here();
        if (c == '\'' || curly_quote_at(text_, at()) > 0) {
            wrong_quote();
        } else if (c == '+') {
            say("A number begins with a plus.", "Write it without.");
            patch(at(), " ");
        } else if (c == '.') {
            say("A number begins with its point.",
                fmt::format("Write a 0 before the point: 0.{}.", run(at() + 1, is_digit)));
            if (at() > 0 && text_[at() - 1] == ' ') {
                patch(at() - 1, "0");
            }
        } else if (is_letter(c)) {
            bare_word();
        } else if (name_is_due() && is_digit(c) && before() == ',' && before_ > 0 &&
                   is_digit(text_[before_ - 1])) {
            decimal_comma();
        } else if (name_is_due()) {
            say("A field's name is due here.",
                "Write it in double quotes, a colon, and its value.");
        }
    }

    void decimal_comma() {
        const std::string_view rest = run(at(), [](char b) { return is_digit(b) || b == '.'; });
        const std::string whole(number_before(before_));
        const bool close = adjacent();
        slip_.error.offset = before_;
        if (contains(rest, ".")) {
            say("A comma stands inside a number.", fmt::format("Write {}{}.", whole, rest));
            blank(before_ - whole.size(), before_ + 1);
        } else {
            say("A comma stands inside a number.",
                fmt::format("Write its decimals after a point: {}.{}.", whole, rest));
            if (close) {
                patch(before_, ".");
            }
        }
    }

    // 'text' or the quotes of a word processor: to the quote that closes it on the same line.
    void wrong_quote() {
        const std::size_t opening = std::max<std::size_t>(curly_quote_at(text_, at()), 1);
        say(opening > 1 ? "A text stands in the curly quotes of a word processor."
                        : "A text stands in single quotes.",
            "Write straight double quotes: \"text\".");
        for (std::size_t i = at() + opening; i < text_.size(); ++i) {
            const char c = text_[i];
            if (c == '"' || c == '\\' || c == '\n' || c == '\r') {
                return;
            }
            const std::size_t closing =
                opening == 1 ? (c == '\'' ? 1 : 0) : curly_quote_at(text_, i);
            const std::size_t next =
                closing == 0 ? npos : text_.find_first_not_of(' ', i + closing);
            if (next != npos && contains(",:}]\r\n", text_.substr(next, 1))) {
                patch(at(), std::string(opening - 1, ' ') + "\"");
                patch(i, "\"" + std::string(closing - 1, ' '));
                return;
            }
        }
    }

    void bare_word() {
        const std::string_view word =
            run(at(), [](char b) { return is_letter(b) || is_digit(b) || b == '_' || b == '-'; });
        std::string small(word);
        std::transform(small.begin(), small.end(), small.begin(),
                       [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
        if (name_is_due()) {
            say(fmt::format("The field's name {} stands without quotes.", word),
                fmt::format("Write \"{}\".", word));
        } else if (small == "true" || small == "false" || small == "null") {
            say(fmt::format("{} is written in small letters.", word),
                fmt::format("Write {}.", small));
            patch(at(), small);
        } else if (small == "none" || small == "nil" || small == "undefined") {
            say(fmt::format("{} is no value of JSON.", word),
                "Write null, or leave the field out.");
            if (word.size() == 4) {
                patch(at(), "null");
            }
        } else if (small == "yes" || small == "no") {
            say(fmt::format("{} is no value of JSON.", word), "Write true or false.");
        } else if (small == "nan" || small == "infinity" || small == "inf") {
            say(fmt::format("{} is no number of JSON.", word), "Leave out what was not measured.");
        } else {
            say(fmt::format("The text {} stands without quotes.", word),
                fmt::format("Write \"{}\".", word));
        }
    }

    std::string_view text_;
    Slip slip_;
    std::size_t before_ = npos; // of the last byte before it that is not blank
};

} // namespace

Slip slip_at(std::string_view text, SyntaxError error) {
    error.offset = std::min(error.offset, text.size());
    return SlipFinder(text, std::move(error)).find();
}

Mended mend_json(std::string_view text) {
    Mended mended{std::string(text), false, {}, {}};
    while (!mended.is_json) {
        std::optional<SyntaxError> error = check_syntax(mended.text);
        if (!error) {
            mended.is_json = true;
            break;
        }
        Slip slip = slip_at(mended.text, std::move(*error));
        mended.offsets.push_back(slip.error.offset);
        mended.slips.push_back({slip.error.code, Severity::error, std::move(slip.error.pointer),
                                std::move(slip.error.message), std::move(slip.error.hint)});
        if (slip.patches.empty() || mended.slips.size() == most_slips) {
            break;
        }
        for (const Patch& patch : slip.patches) {
            mended.text.replace(patch.offset, patch.bytes.size(), patch.bytes);
        }
    }
    return mended;
}

std::string without_comments(std::string_view text) {
    std::string plain(text);
    bool in_string = false;
    bool unclosed = false; // a comment: there is no end to any more
    for (std::size_t i = 0; i < plain.size(); ++i) {
        const char c = plain[i];
        if (in_string) {
            if (c == '\\') {
                ++i;
            } else {
                in_string = c != '"';
            }
        } else if (c == '"') {
            in_string = true;
        } else if (c == '/' && i + 1 < plain.size()) {
            std::size_t end = npos;
            if (plain[i + 1] == '/') {
                end = std::min(plain.find('\n', i), plain.size());
            } else if (plain[i + 1] == '*') {
                const std::size_t close = unclosed ? npos : plain.find("*/", i + 2);
                end = close == npos ? npos : close + 2;
                unclosed = close == npos;
            }
            for (; end != npos && i < end; ++i) {
                plain[i] = plain[i] == '\n' ? '\n' : ' ';
            }
            i -= end == npos ? 0 : 1;
        }
    }
    return plain;
}

} // namespace trayworth::io
