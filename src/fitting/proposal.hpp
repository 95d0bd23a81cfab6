// What a matrix becomes by its sales: every number that sales speak of moved as far as they say,
// in the orders that the matrix keeps and within the step that is allowed, and all their [low,
// high] made wider or narrower alike, so that they hold as many sales as the matrix states. What no
// sale speaks of stays where it is, but where its neighbours by order would pass it.
//
// Symbols
//   m_j + d_j   middle of number j in logarithms, moved by estimate.hpp
//   s_j         its standard error; numbers out of order meet at their mean by 1 / s_j^2
//   q           by which every [low, high] is widened, in logarithms: the smallest with
//               |r_i| <= k sqrt(v_i + q^2 S_i) for the stated share of the sales, where r_i is the
//               residual with sale i left out, from the middles in order; S_i the part of the
//               variance of ln V_i that comes from the [low, high], v_i the rest. With n sales it
//               counts for n / (n + 10). Where the matrix states single numbers alone, prices
//               get the half-width that does the same.
#pragma once

#include "fitting/estimate.hpp"
#include "fitting/evidence.hpp"
#include "fitting/isotonic.hpp"
#include "fitting/numbers.hpp"
#include "pricing/matrix.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace trayworth::fitting {

// A matrix with what is found out about it once.
struct Subject {
    explicit Subject(const pricing::Matrix& from);

    const pricing::Matrix& matrix;
    Numbers numbers;
    std::vector<Chain> orders;
};

struct ProposalOptions {
    EstimateOptions estimate;
    std::optional<double> most_change; // 0.2: no number by more than a fifth, up or down
};

struct Change {
    std::size_t number = 0;
    std::size_t sales = 0;
    double correction = 0; // of ln, as estimated: before order, bounds and rounding
    pricing::Spread before;
    pricing::Spread now; // low and high in three significant digits, four if the error is below 5 %
    double standard_error = 0; // of ln
    bool by_order = false;     // kept from going out of order
    bool bounded = false;      // at the most that it may change
};

struct Proposal {
    std::vector<pricing::Spread> spreads; // of all numbers
    std::vector<Change> changes;          // in the order of the matrix
    std::vector<std::size_t> unsold;      // numbers that no sale used, as they were
    std::vector<std::size_t> held;        // by index, as the others
    std::optional<double> widening;   // q; nothing where no stone sold, or there is a half-width
    std::optional<double> half_width; // ln, of prices, where the matrix states single numbers
    Estimate estimate;
};

// Requires one sale at least.
Proposal propose(std::span<const Observation* const> sales,
                 const Subject& subject,
                 const ProposalOptions& options,
                 const Estimate* warm = nullptr);

} // namespace trayworth::fitting
