// Symbols
//   A      area of the outline, mm2
//   r      gauge (Minkowski functional) of the outline about a point from which all of its edge is
//          seen: 0 at that point, 1 on the edge, growing in proportion along every ray
//   h      height of a dome or of a convex back, mm
//   c      volume of a dome over A h (the dome form)
//   T, w   whole height and height of the wall, mm
//   H      effective height: volume = A H
//   D      depth as measured, mm
//   phi    fill, H / D
//   k      coefficient of the handbook rule: ct = k L W D SG
//
// Dome. Over any outline take z = h sqrt(1 - r^2): the half-ellipsoid when the outline is an
// ellipse. The part of the outline with gauge up to r is a copy of it scaled by r, of area A r^2,
// so the volume is
//     integral of h sqrt(1 - r^2) 2 r A dr from 0 to 1 = 2/3 A h.
// Wall, dome and back: H = w + c (dome + back) = w + c (T - w). How the domed part is divided
// between face and back has no effect, which is why an unknown back need not be guessed when the
// wall is known.
//
// Limits of c, derived here. A spherical cap of height h over a circle of radius R has
// c = 1/2 + (h/R)^2 / 6: 2/3 for the half-ball, 7/12 at h = R/sqrt(2), that is at a dome height of
// 0.354 of the width, a middling medium dome. A cap that flat is the leanest dome in common use.
// As far above 2/3 lies c = 3/4, which is the dome with Lame exponent 5/2, z = h (1 - r^m)^(1/m),
// c = (2/m) B(2/m, 1 + 1/m): full-shouldered. So c is rectangular from 7/12 to 3/4. It is not
// applied on top of the fill, whose spread over real stones contains it.
//
// Fill of stones of which only the depth is known. 49 listed oval cabochons of a dozen species,
// weights divided by L W D and the species' density: median k = 0.0028, 90 % of them within 0.0024
// to 0.0034. An elliptical prism has k = 0.005 pi/4 = 0.0039270, so phi = 0.713, and with
// 90 % within +-1.645 u (normal) u(phi) = 0.0005 / 1.645 / 0.0039270 = 0.077. Flat and convex
// backs are both among those stones, and by the equation above phi = f + c (1 - f), f = w/T,
// depends on the wall alone: the same fill serves either back. It serves the other outlines too:
// eight pears (median k 0.0025) and eleven cushions (0.0028) of the same listings lie within its
// range (the cushions in the lower half). The spread holds errors of those listings' measurements
// and densities as well, so it errs on the wide side.
#include "weight/profile.hpp"

#include <algorithm>
#include <limits>
#include <numbers>

namespace trayworth::weight {

Profile profile_from(bool wall, bool dome, bool back, bool flat) {
    const bool back_known = back || flat;
    if (wall) {
        return dome && back_known ? Profile::parts : Profile::wall;
    }
    if (dome) {
        return back_known ? Profile::difference : Profile::shared;
    }
    return Profile::filled;
}

double effective_height(Profile profile, const Heights& heights) {
    const auto walled = [&](double total, double wall) {
        return std::max(wall + heights.dome_form * (total - wall), 0.0);
    };
    switch (profile) {
    case Profile::parts:
        return walled(heights.wall + heights.dome + heights.back, heights.wall);
    case Profile::wall:
        return walled(heights.depth, heights.wall);
    case Profile::difference:
        return walled(heights.depth, heights.depth - heights.dome - heights.back);
    case Profile::shared:
        return walled(heights.depth, heights.wall_share * (heights.depth - heights.dome));
    case Profile::filled:
        break;
    }
    return std::max(heights.fill * (heights.depth - heights.back), 0.0) +
           heights.dome_form * heights.back;
}

Uncertain dome_form() {
    return rectangular(7.0 / 12.0, 3.0 / 4.0);
}

Uncertain default_fill() {
    constexpr double prism = 0.005 * std::numbers::pi / 4;
    constexpr double median = 0.0028;
    constexpr double low = 0.0024;
    constexpr double high = 0.0034;
    constexpr double normal_90_percent = 1.6449; // Phi^-1(0.95)
    return normal(median / prism, (high - low) / 2 / normal_90_percent / prism);
}

Uncertain wall_share() {
    return rectangular(0, 1);
}

std::optional<Range<double>> dome_band(std::string_view word) {
    constexpr double low_below = 0.3;
    constexpr double high_from = 0.6;
    if (word == "low") {
        return Range<double>{0, low_below};
    }
    if (word == "medium") {
        return Range<double>{low_below, high_from};
    }
    if (word == "high") {
        return Range<double>{high_from, std::numeric_limits<double>::infinity()};
    }
    return std::nullopt;
}

std::optional<Range<double>> dome_band(const Words& words) {
    const auto first = dome_band(words.first);
    const auto second = dome_band(words.second);
    if (!first || !second) {
        return std::nullopt;
    }
    return Range<double>{std::min(first->low, second->low), std::max(first->high, second->high)};
}

std::optional<Uncertain> dome_from(const Words& words, double width, double tallest) {
    constexpr double rounding = 1e-9; // a depth of exactly 0.6 of the width still is "high"
    const auto band = dome_band(words);
    if (!band || width <= 0 || tallest <= 0 || band->low * width > tallest * (1 + rounding)) {
        return std::nullopt;
    }
    const double low = std::min(band->low * width, tallest);
    return rectangular(low, std::min(band->high * width, tallest));
}

} // namespace trayworth::weight
