// Calibrated sizes that fit inside a stone: weight and value after recutting to them.
//
// The old body is z = w + h sqrt(1 - r^2) over its outline, r the gauge about the crown, which is
// taken to stand over the centroid. The new one has the same wall and, over its own outline, the
// highest dome of the same kind that is nowhere above the old surface: the same dome where the size
// has its centre under the crown, a lower one beside it. A convex back is lowered in proportion.
#pragma once

#include "recutting/body.hpp"
#include "recutting/common_draws.hpp"
#include "recutting/placement.hpp"
#include "recutting/subject.hpp"

#include <vector>

namespace trayworth::recutting {

struct SizeOption {
    weight::Outline outline = weight::Outline::oval; // oval or round
    double length = 0;                               // mm
    double width = 0;
    double depth = 0; // that remains
    Placement placement;
    double ct = 0;
    double value = 0; // likely
    // What the stone loses by it: so much more must a calibrated stone bring than another of its
    // weight and grades, time at the wheel not counted.
    Ranged must_bring;
};

struct Sizes {
    std::vector<SizeOption> options; // that fit and have a price, the dearest first
    bool measured = false;           // false: the stone's outline or measures are not known
    bool freeform = false;           // its curve is not known: an ellipse was taken for it
};

// All grades and faults stay as they are.
Sizes calibrated_sizes_in(const Subject& now, const Terms& terms, CommonDraws& draws);

} // namespace trayworth::recutting
