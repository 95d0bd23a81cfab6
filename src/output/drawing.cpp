// Symbols
//   m      magnification; 96 px are one inch, 25.4 mm (CSS Values and Units 3, 6.2)
//   side   seen along the width, the dome z = h sqrt(1 - r^2) of profile.cpp has for silhouette a
//          quarter ellipse on either side of its crown, whatever the outline: the part of it with
//          gauge up to r reaches from the crown r times as far as the whole does, to either end.
//          The crown is drawn over the outline's centroid; where it stands moves no volume.
#include "output/drawing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <string_view>

namespace trayworth::output {
namespace {

using weight::Point;

constexpr double px_per_paper_mm = 96 / 25.4;
constexpr double widest_drawing = 252; // px, of a stone without its margins: a telephone's width
constexpr double margin_left = 52;
constexpr double margin = 14;
constexpr double between_views = 40;
constexpr double below = 42;
constexpr std::size_t outline_steps = 64; // along either half
constexpr int dome_steps = 32;

double magnification_for(double longest) {
    for (const double m : {4.0, 3.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02}) {
        if (longest * m * px_per_paper_mm <= widest_drawing) {
            return m;
        }
    }
    return 0.01;
}

// From one end of the length to the other, `height` above or (where it is negative) below y.
void add_dome(weight::Polygon& side, const Drawing& d, double crown, double y, double height) {
    for (std::size_t k = 0; k <= dome_steps; ++k) {
        const double turn = std::numbers::pi * static_cast<double>(k) / dome_steps;
        const double x = std::lerp(d.side_from.x, d.side_to.x, (1 - std::cos(turn)) / 2);
        const double reach = x < crown ? crown - d.side_from.x : d.side_to.x - crown;
        const double r = std::min(std::abs(x - crown) / reach, 1.0);
        side.push_back({x, y - height * std::sqrt(1 - r * r)});
    }
}

weight::Polygon silhouette(const Drawing& d, const recutting::Body& body, double crown) {
    weight::Polygon side;
    add_dome(side, d, crown, d.wall_top, body.dome * d.px_per_mm);
    weight::Polygon under;
    add_dome(under, d, crown, d.wall_bottom, -body.back * d.px_per_mm);
    side.insert(side.end(), under.rbegin(), under.rend());
    return side;
}

// The outline in px, a curve of the same area standing for a freeform one; its box at the margins.
// y grows downwards on a screen.
void add_plan(Drawing& d, const recutting::Body& body) {
    const bool stand_in = body.outline == weight::Outline::freeform;
    d.plan = weight::outline_polygon(
        stand_in ? weight::Outline::cushion : body.outline, body.length, body.width,
        stand_in ? weight::cushion_form(body.area() / (body.length * body.width)) : body.form,
        outline_steps);
    const auto [left, right] = std::minmax_element(d.plan.begin(), d.plan.end(),
                                                   [](Point a, Point b) { return a.x < b.x; });
    const auto [bottom, top] = std::minmax_element(d.plan.begin(), d.plan.end(),
                                                   [](Point a, Point b) { return a.y < b.y; });
    d.plan_from = {margin_left, margin};
    d.plan_to = {margin_left + (right->x - left->x) * d.px_per_mm,
                 margin + (top->y - bottom->y) * d.px_per_mm};
    const Point corner{left->x, top->y};
    for (Point& point : d.plan) {
        point = {d.plan_from.x + (point.x - corner.x) * d.px_per_mm,
                 d.plan_from.y + (corner.y - point.y) * d.px_per_mm};
    }
}

// ---- marks

constexpr std::array<std::string_view, 4> drawn_places{"face", "girdle", "body", "back"};

// The least and the greatest y of a polygon at x.
Range<double> across(const weight::Polygon& polygon, double x) {
    Range<double> found{std::numeric_limits<double>::infinity(),
                        -std::numeric_limits<double>::infinity()};
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Point& a = polygon[i];
        const Point& b = polygon[(i + 1) % polygon.size()];
        if (a.x != b.x && std::min(a.x, b.x) <= x && x <= std::max(a.x, b.x)) {
            const double y = std::lerp(a.y, b.y, (x - a.x) / (b.x - a.x));
            found = {std::min(found.low, y), std::max(found.high, y)};
        }
    }
    return found;
}

// Of the k-th of n marks of one place.
Point mark_at(const Drawing& d, std::string_view place, std::size_t k, std::size_t n) {
    constexpr double from_end = 0.12; // of the length
    const double part = (static_cast<double>(k) + 1) / (static_cast<double>(n) + 1);
    const double x = std::lerp(d.plan_from.x, d.plan_to.x, std::lerp(from_end, 1 - from_end, part));
    if (place == "body") {
        return {x, (d.side_from.y + d.side_to.y) / 2};
    }
    if (place == "back") {
        return {x, across(d.side, x).high};
    }
    // Above the middle and below it in turn: on the edge, or two fifths of the way to it.
    const Range<double> edge = across(d.plan, x);
    const double middle = (edge.low + edge.high) / 2;
    const double reach = (edge.high - edge.low) / 2 * (place == "girdle" ? 1 : 0.4);
    return {x, k % 2 == 0 ? middle - reach : middle + reach};
}

std::vector<Mark> marks(const Drawing& d, const std::vector<Fault>& faults) {
    std::vector<Mark> all;
    for (const std::string_view place : drawn_places) {
        const auto here = [place](const Fault& fault) { return fault.place == place; };
        const auto n = static_cast<std::size_t>(std::count_if(faults.begin(), faults.end(), here));
        std::size_t k = 0;
        for (std::size_t i = 0; i < faults.size(); ++i) {
            if (here(faults[i])) {
                all.push_back({i + 1, mark_at(d, place, k++, n)});
            }
        }
    }
    return all;
}

} // namespace

Drawing draw(const recutting::Body& body, const std::vector<Fault>& faults) {
    Drawing d;
    d.magnification = magnification_for(std::max(body.length, body.width));
    d.px_per_mm = d.magnification * px_per_paper_mm;
    add_plan(d, body);
    d.side_from = {d.plan_from.x, d.plan_to.y + between_views};
    d.side_to = {d.plan_to.x, d.side_from.y + body.depth() * d.px_per_mm};
    d.width = d.plan_to.x + margin;
    d.height = d.side_to.y + below;
    d.wall_top = d.side_from.y + body.dome * d.px_per_mm;
    d.wall_bottom = d.wall_top + body.wall * d.px_per_mm;
    d.side = silhouette(d, body, weight::centroid_of(d.plan).x);
    d.marks = marks(d, faults);
    return d;
}

} // namespace trayworth::output
