// Words that the trade ranks, from the dearest. Directionality: the more the play-of-colour fades
// on turning, the less a stone is worth (trade books). Severity of a fault and polish: common
// practice, no source.
#pragma once

#include "pricing/matrix.hpp"

#include <array>
#include <span>
#include <string_view>

namespace trayworth::pricing {

inline constexpr std::array<std::string_view, 3> severities{"minor", "moderate", "severe"};
inline constexpr std::array<std::string_view, 5> fading{"none", "slight", "moderate", "strong",
                                                        "one-way"};
inline constexpr std::array<std::string_view, 4> polishes{"excellent", "good", "fair", "poor"};
inline constexpr std::array<std::string_view, 2> no_yes{"no", "yes"};

// The words of a field, or none where the trade does not rank them.
constexpr std::span<const std::string_view> ranked(WordField field) {
    switch (field) {
    case WordField::directionality:
        return fading;
    case WordField::polish:
        return polishes;
    case WordField::hydrophane:
        return no_yes;
    default:
        return {};
    }
}

} // namespace trayworth::pricing
