// What closes the page of a tray: its total, the range of every stone on one axis, and a table.
#pragma once

#include "output/tray_text.hpp"
#include "pricing/matrix.hpp"
#include "valuation/total.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace trayworth::output {

struct TraySummary {
    const std::vector<TrayRow>* rows = nullptr; // null where there were too many to keep
    valuation::Total total;
    std::size_t refused = 0;
    std::size_t left_out = 0; // stones that did not meet the conditions
};

std::string html_tray(const TraySummary& tray, const pricing::Matrix& matrix);

} // namespace trayworth::output
