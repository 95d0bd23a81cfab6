#include "recutting/sizes.hpp"

#include "weight/calibrated.hpp"
#include "weight/outline_curve.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>

namespace trayworth::recutting {
namespace {

using weight::Point;
using weight::Polygon;

// How far the edge is from a point inside, in a direction of length 1: the first crossing.
double edge_distance(const Polygon& polygon, Point from, Point direction) {
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Point a = polygon[i];
        const Point b = polygon[(i + 1) % polygon.size()];
        const double ex = b.x - a.x;
        const double ey = b.y - a.y;
        const double cross = direction.x * ey - direction.y * ex;
        if (cross == 0) {
            continue;
        }
        const double ax = a.x - from.x;
        const double ay = a.y - from.y;
        const double along = (ax * ey - ay * ex) / cross;
        const double on_edge = (ax * direction.y - ay * direction.x) / cross;
        if (along > 0 && on_edge >= 0 && on_edge <= 1) {
            nearest = std::min(nearest, along);
        }
    }
    return nearest;
}

// sqrt(1 - r^2) of the old outline at a point: the height of its dome there over that of the crown.
double old_height(const Polygon& outline, Point crown, Point p) {
    const double away = std::hypot(p.x - crown.x, p.y - crown.y);
    if (away == 0) {
        return 1;
    }
    const Point direction{(p.x - crown.x) / away, (p.y - crown.y) / away};
    const double gauge = std::min(away / edge_distance(outline, crown, direction), 1.0);
    return std::sqrt(1 - gauge * gauge);
}

// The new dome's height over the old one's: the least of old over new height within the new
// outline.
double dome_that_remains(
    const Polygon& outline, Point crown, const Placement& placement, double length, double width) {
    const double turned = placement.turned * std::numbers::pi / 180;
    constexpr int rays = 48;
    constexpr int steps = 16;
    double least = old_height(outline, crown, placement.centre);
    for (int ray = 0; ray < rays; ++ray) {
        const double angle = 2 * std::numbers::pi * ray / rays;
        const double x = length / 2 * std::cos(angle);
        const double y = width / 2 * std::sin(angle);
        const Point edge{x * std::cos(turned) - y * std::sin(turned),
                         x * std::sin(turned) + y * std::cos(turned)};
        for (int step = 1; step < steps; ++step) {
            const double r = static_cast<double>(step) / steps;
            const Point p{placement.centre.x + r * edge.x, placement.centre.y + r * edge.y};
            least = std::min(least, old_height(outline, crown, p) / std::sqrt(1 - r * r));
        }
    }
    return std::min(least, 1.0);
}

// The record of the stone recut: what describes the old cut and no longer holds is left out.
Stone recut_record(const Stone& stone, const Uncertain& ct, const Body& before, const Body& after) {
    const auto millimetres = [](double value) {
        return std::optional(Reading{value, value, 0, std::optional(0.0)});
    };
    Stone recut = record_of(stone, ct, before, after);
    recut.cut.outline = std::string(weight::outline_names[static_cast<std::size_t>(after.outline)]);
    recut.cut.area_mm2.reset();
    Dimensions& mm = recut.dimensions_mm;
    mm.length = millimetres(after.length);
    mm.width = millimetres(after.width);
    mm.wall.reset();
    mm.dome.reset();
    mm.back.reset();
    return recut;
}

} // namespace

Sizes calibrated_sizes_in(const Subject& now, const Terms& terms, CommonDraws& draws) {
    Sizes sizes;
    const std::optional<Measures> measures = measures_of(now.stone);
    if (!measures) {
        return sizes;
    }
    sizes.measured = true;
    sizes.freeform = measures->outline == weight::Outline::freeform;
    const Body body = body_of(*measures);
    const Polygon outline =
        weight::outline_polygon(body.outline, body.length, body.width, body.form);
    const Point crown = weight::centroid_of(outline);
    const std::vector<double> values_now = values_of(now.model, draws);
    for (const weight::Outline target : {weight::Outline::oval, weight::Outline::round}) {
        for (const weight::CalibratedSize& size : weight::calibrated_sizes(target)) {
            const std::optional<Placement> placement =
                place_ellipse(outline, crown, size.length, size.width);
            if (!placement) {
                continue;
            }
            const double lower =
                dome_that_remains(outline, crown, *placement, size.length, size.width);
            Body after = body;
            after.outline = target;
            after.length = size.length;
            after.width = size.width;
            after.form = 0;
            after.area_part = 1;
            after.dome *= lower;
            after.back *= lower;
            Diagnostics ignored; // a size that has no price is no option
            std::optional<Subject> recut = subject_of(
                recut_record(now.stone, now.valuation.weight.ct, body, after), terms, ignored);
            if (!recut) {
                continue;
            }
            // Its weight is a part of the stone's, and errs as that does.
            recut->model.sources.front() = now.model.sources.front();
            std::vector<double> losses = values_of(recut->model, draws);
            for (std::size_t i = 0; i < losses.size(); ++i) {
                losses[i] = values_now[i] - losses[i];
            }
            sizes.options.push_back(
                {.outline = target,
                 .length = size.length,
                 .width = size.width,
                 .depth = after.depth(),
                 .placement = *placement,
                 .ct = recut->valuation.weight.ct.value,
                 .value = recut->valuation.likely,
                 .must_bring = ranged(now.valuation.likely - recut->valuation.likely,
                                      std::move(losses), terms.matrix.coverage)});
        }
    }
    std::stable_sort(sizes.options.begin(), sizes.options.end(),
                     [](const SizeOption& a, const SizeOption& b) { return a.value > b.value; });
    return sizes;
}

} // namespace trayworth::recutting
