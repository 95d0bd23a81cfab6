// What might be done with a stone: the domain form of a trayworth/plan/1 document.
#pragma once

#include "core/money.hpp"
#include "core/range.hpp"
#include "core/stone.hpp"

#include <optional>
#include <string>
#include <vector>

namespace trayworth::recutting {

// Time at the wheel and what is used up there.
struct Work {
    double minutes = 0;
    double materials = 0; // in the plan's currency
};

struct PlanOutcome;

struct Alternative {
    std::string name;
    std::string pointer; // JSON Pointer into the plan
    Work work;
    std::vector<PlanOutcome> outcomes; // one at least
};

struct PlanOutcome {
    std::string name;
    std::string pointer;         // of the outcome
    std::string changes_pointer; // of its changes; of the outcome where it has none
    Range<double> probability;   // 0 to 1
    Work work;
    Stone stone; // the record as all changes on the way to it leave it
    std::vector<Alternative> alternatives;
};

struct Plan {
    std::optional<std::string> name;
    Currency currency;
    std::optional<double> rate_per_hour; // of the time at the wheel
    std::optional<double> wealth;        // beside the stone
    std::vector<Alternative> alternatives;
};

} // namespace trayworth::recutting
