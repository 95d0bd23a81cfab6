// What a tray is worth: a sum of values whose uncertainties are in part common to all the stones
// and then do not average out.
//
// Symbols
//   V_i      likely value (the median) of stone i, in the matrix's currency
//   c_is     what the input s contributes to the standard uncertainty of ln V_i, signed
//   r_is     how much of that input is common: 0 each stone has its own, 1 all have the same
//   z_s      the common part of the input s, and
//   z_is     stone i's own part of it, all independent and of unit variance:
//            ln V_i varies by sum_s c_is (sqrt(r_is) z_s + sqrt(1 - r_is) z_is)
//   u_i^2    sum_s c_is^2
//   k        coverage factor
//   S        the sum of the values; M its median, sigma the standard uncertainty of ln S
//
// Approximations
//   Each value is taken as lognormal, its inputs as linear in ln V (JCGM 100:2008, 5.1.2).
//   S is taken as lognormal with the mean and the variance of the sum: L. F. Fenton, "The sum of
//   log-normal probability distributions in scatter transmission systems", IRE Trans. Commun. Syst.
//   8 (1960), who ascribes it to R. I. Wilkinson (from memory).
//   Its mean is exact. Its variance is exact when any two of the stones have the same covariance of
//   ln V - none in common, or all in common, among others; if they differ, their mean, weighted by
//   value, stands for each of them.
// Two limits follow and are kept to the last digit: stones with nothing in common add by the root
// sum of squares, stones with everything in common add end to end.
#pragma once

#include "valuation/value.hpp"

#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::valuation {

struct SourceShare {
    std::string source;
    double share = 0;  // of the variance of the sum, 0 to 1
    double common = 0; // the part of `share` that is common to all stones
};

struct Total {
    std::size_t stones = 0;
    double likely = 0; // sum of the likely values
    // Median and range of the sum. Where errors average out the median lies above `likely`: a stone
    // may bring more above its likely value than it may fall short of it.
    double median = 0;
    double low = 0;
    double high = 0;
    double u = 0;            // standard uncertainty of ln of the sum
    double common_share = 0; // of the variance of the sum: it is common and does not average out
    std::vector<SourceShare> sources; // largest first, those without effect left out
};

// Takes stones one after the other and keeps a few sums for each source, not the stones. Their
// order does not matter but for the rounding of the sums' last digits.
class TrayTotal {
public:
    // likely > 0. The range of a total ends where the sum of the outer limits does.
    void add(double likely,
             std::span<const Effect> effects,
             Interval outer = {0, std::numeric_limits<double>::infinity()});

    [[nodiscard]] Total total(double coverage_factor) const;

    // How many sources are kept.
    [[nodiscard]] std::size_t sources() const { return sources_.size(); }

private:
    // E_i is the mean of V_i; sums over the stones.
    struct Source {
        std::string name;
        double common = 0;          // sum E_i sqrt(r) c
        double own = 0;             // sum E_i^2 (1 - r) c^2
        std::size_t last_stone = 0; // the last that had it, from 1
    };
    Source& source_of(std::string_view name);

    std::size_t stones_ = 0;
    double likely_ = 0;
    double mean_ = 0;            // sum E_i
    double squares_ = 0;         // sum E_i^2
    double variances_ = 0;       // sum Var V_i
    double pairs_ = 0;           // sum over i != j of E_i E_j
    double pair_covariance_ = 0; // sum over i != j of E_i E_j cov(ln V_i, ln V_j)
    Interval outer_;
    std::vector<Source> sources_;
};

} // namespace trayworth::valuation
