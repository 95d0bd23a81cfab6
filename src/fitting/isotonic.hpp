// Least squares under an order.
//
// Pool-adjacent-violators: M. Ayer et al., "An Empirical Distribution Function for Sampling with
// Incomplete Information", Ann. Math. Statist. 26 (1955). Several orders at once by cyclic
// projection: R. L. Dykstra, "An Algorithm for Restricted Least Squares Regression", J. Amer.
// Statist. Assoc. 78 (1983) (both from memory; the tests compare with R's isoreg).
#pragma once

#include "core/range.hpp"

#include <cstddef>
#include <span>
#include <vector>

namespace trayworth::fitting {

// The values that do not descend and are nearest to `values`, by weighted squares. Weights are
// above zero, as many as values.
std::vector<double> isotonic(std::span<const double> values, std::span<const double> weights);

// Indices of values, in the order in which these must not descend.
using Chain = std::vector<std::size_t>;

// The values nearest to `values` that descend along none of the chains and lie in their limits.
// Requires that there are such values, and as many weights and limits as values.
std::vector<double> ordered_within(std::vector<double> values,
                                   std::span<const double> weights,
                                   std::span<const Range<double>> limits,
                                   std::span<const Chain> chains);

} // namespace trayworth::fitting
