// "Did you mean": the known name nearest to one that is not known.
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace trayworth {

// The nearest of `known` by optimal string alignment distance (insertion, deletion, substitution,
// swap of neighbours), or nothing when even that one differs in more than a third of the letters of
// the longer of the two, rounded to a whole letter.
std::optional<std::string_view> nearest(std::string_view name,
                                        std::span<const std::string_view> known);

} // namespace trayworth
