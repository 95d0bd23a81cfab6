// The ladder of reasons as a table, each step with its bar of a waterfall.
#pragma once

#include "pricing/matrix.hpp"
#include "valuation/value.hpp"

#include <string>
#include <vector>

namespace trayworth::output {

// What one reason does to the running value, in the currency of the prices. The first falls from 0,
// each other from where the one before it ended, and the last ends at the likely value: a
// conversion changes the currency alone.
struct Fall {
    double from = 0;
    double to = 0;
};
std::vector<Fall> waterfall(const std::vector<valuation::Reason>& reasons);

std::string reasons_table(const valuation::Valuation& valuation, const pricing::Matrix& matrix);

} // namespace trayworth::output
