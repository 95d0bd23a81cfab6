// A stone drawn to scale, in CSS pixels (96 to the inch): the plan above, and below it the view
// from the side on the same length.
#pragma once

#include "core/stone.hpp"
#include "recutting/body.hpp"
#include "weight/outline_curve.hpp"

#include <cstddef>
#include <optional>
#include <vector>

namespace trayworth::output {

// Where a fault is marked. A record says on which part of the stone it lies, and not where on it.
struct Mark {
    std::size_t number = 0; // of the fault, from 1
    weight::Point at;
};

struct Drawing {
    double magnification = 1; // lengths on paper over those of the stone
    double px_per_mm = 0;
    double width = 0; // of the whole drawing, margins among it
    double height = 0;
    weight::Point plan_from; // corners of the box around each view
    weight::Point plan_to;
    weight::Point side_from;
    weight::Point side_to;
    weight::Polygon plan; // the edge
    weight::Polygon side; // the silhouette
    double wall_top = 0;  // y of the wall's upper and lower edge
    double wall_bottom = 0;
    std::vector<Mark> marks; // faults of a place that is drawn: face, girdle, body, back
};

// The body as recutting::body_of() takes it from the measures.
Drawing draw(const recutting::Body& body, const std::vector<Fault>& faults);

} // namespace trayworth::output
