// Everything that is said about recutting one stone.
#pragma once

#include "recutting/compare.hpp"
#include "recutting/faults.hpp"
#include "recutting/plan.hpp"
#include "recutting/sizes.hpp"
#include "recutting/subject.hpp"

#include <optional>

namespace trayworth::recutting {

struct Planned {
    Plan plan;
    Comparison comparison;
};

struct Answer {
    Subject now;
    FaultCosts faults;
    Sizes sizes;
    std::optional<Planned> planned;
};

} // namespace trayworth::recutting
