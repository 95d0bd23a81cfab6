#include "core/diagnostic.hpp"

#include "core/bounds.hpp"
#include "core/decimal.hpp"

#include <algorithm>

namespace trayworth {

namespace {

struct Kind {
    std::string_view name;
    Severity severity;
};

// In the order of Code.
constexpr std::array<Kind, static_cast<std::size_t>(Code::count_)> kinds{{
    {"json-syntax", Severity::error},
    {"json-encoding", Severity::error},
    {"json-key-repeated", Severity::error},
    {"json-too-deep", Severity::error},
    {"record-size", Severity::error},
    {"text-size", Severity::error},
    {"list-size", Severity::error},
    {"number-size", Severity::error},
    {"errors-too-many", Severity::error},
    {"csv-syntax", Severity::error},
    {"csv-encoding", Severity::error},
    {"csv-too-large", Severity::error},
    {"field-unknown", Severity::error},
    {"field-missing", Severity::error},
    {"value-type", Severity::error},
    {"value-range", Severity::error},
    {"value-unknown", Severity::error},
    {"range-reversed", Severity::error},
    {"brightness-scale", Severity::error},
    {"format-version", Severity::error},
    {"extends-unknown", Severity::error},
    {"extends-cycle", Severity::error},
    {"not-priced", Severity::error},
    {"not-estimable", Severity::error},
    {"weight-missing", Severity::error},
    {"word-barred", Severity::error},
    {"template-field", Severity::error},
    {"usage", Severity::error},
    {"file-access", Severity::error},
    {"not-stated", Severity::warning},
    {"shares-sum", Severity::warning},
    {"grades-contradict", Severity::warning},
    {"fault-place", Severity::warning},
    {"dimensions-order", Severity::warning},
    {"dimensions-unit", Severity::warning},
    {"depth-above-width", Severity::warning},
    {"density-implausible", Severity::warning},
    {"dome-contradicts", Severity::warning},
    {"setting-weighed", Severity::warning},
    {"currency-differs", Severity::warning},
    {"matrix-dated", Severity::warning},
    {"grid-gap", Severity::warning},
    {"curve-gap", Severity::warning},
    {"factor-gap", Severity::warning},
    {"tone-order", Severity::warning},
    {"brightness-order", Severity::warning},
    {"curve-order", Severity::warning},
    {"word-order", Severity::warning},
    {"level-order", Severity::warning},
    {"price-jump", Severity::warning},
    {"curve-jump", Severity::warning},
    {"spread-odd", Severity::warning},
    {"unreachable", Severity::warning},
    {"counted-twice", Severity::warning},
    {"absent-pays", Severity::warning},
    {"fault-pays", Severity::warning},
    {"rounding-order", Severity::warning},
    {"rounding-coarse", Severity::warning},
    {"rounding-fine", Severity::warning},
    {"acceptance-unused", Severity::warning},
    {"table-left-out", Severity::warning},
    {"fit-no-better", Severity::warning},
    {"sold-together", Severity::warning},
}};

} // namespace

std::string_view name_of(Code code) {
    return kinds[static_cast<std::size_t>(code)].name;
}

Severity severity_of(Code code) {
    return kinds[static_cast<std::size_t>(code)].severity;
}

std::string_view name_of(Severity severity) {
    return severity == Severity::error ? "error" : "warning";
}

std::optional<Code> code_from(std::string_view name) {
    const auto found = std::find_if(kinds.begin(), kinds.end(),
                                    [name](const Kind& kind) { return kind.name == name; });
    return found == kinds.end() ? std::nullopt
                                : std::optional(static_cast<Code>(found - kinds.begin()));
}

void report(Diagnostics& diagnostics,
            Code code,
            std::string_view pointer,
            std::string message,
            std::string hint) {
    diagnostics.push_back({.code = code,
                           .severity = severity_of(code),
                           .pointer = std::string(pointer),
                           .message = std::move(message),
                           .hint = std::move(hint)});
}

bool has_errors(const Diagnostics& diagnostics) {
    return std::any_of(diagnostics.begin(), diagnostics.end(),
                       [](const Diagnostic& d) { return d.severity == Severity::error; });
}

void make_errors(Diagnostics& diagnostics) {
    for (Diagnostic& diagnostic : diagnostics) {
        diagnostic.severity = Severity::error;
    }
}

std::string errors_too_many() {
    return "There are more than " + grouped(bounds::errors) + " errors, and no more are told.";
}

std::string pointer_token(std::string_view name) {
    std::string token;
    for (const char c : name) {
        if (c == '~') {
            token += "~0";
        } else if (c == '/') {
            token += "~1";
        } else {
            token += c;
        }
    }
    return token;
}

bool is_pointer(std::string_view text) {
    for (std::size_t i = text.find('~'); i != std::string_view::npos; i = text.find('~', i + 1)) {
        if (i + 1 == text.size() || (text[i + 1] != '0' && text[i + 1] != '1')) {
            return false;
        }
    }
    return text.starts_with('/');
}

std::vector<std::string> pointer_tokens(std::string_view pointer) {
    std::vector<std::string> tokens;
    while (!pointer.empty()) {
        pointer.remove_prefix(1);
        const std::string_view raw = pointer.substr(0, pointer.find('/'));
        pointer.remove_prefix(raw.size());
        std::string& token = tokens.emplace_back();
        for (std::size_t i = 0; i < raw.size(); ++i) {
            const bool escaped = raw[i] == '~' && i + 1 < raw.size();
            token += !escaped ? raw[i] : raw[++i] == '1' ? '/' : '~';
        }
    }
    return tokens;
}

} // namespace trayworth
