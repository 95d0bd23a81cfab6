#include "core/diagnostic.hpp"

#include <algorithm>

namespace trayworth {

std::string_view name_of(Code code) {
    static constexpr std::array<std::string_view, static_cast<std::size_t>(Code::count_)> names{
        "json-syntax",     "json-encoding",    "json-key-repeated",   "json-too-deep",
        "number-size",     "field-unknown",    "field-missing",       "value-type",
        "value-range",     "value-unknown",    "range-reversed",      "brightness-scale",
        "format-version",  "not-priced",       "not-estimable",       "weight-missing",
        "not-stated",      "shares-sum",       "density-implausible", "dome-contradicts",
        "setting-weighed", "currency-differs",
    };
    return names[static_cast<std::size_t>(code)];
}

bool has_errors(const Diagnostics& diagnostics) {
    return std::any_of(diagnostics.begin(), diagnostics.end(),
                       [](const Diagnostic& d) { return d.severity == Severity::error; });
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
