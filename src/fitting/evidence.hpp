// What a sale says of the numbers of a matrix.
//
// Symbols
//   V_i        likely value of stone i by the matrix
//   P_i        price that was paid, or asked in vain
//   y_i        ln(P_i / V_i)
//   d_j        correction of number j: its logarithm's new middle less the old
//   a_ij       weight that number j has in ln V_i: 1 for a word or a cell alone, less where the
//              stone lies between several
//   ln V_i     changes by sum_j a_ij d_j; where colours are mixed, by
//              ln(sum_j s_j f_j e^(d_j) / sum_j s_j f_j), with shares s and factors f
//   h_j        half-width of number j in logarithms; the matrix's standard uncertainty is h_j / k
#pragma once

#include "core/diagnostic.hpp"
#include "core/range.hpp"
#include "core/stone.hpp"
#include "fitting/numbers.hpp"

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace trayworth::fitting {

// A number that went into a value.
struct Use {
    double weight = 0; // a_ij; of a mixed colour s_j f_j over their sum, at the matrix's own f
    double power = 1;  // of a mean of colours
    std::uint32_t number = 0;
    std::uint16_t input =
        0;              // uses of one input have one [low, high] between them, and are neighbours
    bool mixed = false; // part of an arithmetic mean
};

// One sale, or one offer in vain, of a stone that the matrix prices.
struct Observation {
    double log_value = 0; // ln V_i
    double log_price = 0; // ln P_i
    bool unsold = false;  // worth less than P_i
    // Of ln V_i, what comes from grading and measuring and not from the matrix's [low, high].
    double own_variance = 0;
    std::vector<Use> uses;

    // For summaries.
    std::chrono::sys_days day;
    std::optional<double> days_on_offer;
    std::size_t grid = 0; // of the matrix
    Range<int> tone;
    double brightness = 0; // on the matrix's scale
    double carats = 0;

    [[nodiscard]] double log_ratio() const { return log_price - log_value; }
};

// Values the stone at the level that it was offered at. Errors are appended with pointers from the
// record's root; nothing is returned when there is one.
std::optional<Observation> observe(const Stone& stone,
                                   const pricing::Matrix& matrix,
                                   const Numbers& numbers,
                                   Diagnostics& diagnostics);

// By how much ln V changes under corrections of the matrix's numbers.
double log_change(const Observation& sale, std::span<const double> corrections);

// The derivative of ln V by each number used, under corrections: in the order of `uses`.
void gradient(const Observation& sale,
              std::span<const double> corrections,
              std::vector<double>& weights);

// Variance of ln V under other numbers; `k` is the coverage factor of their [low, high].
double variance(const Observation& sale, std::span<const pricing::Spread> spreads, double k);

} // namespace trayworth::fitting
