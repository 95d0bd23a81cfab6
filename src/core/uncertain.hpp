// A quantity with its standard uncertainty, as JCGM 100:2008 (GUM) uses the word.
//
// Symbols
//   x     best estimate, in the unit of the quantity
//   u     standard uncertainty of x, same unit
//   a     half-width of a rectangular distribution; u = a / sqrt(3)   JCGM 100, 4.3.7
//   d     resolution of an indication;              u = d / sqrt(12)  JCGM 100, F.2.2.1
//   p, k  coverage probability and the coverage factor of a normal distribution, k =
//   Phi^-1((1+p)/2)
#pragma once

#include <cmath>
#include <numbers>
#include <optional>
#include <string_view>

namespace trayworth {

enum class Distribution { exact, rectangular, normal };

struct Uncertain {
    double value = 0;
    double u = 0;
    Distribution distribution = Distribution::exact;

    [[nodiscard]] double half_width() const { return u * std::numbers::sqrt3; }
};

constexpr Uncertain exact(double value) {
    return {value, 0, Distribution::exact};
}

inline Uncertain normal(double value, double u) {
    return {value, u, Distribution::normal};
}

// Known only to lie between low and high.
inline Uncertain rectangular(double low, double high) {
    return {(low + high) / 2, (high - low) / (2 * std::numbers::sqrt3), Distribution::rectangular};
}

// The coverage factor k with P(|Z| <= k) = coverage for a standard normal Z. 0 < coverage < 1.
double coverage_factor(double coverage);

// A number as it was read from an instrument or a form.
struct Reading {
    double low = 0; // low == high unless limits were given
    double high = 0;
    double resolution = 0; // one unit of the last decimal that was written down
    std::optional<double> standard_uncertainty{}; // as stated with the reading

    [[nodiscard]] double middle() const { return (low + high) / 2; }

    // Limits are rectangular between them; a stated uncertainty is taken as a standard
    // uncertainty; failing both, the last digit written is the resolution (JCGM 100, F.2.2.1).
    [[nodiscard]] Uncertain uncertain() const;
};

// One unit of the last decimal of a number as it was written: 0.01 for "12.10", 1 for "12".
double resolution_of(std::string_view number);

// "12.1" as a reading, "2.06-2.14" as limits; nothing when it is neither, or not above 0.
std::optional<Reading> reading_from(std::string_view text);

} // namespace trayworth
