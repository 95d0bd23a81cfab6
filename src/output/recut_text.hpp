// What recutting would bring, for a person at a terminal.
#pragma once

#include "output/text_parts.hpp"
#include "pricing/matrix.hpp"
#include "recutting/answer.hpp"
#include "recutting/subject.hpp"

#include <string>

namespace trayworth::output {

// The faults and the calibrated sizes; where there is a plan, the plan in their place.
std::string
recut_text(const recutting::Answer& answer, const recutting::Terms& terms, TextStyle style);

} // namespace trayworth::output
