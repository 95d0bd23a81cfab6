// The edge of an outline as a polygon, for what an area cannot answer: what fits inside it.
#pragma once

#include "weight/outline.hpp"

#include <cstddef>
#include <vector>

namespace trayworth::weight {

struct Point {
    double x = 0; // mm, along the length
    double y = 0; // mm
};

// Counter-clockwise; the last point joins the first. Corners of the outline are corners of it, and
// where the outline curves its points lie on the curve.
using Polygon = std::vector<Point>;

// The outline whose area outline_area() gives, of the same length, width and form (the box is the
// same; length > 0, width > 0). A curved half has about `steps` points. Of a freeform no curve is
// known: it is drawn as the ellipse as long and as wide, whose area lies within its range of form.
Polygon
outline_polygon(Outline outline, double length, double width, double form, std::size_t steps = 120);

// The form of the cushion that fills this share of its box, 0.4 to 0.98; n in outline.cpp.
double cushion_form(double share);

double area_of(const Polygon& polygon);
Point centroid_of(const Polygon& polygon);

} // namespace trayworth::weight
