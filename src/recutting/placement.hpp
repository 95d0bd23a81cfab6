// Whether an ellipse fits inside an outline, and where.
#pragma once

#include "weight/outline_curve.hpp"

#include <optional>

namespace trayworth::recutting {

struct Placement {
    weight::Point centre;
    double turned = 0; // degrees from the outline's length to the ellipse's, 0 to 90
};

// A place for an ellipse `length` by `width` mm wholly inside the outline, as near to `crown` as it
// fits; nothing when none is found. Directions are tried in steps of 15 degrees, the outline's own
// first; the outline is symmetric about its length, so that a quarter turn covers them all.
std::optional<Placement>
place_ellipse(const weight::Polygon& outline, weight::Point crown, double length, double width);

} // namespace trayworth::recutting
