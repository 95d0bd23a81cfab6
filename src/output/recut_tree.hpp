// A plan drawn as a tree: decisions, what may come of them, and the best branch.
#pragma once

#include "output/text_parts.hpp"
#include "pricing/matrix.hpp"
#include "recutting/answer.hpp"

#include <string>

namespace trayworth::output {

// "125", "-40": an end of the tree, rounded for display.
std::string net_text(double amount, const pricing::Matrix& matrix);

std::string
tree_text(const recutting::Planned& planned, const pricing::Matrix& matrix, TextStyle style);

// A whole document (SVG 1.1), with a title and a description for those who do not see it. A square
// is a decision, a circle a chance; heavy lines lead along the best branch.
std::string tree_svg(const recutting::Answer& answer, const pricing::Matrix& matrix);

} // namespace trayworth::output
