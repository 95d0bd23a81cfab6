#include "core/uncertain.hpp"

#include <algorithm>
#include <array>
#include <charconv>

namespace trayworth {

double coverage_factor(double coverage) {
    // Newton's iteration on erf(k / sqrt(2)) = p; erf is concave for k > 0, so from the left it
    // climbs to the root without overshooting.
    const double root2 = std::numbers::sqrt2;
    double k = 0;
    for (int i = 0; i < 100; ++i) {
        const double gap = coverage - std::erf(k / root2);
        const double slope = root2 * std::numbers::inv_sqrtpi * std::exp(-k * k / 2);
        const double step = gap / slope;
        k += step;
        if (std::abs(step) < 1e-14 * (1 + k)) {
            break;
        }
    }
    return k;
}

Uncertain Reading::uncertain() const {
    if (low != high) {
        return rectangular(low, high);
    }
    if (standard_uncertainty) {
        return normal(low, *standard_uncertainty);
    }
    return rectangular(low - resolution / 2, low + resolution / 2);
}

double resolution_of(std::string_view number) {
    constexpr int most_exponent = 400; // a power of ten beyond it is 0 or infinite
    std::size_t point = std::string_view::npos;
    std::size_t mantissa_end = 0;
    for (; mantissa_end < number.size(); ++mantissa_end) {
        const char c = number[mantissa_end];
        if (c == 'e' || c == 'E') {
            break;
        }
        if (c == '.') {
            point = mantissa_end;
        }
    }
    int exponent = 0;
    if (mantissa_end < number.size()) {
        std::size_t digits = mantissa_end + 1;
        digits += number[digits] == '+' ? 1 : 0;
        std::from_chars(number.data() + digits, number.data() + number.size(), exponent);
        exponent = std::clamp(exponent, -most_exponent, most_exponent);
    }
    if (point != std::string_view::npos) {
        exponent -= static_cast<int>(mantissa_end - point - 1);
    }
    constexpr std::array<double, 7> usual{1, 0.1, 0.01, 0.001, 1e-4, 1e-5, 1e-6};
    const bool is_usual = exponent <= 0 && exponent > -static_cast<int>(usual.size());
    return is_usual ? usual[static_cast<std::size_t>(-exponent)] : std::pow(10.0, exponent);
}

namespace {

std::optional<double> positive_number(std::string_view text) {
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [stopped, failure] =
        std::from_chars(text.data(), end, value, std::chars_format::fixed);
    const bool whole = failure == std::errc{} && stopped == end;
    return whole && value > 0 && std::isfinite(value) ? std::optional(value) : std::nullopt;
}

} // namespace

std::optional<Reading> reading_from(std::string_view text) {
    const std::size_t dash = text.find('-');
    const std::optional<double> low = positive_number(text.substr(0, dash));
    if (dash == std::string_view::npos) {
        return low ? std::optional(Reading{*low, *low, resolution_of(text), {}}) : std::nullopt;
    }
    const std::optional<double> high = positive_number(text.substr(dash + 1));
    if (!low || !high || *low > *high) {
        return std::nullopt;
    }
    return Reading{*low, *high, 0, {}};
}

} // namespace trayworth
