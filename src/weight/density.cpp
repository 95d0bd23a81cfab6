// Sources, all in g/cm3
//   precious      1.98 to 2.25, usual for precious opal (secondary sources that follow the GIA Gem
//                 Reference Guide).
//   australian    "about 2.10" (R. Webster, Gems, from memory). Limits chosen here: +-0.05, the
//                 half-width of the Mexican range rounded up.
//   mexican fire  1.97 to 2.06 (R. Webster, Gems, from memory).
//   west java     2.13 (GIA, Gems & Gemology, Spring 2018), one figure. Limits as for australian.
//   hydrophane    1.93, standard deviation 0.03 over five slices (GIA, Gems & Gemology, Spring
//                 2016, p. 72).
//
// A further hydrophane stone, predicted from the five: its deviation and that of the mean add in
// quadrature, s sqrt(1 + 1/n), and s from so few is itself uncertain, which the standard deviation
// of Student's t with n - 1 = 4 degrees of freedom, sqrt(4 / (4 - 2)), allows for (JCGM 101:2008,
// 6.4.9). That the five were dry, and of one deposit, it does not allow for: weigh dry.
#include "weight/density.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace trayworth::weight {
namespace {

Uncertain hydrophane_density() {
    constexpr double mean = 1.93;
    constexpr double deviation = 0.03;
    constexpr double slices = 5;
    const double student = std::sqrt((slices - 1) / (slices - 3));
    return normal(mean, deviation * std::sqrt(1 + 1 / slices) * student);
}

} // namespace

std::span<const DensityVariety> density_varieties() {
    static const std::array<DensityVariety, 5> varieties{{
        {"precious", {rectangular(1.98, 2.25), "variety: precious opal, usual range"}},
        {"australian", {rectangular(2.05, 2.15), "variety: Australian precious opal"}},
        {"mexican fire", {rectangular(1.97, 2.06), "variety: Mexican fire opal"}},
        {"west java", {rectangular(2.08, 2.18), "variety: West Java opal"}},
        {"hydrophane", {hydrophane_density(), "variety: hydrophane opal"}},
    }};
    return varieties;
}

const DensityVariety* find_density_variety(std::string_view name) {
    const auto varieties = density_varieties();
    const auto found = std::find_if(varieties.begin(), varieties.end(),
                                    [&](const DensityVariety& v) { return v.name == name; });
    return found == varieties.end() ? nullptr : &*found;
}

SourcedDensity default_density(bool hydrophane) {
    if (hydrophane) {
        return {find_density_variety("hydrophane")->sourced.density, "default: hydrophane opal"};
    }
    return {find_density_variety("precious")->sourced.density,
            "default: usual range of precious opal"};
}

} // namespace trayworth::weight
