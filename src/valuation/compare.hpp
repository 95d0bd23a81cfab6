// One stone under two matrices, and what the difference comes from.
//
// Symbols
//   V_a, V_b   likely values under A and under B, in one currency
//   f_at, f_bt likely factors of the term t; 1 under the matrix that has no such term
//   d_t        ln f_bt - ln f_at
//   L          (V_b - V_a) / (ln V_b - ln V_a), the logarithmic mean of the two values; V_a when
//              they are equal
// The weight is the same under both, so that sum_t d_t = ln V_b - ln V_a, and the parts L d_t of
// the change in money add up to V_b - V_a: the logarithmic mean Divisia index, B. W. Ang,
// "Decomposition analysis for policymaking in energy", Energy Policy 32 (2004) (from memory).
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "valuation/value.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace trayworth::valuation {

// The logarithmic mean of two positive numbers.
double logarithmic_mean(double a, double b);

// A cell of a grid, point of a curve, word or colour that both matrices have in a term's mean with
// the same weight, and its part of the term's d_t; the parts add up to d_t.
struct CellChange {
    CellUsed a;
    CellUsed b;
    double log_change = 0;
};

struct Cause {
    std::string step;        // as the reasons name it
    std::optional<Reason> a; // nothing where that matrix has no such term
    std::optional<Reason> b;
    double log_change = 0;         // d_t
    double change = 0;             // L d_t, in the currency of the values
    std::vector<CellChange> cells; // where the term is a mean of the same cells under both

    [[nodiscard]] const Row& row() const { return b ? b->row : a->row; }
};

struct Compared {
    std::optional<Valuation> a;
    std::optional<Valuation> b;
    Diagnostics a_diagnostics; // why it is not valued, or warnings
    Diagnostics b_diagnostics;
    // Where both are valued:
    double log_change = 0;     // ln V_b - ln V_a
    double change = 0;         // V_b - V_a
    std::vector<Cause> causes; // terms that differ, largest first
};

// Both matrices give values in the same currency.
Compared compare(const Stone& stone, const Request& a, const Request& b);

// What a step brings to a tray's change.
struct StepTotal {
    std::string step;
    std::size_t stones = 0; // for which it differs
    double change = 0;
};

// Of the stones that are valued under both.
struct ComparedTotal {
    std::size_t both = 0;
    std::size_t only_a = 0;
    std::size_t only_b = 0;
    std::size_t neither = 0;
    double a = 0; // sums of the likely values
    double b = 0;
    std::vector<StepTotal> steps; // in the order of their coming, until they are sorted

    void add(const Compared& comparison);
    void sort_steps(); // largest first
};

} // namespace trayworth::valuation
