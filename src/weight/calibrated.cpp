#include "weight/calibrated.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace trayworth::weight {
namespace {

using Size = CalibratedSize;

constexpr std::array<Size, 15> ovals{{
    {6, 4},
    {7, 5},
    {8, 6},
    {9, 7},
    {10, 8},
    {11, 9},
    {12, 10},
    {14, 10},
    {14, 12},
    {16, 12},
    {18, 13},
    {20, 15},
    {25, 18},
    {30, 22},
    {40, 30},
}};
constexpr std::array<Size, 16> rounds{{
    {3, 3},
    {4, 4},
    {5, 5},
    {6, 6},
    {7, 7},
    {8, 8},
    {9, 9},
    {10, 10},
    {11, 11},
    {12, 12},
    {13, 13},
    {14, 14},
    {15, 15},
    {16, 16},
    {18, 18},
    {20, 20},
}};

double deviation(Size size, double length, double width) {
    return std::max(std::abs(length - size.length), std::abs(width - size.width));
}

} // namespace

std::span<const CalibratedSize> calibrated_sizes(Outline outline) {
    switch (outline) {
    case Outline::oval:
        return ovals;
    case Outline::round:
        return rounds;
    default:
        return {};
    }
}

std::optional<CalibratedFit>
nearest_calibrated(Outline outline, Millimetre length, Millimetre width, Carat weight) {
    const std::span<const Size> sizes = calibrated_sizes(outline);
    if (sizes.empty()) {
        return std::nullopt;
    }
    const double longer = std::max(length.value, width.value);
    const double shorter = std::min(length.value, width.value);
    const Size nearest = *std::min_element(sizes.begin(), sizes.end(), [&](Size a, Size b) {
        return deviation(a, longer, shorter) < deviation(b, longer, shorter);
    });
    const double tolerance = weight.value < 1 ? 0.1 : 0.2;
    constexpr double rounding = 1e-9; // 12.2 - 12 is a little more than 0.2 in binary
    return CalibratedFit{
        .length = Millimetre{nearest.length},
        .width = Millimetre{nearest.width},
        .length_off = Millimetre{longer - nearest.length},
        .width_off = Millimetre{shorter - nearest.width},
        .tolerance = Millimetre{tolerance},
        .fits = deviation(nearest, longer, shorter) <= tolerance + rounding,
    };
}

std::optional<CalibratedFit> nearest_calibrated(const Stone& stone, Carat weight) {
    const Dimensions& mm = stone.dimensions_mm;
    const std::optional<Outline> outline =
        stone.cut.outline ? outline_from(*stone.cut.outline) : std::nullopt;
    const std::optional<Reading>& width =
        mm.width || outline != Outline::round ? mm.width : mm.length;
    if (!outline || !mm.length || !width) {
        return std::nullopt;
    }
    return nearest_calibrated(*outline, Millimetre{mm.length->middle()},
                              Millimetre{width->middle()}, weight);
}

} // namespace trayworth::weight
