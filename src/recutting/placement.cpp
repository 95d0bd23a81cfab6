// Seen in coordinates in which the ellipse is a circle of radius 1, it fits at a centre whose
// clearance, the distance to the nearest edge, is 1 or more. Within a convex outline the clearance
// is a concave function of the centre: a search that starts from the best of a coarse grid and
// halves its steps ends at the greatest clearance, and on the way from there to the crown the
// places that fit come first. A heart is not convex: there the search finds a good place, perhaps
// not the best.
#include "recutting/placement.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace trayworth::recutting {
namespace {

using weight::Point;
using weight::Polygon;

constexpr double slack = 1e-4; // of a semi-axis: the polygon lies inside its curve by less
constexpr double slack_of_area = 1e-3;
constexpr std::array<double, 7> directions{0, 90, 45, 30, 60, 15, 75};

// Coordinates in which the ellipse is the unit circle.
struct Frame {
    double cosine;
    double sine;
    double semi_length;
    double semi_width;

    Frame(double degrees, double length, double width)
        : cosine(std::cos(degrees * std::numbers::pi / 180)),
          sine(std::sin(degrees * std::numbers::pi / 180)), semi_length(length / 2),
          semi_width(width / 2) {}

    [[nodiscard]] Point into(Point p) const {
        return {(p.x * cosine + p.y * sine) / semi_length,
                (p.y * cosine - p.x * sine) / semi_width};
    }
    [[nodiscard]] Point back(Point p) const {
        const double x = p.x * semi_length;
        const double y = p.y * semi_width;
        return {x * cosine - y * sine, x * sine + y * cosine};
    }
};

double distance_to_segment(Point p, Point a, Point b) {
    const double dx = b.x - a.x;
    const double dy = b.y - a.y;
    const double along = ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy);
    const double t = std::clamp(along, 0.0, 1.0);
    return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

// To the nearest edge; negative outside.
double clearance(const Polygon& polygon, Point p) {
    double nearest = std::numeric_limits<double>::infinity();
    bool inside = false;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Point a = polygon[i];
        const Point b = polygon[(i + 1) % polygon.size()];
        nearest = std::min(nearest, distance_to_segment(p, a, b));
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) {
            inside = !inside;
        }
    }
    return inside ? nearest : -nearest;
}

struct Best {
    Point at;
    double clearance = -std::numeric_limits<double>::infinity();

    bool consider(const Polygon& polygon, Point p) {
        const double found = recutting::clearance(polygon, p);
        if (found <= clearance) {
            return false;
        }
        *this = {p, found};
        return true;
    }
};

Best widest_place(const Polygon& polygon, Point crown) {
    const auto [left, right] = std::minmax_element(
        polygon.begin(), polygon.end(), [](const Point& a, const Point& b) { return a.x < b.x; });
    const auto [low, high] = std::minmax_element(
        polygon.begin(), polygon.end(), [](const Point& a, const Point& b) { return a.y < b.y; });
    Best best;
    best.consider(polygon, crown);
    constexpr int grid = 8;
    for (int i = 1; i < grid; ++i) {
        for (int j = 1; j < grid; ++j) {
            best.consider(polygon, {std::lerp(left->x, right->x, static_cast<double>(i) / grid),
                                    std::lerp(low->y, high->y, static_cast<double>(j) / grid)});
        }
    }
    constexpr double least_step = 1e-5;
    double step = std::max(right->x - left->x, high->y - low->y) / grid;
    while (step > least_step && best.clearance < 1 + step) {
        bool better = false;
        for (int turn = 0; turn < 8; ++turn) {
            const double angle = turn * std::numbers::pi / 4;
            better = best.consider(polygon, {best.at.x + step * std::cos(angle),
                                             best.at.y + step * std::sin(angle)}) ||
                     better;
        }
        step = better ? step : step / 2;
    }
    return best;
}

} // namespace

std::optional<Placement>
place_ellipse(const Polygon& outline, Point crown, double length, double width) {
    if (std::numbers::pi / 4 * length * width > area_of(outline) * (1 + slack_of_area)) {
        return std::nullopt;
    }
    for (const double degrees : directions) {
        if (length == width && degrees != 0) {
            break;
        }
        const Frame frame(degrees, length, width);
        Polygon polygon;
        polygon.reserve(outline.size());
        std::transform(outline.begin(), outline.end(), std::back_inserter(polygon),
                       [&](Point p) { return frame.into(p); });
        const Point goal = frame.into(crown);
        const Best best = widest_place(polygon, goal);
        if (best.clearance < 1 - slack) {
            continue;
        }
        double fits = 0; // of the way from the best place to the crown
        double does_not = 1;
        const auto on_the_way = [&](double t) {
            return Point{std::lerp(best.at.x, goal.x, t), std::lerp(best.at.y, goal.y, t)};
        };
        if (clearance(polygon, goal) >= 1 - slack) {
            fits = 1;
        }
        constexpr int halvings = 30;
        for (int i = 0; i < halvings && fits < 1; ++i) {
            const double middle = (fits + does_not) / 2;
            (clearance(polygon, on_the_way(middle)) >= 1 - slack ? fits : does_not) = middle;
        }
        return Placement{frame.back(on_the_way(fits)), degrees};
    }
    return std::nullopt;
}

} // namespace trayworth::recutting
