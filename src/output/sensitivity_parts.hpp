// What the forms of a tornado chart have in common: amounts and words of a step.
#pragma once

#include "core/money.hpp"
#include "pricing/matrix.hpp"
#include "valuation/sensitivity.hpp"

#include <string>
#include <vector>

namespace trayworth::output {

// The change that a priced step makes, between the amounts as they are printed.
Money change_of(const valuation::Step& step,
                const valuation::Sensitivity& sensitivity,
                const pricing::Matrix& matrix);
double per_cent_of(const valuation::Step& step, const valuation::Sensitivity& sensitivity);

// The longest of the chart's bars: the largest change of the likely value; 0 where there is none.
double largest_change(const valuation::Sensitivity& sensitivity);

// "N4 to N5 −88.86 (−19.4 %)", of a priced step.
std::string step_words(const valuation::Step& step,
                       const valuation::Sensitivity& sensitivity,
                       const pricing::Matrix& matrix);

// The steps of an axis by the side of the chart on which they stand, in the order of the axis.
struct Sides {
    std::vector<const valuation::Step*> cheaper;
    std::vector<const valuation::Step*> dearer; // those without effect, too
    std::vector<std::string> not_priced;        // "N1 to N2: not priced. The grid ..."
};
Sides sides_of(const valuation::Axis& axis, const valuation::Sensitivity& sensitivity);

} // namespace trayworth::output
