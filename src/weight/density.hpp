// Densities of opal in g/cm3, which is also mg/mm3.
#pragma once

#include "core/range.hpp"
#include "core/uncertain.hpp"

#include <span>
#include <string_view>

namespace trayworth::weight {

struct SourcedDensity {
    Uncertain density;
    std::string_view source; // for the reader of a budget; static storage
};

struct DensityVariety {
    std::string_view name;
    SourcedDensity sourced;
};

// The varieties with a published density; each one's source is named in density.cpp.
std::span<const DensityVariety> density_varieties();

// Null when the name is not one of them.
const DensityVariety* find_density_variety(std::string_view name);

// For a solid opal of which no density is stated.
SourcedDensity default_density(bool hydrophane);

// Limits for any opal: 2.15 + 0.08 - 0.90 (GIA Gem Reference Guide, read in secondary sources).
inline constexpr Range<double> opal_density_limits{1.25, 2.23};

} // namespace trayworth::weight
