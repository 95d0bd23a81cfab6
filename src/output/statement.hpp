// The sentences that every valuation carries: what it is, what it is not, and who to ask instead.
#pragma once

#include "core/stone.hpp"
#include "pricing/matrix.hpp"
#include "weight/weigh.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

inline constexpr std::string_view purpose = "pricing a seller's own stock";

// A part of the uncertainty is shown from this share of the variance on.
inline constexpr double least_share_shown = 0.01;

// One end of a factor's range: "1.25".
std::string limit(double number);

// What the values are for, by which matrix of what date, and at which rate they are converted.
std::string basis_sentence(const pricing::Matrix& matrix, std::string_view level);

// What holds for every value by a matrix: invented prices, "an estimate, not an appraisal ...".
std::vector<std::string> cautions(const pricing::Matrix& matrix);

// The same, and what holds for this stone: an estimated weight, hydrophane opal.
std::vector<std::string>
cautions(const Stone& stone, const weight::Weight& weight, const pricing::Matrix& matrix);

// What must be said wherever more cutting is considered: dust, wax, heat, and that a stone is not
// yet cut.
std::vector<std::string> cautions_at_the_wheel();

} // namespace trayworth::output
