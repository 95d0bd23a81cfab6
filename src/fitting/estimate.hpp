// The corrections that sales ask of a matrix: penalised least squares on the logarithm of the
// price.
//
// Symbols as in evidence.hpp and mixed_model.hpp, and
//   r_i    y_i - change of ln V_i under the corrections - b t_i     residual
//   b, t   trend a year, if one is asked for; years from the last sale, not above 0
//   c      Huber's constant; a sale further off than c robust deviations counts less:
//          w_i = min(1, c s_r / |r_i|), s_r = median |r| / 0.6745
//   a_i    r_i / s for a stone unsold at P_i: ln V_i lies below ln P_i, with the likelihood
//          Phi(a_i); l = phi(a_i) / Phi(a_i), and by Newton's rule
//          w_i = l (l + a_i), working response = prediction - s l / w_i
//   h_i    leverage; r_i / (1 - h_i) is the residual when the sale is left out
//
// Every number's correction is drawn towards zero - the present matrix - by a variance that its
// table has in common (a random effect), estimated by restricted maximum likelihood. A number that
// no sale uses has no correction.
//
// P. J. Huber, "Robust Estimation of a Location Parameter", Ann. Math. Statist. 35 (1964); J.
// Tobin, "Estimation of Relationships for Limited Dependent Variables", Econometrica 26 (1958); R.
// D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982 (all from memory; the tests
// compare with R's MASS, survival, nlme and lm).
#pragma once

#include "fitting/evidence.hpp"
#include "fitting/numbers.hpp"

#include <chrono>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace trayworth::fitting {

inline constexpr double usual_huber = 1.345; // 95 % as good as least squares where nothing is odd

struct EstimateOptions {
    bool trend = false;
    double huber = usual_huber; // infinity: least squares
    // How many sales the matrix's own [low, high] are worth, as a statement of how far off its
    // numbers, and sales, may be.
    double prior_weight = 4;
    double tolerance = 1e-6;   // of a correction
    bool shrink = true;        // false: no number is drawn towards the matrix, as in least squares
    bool look_for_ties = true; // fills Estimate::together and tied_tables
};

struct Trend {
    double per_year = 0; // of ln price
    double standard_error = 0;
};

struct Estimate {
    std::vector<double> corrections;      // ln, by number
    std::vector<double> standard_errors;  // of these; 0 where there are no sales
    std::vector<std::size_t> sales;       // that use the number, unsold ones too
    double residual_deviation = 0;        // s
    std::vector<double> group_deviations; // t, by group; 0 where nothing was sold
    std::optional<Trend> trend;
    std::chrono::sys_days reference; // of the trend: the last day
    // Of each sale, left out; nothing where it did not sell.
    std::vector<std::optional<double>> left_out;
    std::size_t odd = 0; // sales that count less than half
    // Pairs of numbers that only ever occur together, so that no sale tells one from the other.
    std::vector<std::pair<std::size_t, std::size_t>> together;
    // Tables that can move against each other without any sale noticing. Empty, or two at least.
    std::vector<std::string> tied_tables;
    int iterations = 0;
    bool converged = false;
};

// Negative where `to` is the earlier.
double years_between(std::chrono::sys_days from, std::chrono::sys_days to);

// Requires one sale at least. `warm` is an estimate from nearly the same sales, to begin at.
Estimate estimate(std::span<const Observation* const> sales,
                  const Numbers& numbers,
                  double coverage_factor,
                  const EstimateOptions& options,
                  const Estimate* warm = nullptr);

} // namespace trayworth::fitting
