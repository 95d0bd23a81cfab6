// What each fault of a stone costs, and how much may go in removing it.
//
// Symbols
//   V0       value of the stone as it is
//   V(t)     value without the fault when t mm have gone, its weight in proportion to the volume
//            that is left (body.hpp), its depth, length and width smaller, all grades the same
//   gain     V(0) - V0
//   t*       break-even: where V(t) first falls below V0
#pragma once

#include "recutting/body.hpp"
#include "recutting/common_draws.hpp"
#include "recutting/subject.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace trayworth::recutting {

// What may go. An end is absent when even the most that can go costs less than is gained.
struct Allowance {
    std::optional<double> low;
    std::optional<double> likely;
    std::optional<double> high;
};

struct BreakEven {
    Way way = Way::back;
    Allowance mm; // off the dome, off the back, or off the edge all round; none for Way::weight
    Allowance ct; // the weight that goes with it
    double searched_mm = 0; // how far was looked, and the weight gone by then
    double searched_ct = 0;
    bool priced_to_the_end = true; // false: beyond it the matrix has no price
};

// One fault removed, or several together.
struct Removal {
    std::vector<std::size_t> faults; // places in the record's list, ascending
    double value_without = 0;        // likely, at the same weight
    Ranged gain;
    std::vector<BreakEven> break_evens; // by each way, the one that suits the faults' place first

    // By depth: off the face for faults of the face, else off the back. Null without measures.
    [[nodiscard]] const BreakEven* by_depth() const;
};

struct FaultCosts {
    std::vector<Removal> single;   // in the order of the record
    std::vector<Removal> together; // every set of two and more of the costliest, best first
    std::size_t combined = 0;      // how many of the faults were combined
    bool measured = false;         // false: no measures, so that only carats can be given
};

// Sets grow as 2^n; the costliest of the faults that cost anything are combined, and so many.
inline constexpr std::size_t most_combined = 4;

FaultCosts fault_costs(const Subject& now, const Terms& terms, CommonDraws& draws);

} // namespace trayworth::recutting
