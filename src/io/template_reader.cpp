#include "io/template_reader.hpp"

#include "core/bounds.hpp"
#include "core/nearest.hpp"
#include "core/utf8.hpp"
#include "io/locate.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

constexpr std::string_view safe_format = "<>^.0123456789 ";
constexpr std::size_t most_digits = 3;

// The longest run of digits: a width or a precision.
std::size_t longest_number(std::string_view spec) {
    std::size_t longest = 0;
    std::size_t run = 0;
    for (const char c : spec) {
        run = c >= '0' && c <= '9' ? run + 1 : 0;
        longest = std::max(longest, run);
    }
    return longest;
}

class Check {
public:
    Check(std::string_view text,
          const std::string& file,
          const std::vector<std::string_view>& fields,
          Diagnostics& diagnostics)
        : text_(text), file_(file), fields_(fields), diagnostics_(diagnostics) {}

    void run() {
        for (std::size_t at = 0; at < text_.size() && !given_up_;) {
            const std::string_view rest = text_.substr(at);
            if (rest.starts_with("{{") || rest.starts_with("}}") || rest.starts_with("\r\n")) {
                at += 2;
            } else if (rest.front() == '}') {
                error(at, "There is a \"}\" without its \"{\".",
                      "Write }} for a brace that is meant.");
                ++at;
            } else if (rest.front() == '{') {
                at = placeholder(at);
            } else {
                at = character(at);
            }
        }
    }

private:
    // Past the character at `at`, which stands in the filled text as it is.
    std::size_t character(std::size_t at) {
        const Utf8Character one = first_character(text_.substr(at));
        if (!one.valid) {
            error(at, "A byte here is not UTF-8.", "Save the template as UTF-8.");
        } else if (one.code != '\t' && one.code != '\n' && is_unseen(one.code)) {
            error(at, fmt::format("Here is a character that one cannot see, U+{:04X}.", one.code),
                  "Take it out.");
        }
        return at + one.bytes;
    }

    // Past the placeholder that opens at `at`.
    std::size_t placeholder(std::size_t at) {
        const std::size_t end = text_.find_first_of("{}", at + 1);
        if (end == std::string_view::npos || text_[end] == '{') {
            error(at, "A placeholder is not closed.",
                  "Write {name}, or {{ for a brace that is meant.");
            return at + 1;
        }
        if (++placeholders_ > bounds::placeholders) {
            error(at, fmt::format("There are more than {} placeholders.", bounds::placeholders),
                  "Is it the right file?");
            given_up_ = true;
            return end + 1;
        }
        const std::string_view inside = text_.substr(at + 1, end - at - 1);
        const std::size_t colon = inside.find(':');
        const std::string_view name = inside.substr(0, colon);
        if (std::find(fields_.begin(), fields_.end(), name) == fields_.end()) {
            const std::optional<std::string_view> near = nearest(name, fields_);
            error(at, fmt::format("There is no placeholder \"{}\".", name),
                  near ? fmt::format("Did you mean {{{}}}?", *near)
                       : fmt::format("Placeholders are: {}.", fmt::join(fields_, ", ")));
        } else if (colon != std::string_view::npos) {
            format(at, inside.substr(colon + 1));
        }
        return end + 1;
    }

    void format(std::size_t at, std::string_view spec) {
        if (longest_number(spec) > most_digits) {
            error(at, fmt::format("The format \"{}\" is wider than 999 characters.", spec),
                  "Give a smaller width.");
        } else if (spec.find_first_not_of(safe_format) != std::string_view::npos ||
                   !is_accepted(spec)) {
            error(at, fmt::format("The format \"{}\" is not one for words.", spec),
                  "Give an alignment, a width or a precision, such as {title:<40} or {title:.60}.");
        }
    }

    static bool is_accepted(std::string_view spec) {
        try {
            (void)fmt::format(fmt::runtime(fmt::format("{{:{}}}", spec)), "");
            return true;
        } catch (const fmt::format_error&) {
            return false;
        }
    }

    void error(std::size_t at, std::string message, std::string hint) {
        if (errors_++ == bounds::errors) {
            report(diagnostics_, Code::errors_too_many, "", errors_too_many(),
                   "Correct these first.");
            diagnostics_.back().file = file_;
            given_up_ = true;
            return;
        }
        Diagnostic diagnostic{Code::template_field, Severity::error, "", std::move(message),
                              std::move(hint)};
        diagnostic.file = file_;
        place(diagnostic, {text_}, at);
        diagnostics_.push_back(std::move(diagnostic));
    }

    std::string_view text_;
    const std::string& file_;
    const std::vector<std::string_view>& fields_;
    Diagnostics& diagnostics_;
    std::size_t placeholders_ = 0;
    std::size_t errors_ = 0;
    bool given_up_ = false;
};

} // namespace

void check_template(std::string_view text,
                    const std::string& file,
                    const std::vector<std::string_view>& fields,
                    Diagnostics& diagnostics) {
    Check(text, file, fields, diagnostics).run();
}

} // namespace trayworth::io
