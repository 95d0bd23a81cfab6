// Physical quantities of the bench as distinct types, so that a millimetre cannot be passed where
// a carat is meant. Each wraps one double in the unit its name says; there is no implicit
// conversion in or out.
#pragma once

#include <compare>

namespace trayworth {

template<class Unit>
struct Quantity {
    double value = 0;

    constexpr Quantity() = default;
    constexpr explicit Quantity(double v) : value(v) {}
    friend constexpr auto operator<=>(Quantity, Quantity) = default;
};

using Carat = Quantity<struct CaratUnit>;           // ct
using Millimetre = Quantity<struct MillimetreUnit>; // mm
using Area = Quantity<struct AreaUnit>;             // mm2
using Volume = Quantity<struct VolumeUnit>;         // mm3
using Density = Quantity<struct DensityUnit>;       // g/cm3, which equals mg/mm3

// 1 ct = 200 mg exactly: 4th General Conference on Weights and Measures (CGPM), 1907.
inline constexpr double milligrams_per_carat = 200.0;

constexpr Carat weight_of(Volume volume, Density density) {
    return Carat{volume.value * density.value / milligrams_per_carat};
}

constexpr Density density_of(Carat weight, Volume volume) {
    return Density{weight.value * milligrams_per_carat / volume.value};
}

} // namespace trayworth
