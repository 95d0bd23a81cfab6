#include "core/diagnostic.hpp"

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
    {"field-unknown", Severity::error},
    {"field-missing", Severity::error},
    {"value-type", Severity::error},
    {"value-range", Severity::error},
    {"value-unknown", Severity::error},
    {"range-reversed", Severity::error},
    {"brightness-scale", Severity::error},
    {"format-version", Severity::error},
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

bool has_errors(const Diagnostics& diagnostics) {
    return std::any_of(diagnostics.begin(), diagnostics.end(),
                       [](const Diagnostic& d) { return d.severity == Severity::error; });
}

void make_errors(Diagnostics& diagnostics) {
    for (Diagnostic& diagnostic : diagnostics) {
        diagnostic.severity = Severity::error;
    }
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

} // namespace trayworth
