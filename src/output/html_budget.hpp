// What makes the range of a stone wide, as bars.
#pragma once

#include "valuation/value.hpp"

#include <string>
#include <vector>

namespace trayworth::output {

// Nothing where nothing is uncertain.
std::string budget_table(const std::vector<valuation::BudgetShare>& budget);

} // namespace trayworth::output
