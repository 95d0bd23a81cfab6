// The grading scales that are the program's own: type, body tone, transparency and brightness.
// Everything else a grader names (pattern, colour, fault, outline, ...) is whatever the matrix
// prices and stays a word.
//
// Body tone N1 (darkest) to N9 (lightest), its classes, and the types: Gemmological Association of
// Australia, opal nomenclature, 1997 (A. Smallwood, The Australian Gemmologist).
#pragma once

#include "core/range.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace trayworth {

enum class StoneType : std::uint8_t {
    solid,     // natural type 1: one homogeneous piece
    boulder,   // natural type 2: opal naturally joined to its host rock
    matrix,    // natural type 3: opal diffused through the pores of its host
    doublet,   // opal on a backing
    triplet,   // clear cap, opal, backing
    mosaic,    // pieces bonded together
    synthetic, // laboratory-grown
    imitation,
};

enum class Transparency : std::uint8_t { transparent, translucent, opaque };

template<class Enum>
struct Named {
    Enum value;
    std::string_view name;
};

inline constexpr std::array<Named<StoneType>, 8> stone_types{{
    {StoneType::solid, "solid"},
    {StoneType::boulder, "boulder"},
    {StoneType::matrix, "matrix"},
    {StoneType::doublet, "doublet"},
    {StoneType::triplet, "triplet"},
    {StoneType::mosaic, "mosaic"},
    {StoneType::synthetic, "synthetic"},
    {StoneType::imitation, "imitation"},
}};

inline constexpr std::array<Named<Transparency>, 3> transparencies{{
    {Transparency::transparent, "transparent"},
    {Transparency::translucent, "translucent"},
    {Transparency::opaque, "opaque"},
}};

constexpr std::string_view name_of(StoneType type) {
    return stone_types[static_cast<std::size_t>(type)].name;
}
constexpr std::string_view name_of(Transparency transparency) {
    return transparencies[static_cast<std::size_t>(transparency)].name;
}

// Type 1, 2 or 3: natural opal in one piece as it was found.
constexpr bool is_natural(StoneType type) {
    return type <= StoneType::matrix;
}
// Assembled from parts by a maker.
constexpr bool is_composite(StoneType type) {
    return type == StoneType::doublet || type == StoneType::triplet || type == StoneType::mosaic;
}

// Steps of body tone are numbered 1 (N1, darkest) to 9 (N9, lightest).
inline constexpr int darkest_tone = 1;
inline constexpr int lightest_black_tone = 4;
inline constexpr int lightest_dark_tone = 6;
inline constexpr int lightest_tone = 9;
inline constexpr std::array<std::string_view, 9> tone_names{"N1", "N2", "N3", "N4", "N5",
                                                            "N6", "N7", "N8", "N9"};

constexpr std::optional<int> tone_from(std::string_view name) {
    for (std::size_t i = 0; i < tone_names.size(); ++i) {
        if (tone_names[i] == name) {
            return static_cast<int>(i) + 1;
        }
    }
    return std::nullopt;
}
constexpr std::string_view tone_name(int tone) {
    return tone_names[static_cast<std::size_t>(tone - 1)];
}

// Brightness has no single scale, so a grade means nothing without these two numbers. `steps`
// counts the grades that show play-of-colour, numbered 1 to steps; `brightest` is 1 or steps.
// (On a scale of 0 to 5, grade 0 says that there is no play-of-colour: steps is 5.)
struct BrightnessScale {
    int steps = 0;
    int brightest = 0;

    friend constexpr bool operator==(const BrightnessScale&, const BrightnessScale&) = default;
};
inline constexpr int fewest_brightness_steps = 2;
inline constexpr int most_brightness_steps = 100;

// The same relative position between the dimmest and the brightest grade, on another scale. Exact
// where the position falls on a grade.
constexpr double map_brightness(double grade, BrightnessScale from, BrightnessScale to) {
    const double above_dimmest = from.brightest == 1 ? from.steps - grade : grade - 1;
    const double rank = above_dimmest * (to.steps - 1) / (from.steps - 1);
    return to.brightest == 1 ? to.steps - rank : rank + 1;
}

} // namespace trayworth
