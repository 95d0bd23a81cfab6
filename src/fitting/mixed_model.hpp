// A linear mixed model by its normal equations, with variance components by restricted maximum
// likelihood (REML).
//
// Symbols
//   z = X d + e        z, X  working response and design; only their sums of products are needed
//   e_i                variance s2 / w_i, with weights w_i
//   d_j                variance t2_g for number j of group g; fixed (t2 infinite) where it has none
//   C                  X'WX / s2 + D^-1, D = diag(t2); C^-1 is the covariance of d given the data
//   d                  C^-1 X'Wz / s2                    best linear unbiased prediction
//   g_g                q_g - tr(C^-1_gg) / t2_g          what the data say of group g, in numbers
//   l                  -1/2 (n ln s2 + sum q_g ln t2_g + ln |C| + y'Py)       restricted likelihood
//
// Henderson's mixed-model equations, and l and its derivatives from C^-1 alone: S. R. Searle,
// G. Casella, C. E. McCulloch, Variance Components, 1992, chapters 6 to 8 (from memory; the tests
// compare with R's nlme). The maximum is found by Fisher scoring in the logarithms of the
// variances.
//
// A prior stands beside each variance: what it would be, and how many observations that is worth
// (scaled inverse chi-squared). With few sales it decides, with many it vanishes.
#pragma once

#include <Eigen/Dense>
#include <cstddef>
#include <vector>

namespace trayworth::fitting {

// Sums over the observations, by weight.
struct NormalEquations {
    Eigen::MatrixXd xx; // X'WX, lower triangle
    Eigen::VectorXd xz; // X'Wz
    double zz = 0;      // z'Wz
    double count = 0;   // n

    explicit NormalEquations(Eigen::Index columns)
        : xx(Eigen::MatrixXd::Zero(columns, columns)), xz(Eigen::VectorXd::Zero(columns)) {}
};

inline constexpr int fixed_group = -1;

// What a variance is expected to be, and the number of observations that this is worth.
struct VariancePrior {
    double variance = 0;
    double weight = 0; // 0: none
};

struct Variances {
    double residual = 0;        // s2
    std::vector<double> groups; // t2
};

struct MixedModel {
    std::vector<int> group; // of each column, from 0; or fixed_group
    std::size_t groups = 0;
    VariancePrior residual;
    std::vector<VariancePrior> priors; // of the groups
};

struct Solution {
    Eigen::VectorXd d;
    Eigen::MatrixXd covariance; // C^-1
    Variances variances;
    int iterations = 0;
    bool converged = false;
};

struct RemlOptions {
    int most_steps = 200;
    double tolerance = 1e-9; // of a step in the logarithms of the variances
};

// Maximises the likelihood, from `start`. Requires a positive definite C.
Solution restricted_maximum_likelihood(const NormalEquations& normal,
                                       const MixedModel& model,
                                       const Variances& start,
                                       const RemlOptions& options = {});

} // namespace trayworth::fitting
