// How well a matrix foretells what stones sell for.
//
// Symbols
//   r_i    ln(price / likely value)
//   u_i    standard uncertainty of ln V_i;  k  coverage factor of the matrix's stated coverage
//   bias   mean of r_i: above 0, stones sell for more than the matrix says
//   APE    |price - likely value| / price
//   coverage    share of the sales with |r_i| <= k u_i
//   rank correlation    Spearman's: the correlation of the ranks, ties at their mean rank
//
// Out of sample: the ledger is cut into ten folds, sale i of the ledger into fold i mod 10, and
// each is foretold by the matrix that the others make; and the last fifth by date is foretold by
// what comes before it. The present matrix stands beside it on the same sales.
#pragma once

#include "fitting/proposal.hpp"

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace trayworth::fitting {

inline constexpr std::size_t folds = 10;
// Fewer sales are not cut up.
inline constexpr std::size_t fewest_to_cut = 20;

// Of one sale by one matrix.
struct Foretold {
    double log_value = 0;
    double log_price = 0;
    double u = 0;

    [[nodiscard]] double log_ratio() const { return log_price - log_value; }
};

struct Quality {
    std::size_t sales = 0;
    double bias_log = 0;
    double median_ape = 0;
    double coverage = 0;
    std::optional<double> rank_correlation; // of two sales at least that differ
};

// Requires one at least.
Quality quality(std::span<const Foretold> sales, double coverage_factor);

struct Group {
    std::string name;
    Quality quality;
};

struct Breakdown {
    std::string by; // "class", "body tone", "brightness", "size", "year", "days on offer"
    std::vector<Group> groups;
};

// Both matrices on the same sales that neither was made from.
struct OutOfSample {
    Quality before;
    Quality after;
};

// Stated coverage against the share of sales inside.
struct CoveragePoint {
    double stated = 0;
    double found = 0;
};

struct Assessment {
    std::size_t unsold = 0;
    std::size_t unsold_below = 0;   // asked less than the likely value, and nobody paid
    std::optional<Quality> quality; // by the present matrix; nothing where nothing sold
    std::vector<Breakdown> breakdowns;
    std::vector<CoveragePoint> calibration;
    std::vector<Foretold> sales; // sold, in the order of the ledger
    std::optional<OutOfSample> by_folds;
    std::optional<OutOfSample> by_time;

    // The first trial in which the new matrix is off by no less than the present one, if any.
    [[nodiscard]] const OutOfSample* no_better() const;
};

// By the present matrix alone.
Assessment assess(std::span<const Observation> sales, const Subject& subject);

// Fills by_folds and by_time where there are enough sales, on so many threads. `fitted` is made
// from all the sales.
void cut_up(Assessment& assessment,
            std::span<const Observation> sales,
            const Subject& subject,
            const ProposalOptions& options,
            const Estimate& fitted,
            std::size_t threads);

} // namespace trayworth::fitting
