// Symbols
//   L, W, f   length, width and form of the outline, as in outline.cpp, where each outline's
//             construction is described
//   l, w      L / 2 and W / 2
//   a, b      length of a tapering end and half-width at its base
//   y(x)      half-width of the outline at x
//
//   p         bulge of a triangle's sides, over that of the Reuleaux triangle's
//   d         1 - sqrt(3)/2: where the other two corners of the Reuleaux triangle stand, over L
//
// Every outline is symmetric about the x axis, so the upper half is drawn, from the right to the
// left, and mirrored. A tapering end mixes the half-widths of arcs, straight sides and an ellipse
// linearly: areas are then mixed in the same way.
//
// A triangle between the one of straight sides, p = 0, and the Reuleaux triangle, p = 1, has its
// two corners of the base at x = p d L, so that it is W wide whatever p is. Below them it is the
// end of the Reuleaux triangle, pressed to p; above them t runs from 0 at the corners to 1 at the
// tip, and y is the mean of W (1 - t)/2 and W (sqrt(1 - (1 - d)^2 t^2) - 1/2) with weights 1 - p
// and p. With the circle segment's S = pi/6 - sqrt(3)/4 its area over L W is
//     p S + (1 - p d) (1/2 + 2 p S / (1 - d)),
// and p is chosen so that this is f. Area and centroid: the shoelace formula.
#include "weight/outline_curve.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace trayworth::weight {
namespace {

using std::numbers::pi;

// t_i from 0 to pi, both included.
template<class At>
void along_half_turn(std::size_t steps, Polygon& upper, At at) {
    for (std::size_t i = 0; i <= steps; ++i) {
        upper.push_back(at(pi * static_cast<double>(i) / static_cast<double>(steps)));
    }
}

double tapering_half_width(double a, double b, double form, double x) {
    const double ellipse = b * std::sqrt(std::max(1 - x * x / (a * a), 0.0));
    const double drop = (a * a - b * b) / (2 * b); // of the arc's centre below the base line
    const double radius = drop + b;
    const double arc = a > b ? std::sqrt(std::max(radius * radius - x * x, 0.0)) - drop : ellipse;
    const double straight = b * (1 - x / a);
    return form < 0 ? std::lerp(arc, straight, -form) : std::lerp(arc, ellipse, form);
}

// From the point at x = a to the base at x = 0. Points crowd towards the tip, where an ellipse is
// steep.
void add_tapering_end(double a, double b, double form, std::size_t steps, Polygon& upper) {
    for (std::size_t i = 0; i <= steps; ++i) {
        const double turn = pi / 2 * static_cast<double>(i) / static_cast<double>(steps);
        const double x = i == steps ? 0 : a * std::cos(turn);
        upper.push_back({x, std::max(tapering_half_width(a, b, form, x), 0.0)});
    }
}

Polygon lame_half(double l, double w, double exponent, std::size_t steps) {
    Polygon upper;
    along_half_turn(steps, upper, [=](double t) {
        const double c = std::cos(t);
        const double s = std::max(std::sin(t), 0.0);
        return Point{std::copysign(l * std::pow(std::abs(c), 2 / exponent), c),
                     w * std::pow(s, 2 / exponent)};
    });
    return upper;
}

Polygon marquise_half(double l, double w, double form, std::size_t steps) {
    Polygon upper;
    add_tapering_end(l, w, form, steps / 2, upper);
    for (std::size_t i = upper.size() - 1; i-- > 0;) {
        upper.push_back({-upper[i].x, upper[i].y});
    }
    return upper;
}

Polygon pear_half(double length, double width, double form, std::size_t steps) {
    const double w = width / 2;
    const std::size_t half = steps / 2;
    Polygon upper;
    add_tapering_end(length - w, w, form, half, upper);
    for (std::size_t i = 1; i <= half; ++i) {
        const double t = pi / 2 * (1 + static_cast<double>(i) / static_cast<double>(half));
        upper.push_back({w * std::cos(t), std::max(w * std::sin(t), 0.0)});
    }
    return upper;
}

Polygon heart_half(double length, double width, double form, std::size_t steps) {
    const double lobe = std::min(width / 4, length / 3);
    const std::size_t half = steps / 2;
    Polygon upper;
    add_tapering_end(length - lobe, width / 2, form, half, upper);
    for (std::size_t i = 1; i <= half; ++i) { // round the lobe, to the notch at the origin
        const double t = pi * static_cast<double>(i) / static_cast<double>(half);
        const double y = i == half ? 0 : width / 4 * (1 + std::cos(t));
        upper.push_back({-lobe * std::sin(t), y});
    }
    return upper;
}

// Where a function that rises between `low` and `high` reaches `value`, or the end nearest to it.
template<class Rising>
double where(Rising rising, double value, double low, double high) {
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2;
        (rising(middle) < value ? low : high) = middle;
    }
    return (low + high) / 2;
}

constexpr double straight_enough = 1e-9;
constexpr double base_depth = 1 - std::numbers::sqrt3 / 2; // d

double bulge_of(double form) {
    constexpr double segment = pi / 6 - std::numbers::sqrt3 / 4; // S
    const auto area = [](double p) {
        return p * segment + (1 - p * base_depth) * (0.5 + 2 * p * segment / (1 - base_depth));
    };
    return where(area, form, 0, 1);
}

// At u = x / L.
double triangle_half_width(double bulge, double u) {
    const double corner = bulge * base_depth;
    if (u < corner) {
        const double behind = 1 - u / bulge;
        return std::sqrt(std::max(1 - behind * behind, 0.0));
    }
    const double t = (u - corner) / (1 - corner);
    const double from_corner = (1 - base_depth) * t;
    const double curved = std::sqrt(std::max(1 - from_corner * from_corner, 0.0)) - 0.5;
    return std::lerp((1 - t) / 2, std::max(curved, 0.0), bulge);
}

Polygon triangle_half(double length, double width, double form, std::size_t steps) {
    const double bulge = bulge_of(form);
    const double corner = bulge * base_depth;
    Polygon upper;
    const auto add = [&](std::size_t count, double from, double to) {
        for (std::size_t i = upper.empty() ? 0 : 1; i <= count; ++i) {
            const double turn = pi * static_cast<double>(i) / static_cast<double>(count);
            const double u = i == count ? to : std::lerp(from, to, (1 - std::cos(turn)) / 2);
            upper.push_back({u * length, width * triangle_half_width(bulge, u)});
        }
    };
    add(steps, 1, corner);
    if (corner > straight_enough) {
        add(std::max<std::size_t>(steps / 4, 2), corner, 0);
    }
    return upper;
}

Polygon upper_half(Outline outline, double length, double width, double form, std::size_t steps) {
    const double l = length / 2;
    const double w = width / 2;
    switch (outline) {
    case Outline::round:
    case Outline::oval:
    case Outline::freeform:
        return lame_half(l, w, 2, steps);
    case Outline::cushion:
        return lame_half(l, w, form, steps);
    case Outline::square:
    case Outline::rectangle:
        break;
    case Outline::octagon: {
        const double leg = form * std::min(length, width);
        return {{l, w - leg}, {l - leg, w}, {leg - l, w}, {-l, w - leg}};
    }
    case Outline::pear:
        return pear_half(length, width, form, steps);
    case Outline::marquise:
        return marquise_half(l, w, form, steps);
    case Outline::heart:
        return heart_half(length, width, form, steps);
    case Outline::triangle:
        return triangle_half(length, width, form, steps);
    }
    return {{l, w}, {-l, w}};
}

} // namespace

Polygon
outline_polygon(Outline outline, double length, double width, double form, std::size_t steps) {
    // A marquise or pear wider than long was turned by a quarter on the gauge: outline.cpp.
    const bool turned =
        (outline == Outline::pear || outline == Outline::marquise) && width > length;
    Polygon polygon = turned ? upper_half(outline, width, length, form, steps)
                             : upper_half(outline, length, width, form, steps);
    for (std::size_t i = polygon.size(); i-- > 0;) {
        if (polygon[i].y > 0) {
            polygon.push_back({polygon[i].x, -polygon[i].y});
        }
    }
    if (turned) {
        for (Point& point : polygon) {
            point = {-point.y, point.x};
        }
    }
    return polygon;
}

double cushion_form(double share) {
    const auto area = [](double n) { return outline_area(Outline::cushion, 1, 1, n); };
    return where(area, share, 0.5, 64);
}

double area_of(const Polygon& polygon) {
    double twice = 0;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Point& p = polygon[i];
        const Point& q = polygon[(i + 1) % polygon.size()];
        twice += p.x * q.y - q.x * p.y;
    }
    return twice / 2;
}

Point centroid_of(const Polygon& polygon) {
    Point sum;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Point& p = polygon[i];
        const Point& q = polygon[(i + 1) % polygon.size()];
        const double cross = p.x * q.y - q.x * p.y;
        sum.x += (p.x + q.x) * cross;
        sum.y += (p.y + q.y) * cross;
    }
    const double six_areas = 6 * area_of(polygon);
    return {sum.x / six_areas, sum.y / six_areas};
}

} // namespace trayworth::weight
