// Outlines of a cabochon seen face-up, and the areas they enclose.
#pragma once

#include "core/uncertain.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace trayworth::weight {

enum class Outline : std::uint8_t {
    round,
    oval,
    cushion,
    square,
    rectangle,
    octagon,
    pear,
    marquise,
    heart,
    triangle,
    freeform,
};

inline constexpr std::array<std::string_view, 11> outline_names{
    "round", "oval",     "cushion", "square",   "rectangle", "octagon",
    "pear",  "marquise", "heart",   "triangle", "freeform"};

constexpr std::optional<Outline> outline_from(std::string_view name) {
    for (std::size_t i = 0; i < outline_names.size(); ++i) {
        if (outline_names[i] == name) {
            return static_cast<Outline>(i);
        }
    }
    return std::nullopt;
}

// The one number left free by each outline's construction (a corner cut, an exponent, a ratio; see
// outline.cpp), with the uncertainty that the trade's practice leaves in it; exact where none is.
Uncertain outline_form(Outline outline);

// Area in mm2 of an outline `length` mm long and `width` mm wide (both > 0), for a given value of
// its form parameter.
double outline_area(Outline outline, double length, double width, double form);

} // namespace trayworth::weight
