// How sizes are compared and quoted in what is said of a stone.
#pragma once

#include "core/decimal.hpp"

#include <string>

namespace trayworth::weight {

// Standard uncertainties that hold about 95 % of a normal quantity: JCGM 100, 6.3.3.
inline constexpr double coverage_95 = 2;

inline std::string millimetres(double value) {
    return fixed(value, 2) + " mm";
}

} // namespace trayworth::weight
