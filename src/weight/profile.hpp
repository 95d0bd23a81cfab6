// The side view of a cabochon: how the girdle wall, the dome above it and a convex back below it
// turn the area of the outline into a volume. Heights are in mm.
//
//     volume = area x effective height
#pragma once

#include "core/range.hpp"
#include "core/stone.hpp"
#include "core/uncertain.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace trayworth::weight {

inline constexpr std::array<std::string_view, 3> dome_names{"low", "medium", "high"};
// "double" is a double cabochon: its back is domed as its face is. The volume is that of "convex".
inline constexpr std::array<std::string_view, 3> back_names{"flat", "convex", "double"};

// Which of the heights lead to the effective height.
enum class Profile : std::uint8_t {
    parts,      // all parts are known: the depth is not needed
    wall,       // the wall is known: the rest of the depth is domed, above it or below
    difference, // dome and back are known: the wall is the rest of the depth
    shared,     // the dome is known: wall and back share the rest of the depth
    filled,     // neither wall nor dome is known: the usual share is filled of the depth less back
};

// Heights in mm and the three numbers that stand in for what nobody measured.
struct Heights {
    double depth = 0;
    double wall = 0;
    double dome = 0;
    double back = 0;       // 0 for a flat back
    double wall_share = 0; // of what the dome leaves of the depth, 0 to 1
    double fill = 0;       // volume / (area x depth) where only the depth is known
    double dome_form = 0;  // volume / (area x height) of a dome or convex back
};

// The profile for the heights that are known; `flat` says that the back is known to be flat.
Profile profile_from(bool wall, bool dome, bool back, bool flat);

// In mm, never negative. Reads only the members that the profile names.
double effective_height(Profile profile, const Heights& heights);

// Rectangular about the half-ellipsoid's 2/3; the limits are derived in profile.cpp.
Uncertain dome_form();

// Of finished stones of unknown profile; the listings it comes from are named in profile.cpp.
Uncertain default_fill();

// Nothing is known but that it is a share: rectangular from 0 to 1.
Uncertain wall_share();

// Heights of a dome so called, over the width of the stone; the upper end of "high" is infinite.
// Common practice, no source: high from 0.6, medium from 0.3, low below. Nothing for other words.
std::optional<Range<double>> dome_band(std::string_view word);
// From the lowest of the two words to the highest; nothing when either is unknown.
std::optional<Range<double>> dome_band(const Words& words);

// The height in mm of a dome so called on a stone `width` mm wide, with no more than `tallest` mm
// of room for it: rectangular. Nothing when there is not room enough, or a word is unknown, or a
// measure is not positive.
std::optional<Uncertain> dome_from(const Words& words, double width, double tallest);

} // namespace trayworth::weight
