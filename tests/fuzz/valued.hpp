// What holds of every value, and of the JSON it is printed as.
#pragma once

#include "core/stone.hpp"
#include "pricing/matrix.hpp"
#include "valuation/value.hpp"

#include <vector>

#include <nlohmann/json.hpp>

namespace trayworth::fuzz {

// Finite, above 0, its limits in order and its reasons the computation.
void expect_consistent(const valuation::Valuation& valuation, const pricing::Matrix& matrix);

// The value without reasons and the simulated one agree with the value.
void expect_agreement(const Stone& stone,
                      const pricing::Matrix& matrix,
                      const pricing::Entry& level,
                      const valuation::Valuation& valuation);

// `read` is what was printed of the valuation: every number in it is the one that was printed.
void expect_printed(const nlohmann::json& read,
                    const valuation::Valuation& valuation,
                    const pricing::Matrix& matrix);

const pricing::Matrix& demonstration();

// Every stone of examples/, and of the seeds those that are read.
const std::vector<Stone>& known_stones();

} // namespace trayworth::fuzz
