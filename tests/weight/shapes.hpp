// Independent descriptions of the outlines, for the numerical integrations of the tests: each is a
// question "is this point inside?", asked of the circles, lines and curves that the outline is
// drawn with. Nothing here knows an area. x runs along the length.
#pragma once

#include "weight/outline.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>
#include <string>
#include <vector>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>

namespace trayworth::test {

// Of f from a to b, adaptively, with an estimated relative error of `relative`.
inline double
integral(const std::function<double(double)>& f, double a, double b, double relative = 1e-9) {
    struct Workspace {
        gsl_integration_workspace* w = gsl_integration_workspace_alloc(2000);
        Workspace() = default;
        Workspace(const Workspace&) = delete;
        Workspace& operator=(const Workspace&) = delete;
        ~Workspace() { gsl_integration_workspace_free(w); }
    } workspace;
    gsl_set_error_handler_off();
    gsl_function function;
    function.function = [](double x, void* p) {
        return (*static_cast<const std::function<double(double)>*>(p))(x);
    };
    function.params = const_cast<std::function<double(double)>*>(&f);
    double value = 0;
    double error = 0;
    const int status =
        gsl_integration_qags(&function, a, b, 0, relative, 2000, workspace.w, &value, &error);
    // Rounding may keep the estimate of the error above the aim; a failure is one that matters.
    if (status != GSL_SUCCESS && error > 1e-6 * std::abs(value)) {
        throw std::runtime_error(gsl_strerror(status));
    }
    return value;
}

using Inside = std::function<bool(double, double)>;

struct Shape {
    Inside inside;
    double centre = 0;           // x of a point from which the whole edge is seen
    std::vector<double> corners; // angles from that point at which the edge has a corner, 0 to pi
};

// The half-width at distance x from the base of a tapering end of length a on a base of 2 b.
inline double tapering_half_width(double a, double b, double form, double x) {
    const double ellipse = b * std::sqrt(std::max(1 - x * x / (a * a), 0.0));
    // The circle through (a, 0) and (0, b) whose centre is on the base line, at (0, -drop).
    const double drop = (a * a - b * b) / (2 * b);
    const double radius = drop + b;
    const double arc = a > b ? std::sqrt(std::max(radius * radius - x * x, 0.0)) - drop : ellipse;
    const double straight = b * (1 - x / a);
    return form < 0 ? arc + -form * (straight - arc) : arc + form * (ellipse - arc);
}

// Any outline but the freeform one, which is a coefficient and not a curve. Of the triangle only
// the two ends of its range are curves: form 1/2 and the Reuleaux triangle's.
inline Shape shape_of(weight::Outline outline, double length, double width, double form) {
    using std::numbers::pi;
    using std::numbers::sqrt3;
    using weight::Outline;
    const double l = length / 2;
    const double w = width / 2;
    switch (outline) {
    case Outline::round:
    case Outline::oval:
        return {[=](double x, double y) { return std::hypot(x / l, y / w) <= 1; }, 0, {}};
    case Outline::square:
    case Outline::rectangle:
        return {[=](double x, double y) { return std::abs(x) <= l && std::abs(y) <= w; },
                0,
                {std::atan2(w, l), std::atan2(w, -l)}};
    case Outline::cushion:
        return {[=](double x, double y) {
                    return std::pow(std::abs(x) / l, form) + std::pow(std::abs(y) / w, form) <= 1;
                },
                0,
                {pi / 2}};
    case Outline::octagon: {
        const double leg = form * std::min(length, width);
        return {[=](double x, double y) {
                    return std::abs(x) <= l && std::abs(y) <= w &&
                           std::abs(x) + std::abs(y) <= l + w - leg;
                },
                0,
                {std::atan2(w - leg, l), std::atan2(w, l - leg), std::atan2(w, leg - l),
                 std::atan2(w - leg, -l)}};
    }
    case Outline::marquise:
        return {[=](double x, double y) {
                    return std::abs(x) <= l &&
                           std::abs(y) <= tapering_half_width(l, w, form, std::abs(x));
                },
                0,
                {pi / 2}};
    case Outline::pear:
        return {[=](double x, double y) {
                    return x < 0 ? std::hypot(x, y) <= w
                                 : x <= length - w &&
                                       std::abs(y) <= tapering_half_width(length - w, w, form, x);
                },
                0,
                {pi / 2}};
    case Outline::heart: {
        // Lobes on the side of negative x, the point at length - lobe. Seen from half way down.
        const double lobe = std::min(width / 4, length / 3);
        const double point = length - lobe;
        const double centre = point / 2;
        return {[=](double x, double y) {
                    return x < 0 ? std::hypot(x / lobe, (std::abs(y) - w / 2) / (w / 2)) <= 1
                                 : x <= point &&
                                       std::abs(y) <= tapering_half_width(point, w, form, x);
                },
                centre,
                {std::atan2(w, -centre)}};
    }
    case Outline::triangle:
        if (form == 0.5) {
            return {[=](double x, double y) {
                        return x >= 0 && x <= length && std::abs(y) <= w * (1 - x / length);
                    },
                    length / 3,
                    {std::atan2(w, -length / 3)}};
        }
        // Three discs of radius 1 about the corners of an equilateral triangle of side 1, one
        // corner at the tip (1, 0), pressed to length and width.
        return {[=](double x, double y) {
                    const double u = x / length;
                    const double v = y / width;
                    const double base = 1 - sqrt3 / 2;
                    return std::hypot(u - 1, v) <= 1 && std::hypot(u - base, v - 0.5) <= 1 &&
                           std::hypot(u - base, v + 0.5) <= 1;
                },
                length / 2,
                {std::atan2(w, (0.5 - sqrt3 / 2) * length)}};
    case Outline::freeform:
        break;
    }
    throw std::invalid_argument("no curve");
}

// Distance from the centre to the edge at an angle, by bisection.
inline double edge(const Shape& shape, double angle, double farthest) {
    double in = 0;
    double out = farthest;
    for (int i = 0; i < 60; ++i) {
        const double middle = (in + out) / 2;
        if (shape.inside(shape.centre + middle * std::cos(angle), middle * std::sin(angle))) {
            in = middle;
        } else {
            out = middle;
        }
    }
    return in;
}

// Twice the integral of f(angle, distance to the edge) over the upper half of the outline.
inline double over_outline(const Shape& shape,
                           double farthest,
                           const std::function<double(double)>& of_edge_distance) {
    std::vector<double> ends{0, std::numbers::pi};
    ends.insert(ends.end(), shape.corners.begin(), shape.corners.end());
    std::sort(ends.begin(), ends.end());
    double sum = 0;
    for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
        sum += 2 * integral([&](double t) { return of_edge_distance(edge(shape, t, farthest)); },
                            ends[i], ends[i + 1]);
    }
    return sum;
}

inline double numerical_area(const Shape& shape, double farthest) {
    return over_outline(shape, farthest, [](double edge_at) { return edge_at * edge_at / 2; });
}

// Of the body under z = height (1 - r^m)^(1/m), r the distance from the centre over that to the
// edge, m = 2 for the gauge dome, integrated along every ray and then round.
inline double
numerical_dome(const Shape& shape, double farthest, double height, double exponent = 2) {
    return over_outline(shape, farthest, [&](double edge_at) {
        return integral(
            [&](double distance) {
                const double r = distance / edge_at;
                return height * std::pow(1 - std::pow(r, exponent), 1 / exponent) * distance;
            },
            0, edge_at, 1e-8);
    });
}

} // namespace trayworth::test
