// Symbols
//   A          area of the outline, mm2
//   w, h, b    heights of wall, dome and convex back, mm; D = w + h + b
//   c          dome form: the dome's volume over A h
//   phi        fill, of a stone of which only the depth is known: volume over A D
//   r          gauge of the outline: 0 under the crown, 1 on the edge (profile.cpp)
//   s          height above the base of the dome, mm
//
// Volume: A (w + c (h + b)), as in profile.cpp.
//
// Heights that nobody measured are chosen so that the volume is that of weight::estimate():
//   only D known: phi (D - b) = w + c (D - b - w), hence w = (D - b) (phi - c) / (1 - c);
//   the domed part is all dome over a flat back, half dome and half back in a double cabochon, and
//   two thirds dome over a convex back whose height is not recorded (common practice, no source).
//
// Off the back, past the wall: the dome z = h sqrt(1 - r^2) cut off at height s has the outline
// scaled by q = sqrt(1 - (s / h)^2), the height h - s, and the volume
//   A integral of 1 - (z / h)^2 dz from s to h = A (h - s - (h^3 - s^3) / (3 h^2)),
// hence the dome form (h - s - (h^3 - s^3) / (3 h^2)) / (q^2 (h - s)), which is 2/3 at s = 0; a
// dome of another form keeps its proportion to that.
#include "recutting/body.hpp"

#include "weight/profile.hpp"

#include <algorithm>
#include <cmath>

namespace trayworth::recutting {
namespace {

// What stays of a stone when the most is taken off: none of it would be a stone any more.
constexpr double least_left = 0.02;

constexpr double half_ellipsoid = 2.0 / 3.0;
constexpr double back_share_of_convex = 1.0 / 3.0;
constexpr double back_share_of_double = 1.0 / 2.0;

double share_of_back(std::string_view back_word) {
    return back_word == "double"   ? back_share_of_double
           : back_word == "convex" ? back_share_of_convex
                                   : 0;
}

Body cut_into_dome(Body body, double s) {
    const double h = body.dome;
    const double left = h - s;
    const double q_squared = 1 - (s / h) * (s / h);
    const double section = left - (h * h * h - s * s * s) / (3 * h * h);
    body.dome_form *= section / (q_squared * left) / half_ellipsoid;
    body.length *= std::sqrt(q_squared);
    body.width *= std::sqrt(q_squared);
    body.dome = left;
    return body;
}

// A reading moved by so many millimetres, and never to nothing.
void move(std::optional<Reading>& reading, double by) {
    if (reading) {
        constexpr double least = 1e-6;
        reading->low = std::max(reading->low + by, least);
        reading->high = std::max(reading->high + by, least);
    }
}

void scale(Reading& reading, double by) {
    reading.low *= by;
    reading.high *= by;
    reading.resolution *= by;
    if (reading.standard_uncertainty) {
        *reading.standard_uncertainty *= by;
    }
}

} // namespace

double Body::area() const {
    return area_part * weight::outline_area(outline, length, width, form);
}

double Body::volume() const {
    const weight::Heights heights{
        .depth = depth(), .wall = wall, .dome = dome, .back = back, .dome_form = dome_form};
    return area() * weight::effective_height(weight::Profile::parts, heights);
}

std::optional<Measures> measures_of(const Stone& stone) {
    const Dimensions& d = stone.dimensions_mm;
    const Cut& cut = stone.cut;
    const std::optional<weight::Outline> outline =
        cut.outline ? weight::outline_from(*cut.outline) : std::nullopt;
    const bool one_measure =
        outline && (*outline == weight::Outline::round || *outline == weight::Outline::square);
    const std::optional<Reading>& length = d.length || !one_measure ? d.length : d.width;
    const std::optional<Reading>& width = d.width || !one_measure ? d.width : d.length;
    if ((!outline && !cut.area_mm2) || !length || !width || !d.depth) {
        return std::nullopt;
    }
    const auto measured = [&](const std::optional<Reading>& reading) {
        return reading ? std::optional(d.with_uncertainty(*reading).uncertain()) : std::nullopt;
    };
    Measures m;
    m.outline = outline.value_or(weight::Outline::freeform);
    m.back_word = cut.back ? std::string_view(*cut.back) : std::string_view();
    m.dome_word = cut.dome;
    m.length = *measured(length);
    m.width = *measured(width);
    m.depth = *measured(d.depth);
    m.wall = measured(d.wall);
    m.dome = measured(d.dome);
    m.back = m.back_word == "flat" ? std::nullopt : measured(d.back);
    if (cut.area_mm2) {
        m.area = cut.area_mm2->uncertain();
    }
    m.form = weight::outline_form(m.outline);
    m.dome_form = weight::dome_form();
    m.fill = weight::default_fill();
    m.wall_share = weight::wall_share();
    if (!m.dome && !m.wall && m.dome_word) {
        const double back = m.back ? m.back->value : 0;
        m.dome = weight::dome_from(*m.dome_word, m.width.value, m.depth.value - back);
    }
    return m;
}

Body resolved(const Measures& m, const Measures& at) {
    Body body{.outline = m.outline,
              .length = at.length.value,
              .width = at.width.value,
              .form = at.form.value,
              .dome_form = at.dome_form.value};
    if (at.area) {
        body.area_part = at.area->value / body.area();
    }
    const double depth = at.depth.value;
    const double known_back = at.back ? at.back->value : 0;
    const double back_share = at.back ? 0 : share_of_back(m.back_word);
    const bool flat = m.back_word == "flat";
    // The domed part of the depth less a known back, divided between the dome and an unknown back.
    const auto divide = [&](double domed) {
        const double kept = std::max(domed, 0.0);
        body.back = known_back + back_share * kept;
        body.dome = (1 - back_share) * kept;
    };
    const double rest = depth - known_back;
    switch (
        weight::profile_from(at.wall.has_value(), at.dome.has_value(), at.back.has_value(), flat)) {
    case weight::Profile::parts:
        body.wall = at.wall->value;
        body.dome = at.dome->value;
        body.back = known_back;
        break;
    case weight::Profile::wall:
        body.wall = std::clamp(at.wall->value, 0.0, rest);
        divide(rest - body.wall);
        break;
    case weight::Profile::difference:
        body.dome = std::min(at.dome->value, rest);
        body.back = known_back;
        body.wall = rest - body.dome;
        break;
    case weight::Profile::shared:
        body.dome = std::min(at.dome->value, depth);
        body.wall = at.wall_share.value * (depth - body.dome);
        body.back = depth - body.dome - body.wall;
        break;
    case weight::Profile::filled: {
        const double c = body.dome_form;
        body.wall = rest * std::clamp((at.fill.value - c) / (1 - c), 0.0, 1.0);
        divide(rest - body.wall);
        break;
    }
    }
    return body;
}

Body body_of(const Measures& m) {
    return body_of(m, [](std::string_view, const Uncertain& input) { return input.value; });
}

double most(const Body& body, Way way) {
    switch (way) {
    case Way::face:
        return (1 - least_left) * body.dome;
    case Way::back:
        return body.back + body.wall + (1 - least_left) * body.dome;
    case Way::outline:
        return (1 - least_left) * std::min(body.length, body.width) / 2;
    case Way::weight:
        break;
    }
    return 0;
}

Body taken_off(const Body& body, Way way, double mm) {
    Body left = body;
    switch (way) {
    case Way::face:
        left.dome -= mm;
        break;
    case Way::back: {
        const double off_back = std::min(mm, body.back);
        const double off_wall = std::min(mm - off_back, body.wall);
        left.back -= off_back;
        left.wall -= off_wall;
        const double into_dome = mm - off_back - off_wall;
        return into_dome > 0 ? cut_into_dome(left, into_dome) : left;
    }
    case Way::outline:
        left.length -= 2 * mm;
        left.width -= 2 * mm;
        break;
    case Way::weight:
        break;
    }
    return left;
}

Stone record_of(const Stone& stone, const Uncertain& ct, const Body& before, const Body& after) {
    Stone left = stone;
    const double ratio = after.volume() / before.volume();
    left.weight_ct = Reading{ct.value * ratio, ct.value * ratio, 0, std::optional(ct.u * ratio)};
    Dimensions& mm = left.dimensions_mm;
    move(mm.length, after.length - before.length);
    move(mm.width, after.width - before.width);
    move(mm.depth, after.depth() - before.depth());
    move(mm.wall, after.wall - before.wall);
    move(mm.dome, after.dome - before.dome);
    move(mm.back, after.back - before.back);
    if (left.cut.area_mm2) {
        scale(*left.cut.area_mm2, after.area() / before.area());
    }
    return left;
}

} // namespace trayworth::recutting
