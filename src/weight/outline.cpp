// Areas of cabochon outlines in closed form.
//
// Symbols
//   L, W   length and width of the rectangle that just holds the outline, mm
//   A      area of the outline, mm2
//   n      exponent of a Lame curve |2x/L|^n + |2y/W|^n = 1
//   s      leg of a cut corner, mm
//   a, b   length along the axis, and half-width at its base, of an end that tapers to a point, mm
//   q      b / a
//   R, t   radius of a circular arc, mm, and half the angle that it spans
//   f      form parameter; its meaning is below, outline by outline
//
// No published source gives areas of cabochon outlines. Each is derived here from the plainest
// construction that a template maker would use; the limits of f are common practice, no source,
// except where a derivation is shown.
//
//   round, oval       ellipse: A = pi/4 L W. f is not used.
//   square, rectangle A = L W. f is not used.
//   cushion           Lame curve, f = n from 2.5 (plump) to 4 (nearly a rectangle). With
//                     v = (2x/L)^n the quarter's integral of (1 - v)^(1/n) is a Beta function, so
//                     A = L W G(1 + 1/n)^2 / G(1 + 2/n), G the Gamma function; n = 2 is the
//                     ellipse.
//   octagon           rectangle less four right triangles of legs s = f min(L, W): A = L W - 2 s^2.
//                     f from 0.15 to 1 - 1/sqrt(2), at which a square becomes the regular octagon
//                     (its side is then sqrt(2) s = W - 2 s).
//   marquise          two tapering ends, base to base.
//   pear              half a disc of diameter W and a tapering end of length L - W/2.
//   heart             two half discs of diameter W/2 side by side (the lobes) and, below the line
//                     they stand on, a tapering end of length L - W/4. Shorter than 3/4 W it is
//                     that heart of L = 3/4 W pressed down to L, so A goes with L.
//   triangle          A = f L W, f from 1/2, straight sides, to the Reuleaux triangle's
//                     (pi - sqrt(3))/2: its area is (pi - sqrt(3))/2 d^2 (three circle sectors
//                     pi/6 d^2 share an equilateral triangle sqrt(3)/4 d^2, counted twice too
//                     often) and, being of constant width d, it fills a box d by d.
//   freeform          A = f L W, f from 0.6 to 0.95: from a slim triangle with rounded corners to a
//                     block. No source; the width of the range says so.
//
// A tapering end (marquise, pear, heart) has f = 0 for circular arcs that meet the base at a right
// angle, as half a vesica; f = -1 straight sides; f = 1 half an ellipse, no longer a point. Between
// them the half-widths, hence the areas, are mixed linearly. f within -1/3 and 1/3.
//   arcs      R = (a^2 + b^2) / (2 b), t = 2 atan(q); A = R^2 (2 t - sin 2t) / 2
//   straight  A = a b
//   ellipse   A = pi/2 a b
// A marquise or pear wider than it is long is taken to have been turned by a quarter on the gauge:
// its axis is the longer of L and W. At L = W both are the disc, so A has no jump there.
#include "weight/outline.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace trayworth::weight {
namespace {

using std::numbers::pi;

// Area of half a vesica over 2 a b, for q = b/a in (0, 1].
double vesica_coefficient(double q) {
    // For slim ends 2t - sin 2t cancels; there the series of the same expression,
    // 2/3 + 2/15 q^2 + O(q^4), has the smaller error (1e-12 against 1e-10 at this limit).
    constexpr double slim = 1e-3;
    if (q < slim) {
        return 2.0 / 3.0 + 2.0 / 15.0 * q * q;
    }
    const double t = 2 * std::atan(q);
    const double radius_over_a = (1 + q * q) / (2 * q);
    return radius_over_a * radius_over_a * (2 * t - std::sin(2 * t)) / (4 * q);
}

// Area of a tapering end of length a on a base of 2 b.
double tapering_end(double a, double b, double form) {
    const double straight = a * b;
    const double ellipse = pi / 2 * a * b;
    // Arcs through the point of an end shorter than half its base would bulge beyond the point.
    const double arcs = a > b ? 2 * a * b * vesica_coefficient(b / a) : ellipse;
    return form < 0 ? std::lerp(arcs, straight, -form) : std::lerp(arcs, ellipse, form);
}

double pear_area(double length, double width, double form) {
    const double head = pi / 8 * width * width;
    return head + tapering_end(length - width / 2, width / 2, form);
}

double heart_area(double length, double width, double form) {
    const double lobe_height = std::min(width / 4, length / 3);
    const double lobes = pi / 4 * width * lobe_height; // two half ellipses of base W/2
    return lobes + tapering_end(length - lobe_height, width / 2, form);
}

double cushion_area(double length, double width, double exponent) {
    const double corner = std::tgamma(1 + 1 / exponent);
    return length * width * corner * corner / std::tgamma(1 + 2 / exponent);
}

} // namespace

Uncertain outline_form(Outline outline) {
    switch (outline) {
    case Outline::round:
    case Outline::oval:
    case Outline::square:
    case Outline::rectangle:
        break;
    case Outline::cushion:
        return rectangular(2.5, 4);
    case Outline::octagon:
        return rectangular(0.15, 1 - 1 / std::numbers::sqrt2);
    case Outline::pear:
    case Outline::marquise:
    case Outline::heart:
        return rectangular(-1.0 / 3.0, 1.0 / 3.0);
    case Outline::triangle:
        return rectangular(0.5, (pi - std::numbers::sqrt3) / 2);
    case Outline::freeform:
        return rectangular(0.6, 0.95);
    }
    return exact(0);
}

double outline_area(Outline outline, double length, double width, double form) {
    if (length <= 0 || width <= 0) {
        return 0;
    }
    switch (outline) {
    case Outline::round:
    case Outline::oval:
        return pi / 4 * length * width;
    case Outline::square:
    case Outline::rectangle:
        break;
    case Outline::cushion:
        return cushion_area(length, width, form);
    case Outline::octagon: {
        const double leg = form * std::min(length, width);
        return length * width - 2 * leg * leg;
    }
    case Outline::pear:
        return pear_area(std::max(length, width), std::min(length, width), form);
    case Outline::marquise:
        return 2 * tapering_end(std::max(length, width) / 2, std::min(length, width) / 2, form);
    case Outline::heart:
        return heart_area(length, width, form);
    case Outline::triangle:
    case Outline::freeform:
        return form * length * width;
    }
    return length * width;
}

} // namespace trayworth::weight
