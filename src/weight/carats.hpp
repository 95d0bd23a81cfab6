// Carat weights as the trade writes them.
#pragma once

#include "core/quantity.hpp"

#include <cstdint>
#include <string>

namespace trayworth::weight {

// Hundredths of a carat (points). The third decimal is dropped unless it is 9, which rounds up:
// 1.768 ct is 1.76 and 1.769 ct is 1.77. GIA's rule for diamonds; the French gem laboratory states
// the same rule on its opal reports. For 0 <= weight < 1e12 ct.
std::int64_t rounded_points(Carat weight);

// "3.61" for 361 points. Not for negative points.
std::string points_text(std::int64_t points);

// The weight rounded by that rule, as text.
std::string carats_text(Carat weight);

} // namespace trayworth::weight
