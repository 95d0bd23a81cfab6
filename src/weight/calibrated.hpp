// Calibrated sizes: those that ready-made settings are cast for.
#pragma once

#include "core/quantity.hpp"
#include "core/stone.hpp"
#include "weight/outline.hpp"

#include <optional>
#include <span>

namespace trayworth::weight {

struct CalibratedSize {
    double length; // mm
    double width;
};

// Sizes of ovals and rounds, ascending: common practice, no source. Empty for the other outlines,
// for which no list of sizes is agreed on.
std::span<const CalibratedSize> calibrated_sizes(Outline outline);

struct CalibratedFit {
    Millimetre length; // of the calibrated size
    Millimetre width;
    // The stone's less the size's, positive where the stone is too large; of its longer and its
    // shorter measure, whichever way round they were given.
    Millimetre length_off;
    Millimetre width_off;
    Millimetre tolerance; // in each direction
    bool fits = false;
};

// The calibrated size nearest to a stone, that is with the smaller of the largest deviations.
// The tolerance is 0.1 mm under 1 ct and 0.2 mm from there (chart of the International Gem
// Society). Nothing for outlines that have no list of sizes.
std::optional<CalibratedFit>
nearest_calibrated(Outline outline, Millimetre length, Millimetre width, Carat weight);

// Of a stone as it was measured; nothing when its outline or a measure that this takes is missing.
std::optional<CalibratedFit> nearest_calibrated(const Stone& stone, Carat weight);

} // namespace trayworth::weight
