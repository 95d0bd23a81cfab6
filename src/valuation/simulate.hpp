// The distribution of a value by the Monte Carlo method of JCGM 101:2008.
#pragma once

#include "valuation/model.hpp"
#include "valuation/value.hpp"

#include <cstddef>
#include <cstdint>
#include <span>

namespace trayworth::valuation {

// Draws every variable of the model from its distribution `trials` (>= 2) times. The same seed
// gives the same draws. Coverage lies between 0 and 1.
Simulation simulate(const Model& model, double coverage, std::size_t trials, std::uint64_t seed);

// The probabilistically symmetric interval of that coverage over values in ascending order (two at
// least).
Interval symmetric_interval(std::span<const double> ascending, double coverage);

} // namespace trayworth::valuation
