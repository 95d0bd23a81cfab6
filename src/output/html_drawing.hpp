// The drawing of a stone and its faults as a figure of a page.
#pragma once

#include "core/stone.hpp"

#include <string>

namespace trayworth::output {

// Plan and side view with their measures, a scale bar, and a mark for each fault; or a sentence on
// what is missing for one.
std::string drawing_figure(const Stone& stone);

// The faults by the numbers of their marks.
std::string fault_list(const Stone& stone);

} // namespace trayworth::output
