// The alternatives of a plan, valued and compared.
#pragma once

#include "core/diagnostic.hpp"
#include "recutting/common_draws.hpp"
#include "recutting/decision.hpp"
#include "recutting/plan.hpp"
#include "recutting/subject.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace trayworth::recutting {

// A stone that a plan may end with.
struct End {
    double ct = 0;
    double value = 0; // likely
    valuation::Interval range;
    std::string name; // of the stone, by its grades
};

// One alternative against leaving the stone as it is, by pairs.
struct Difference {
    Ranged net; // expected net less the value as it is; the later choices are settled beforehand
    double chance_below = 0; // of ending below the value as it is, all uncertainties included
};

struct Comparison {
    std::vector<Choice> choices; // the plan as a tree in money; Outcome::stone counts `ends`
    std::vector<End> ends;
    Solution solution;
    std::vector<Difference> against_leaving; // of each choice
    // The best choice against the next best one, leaving it among them.
    std::optional<std::size_t> runner_up; // nothing: leaving it
    Ranged lead;
    // That difference's sign cannot be told: by the uncertainties, or by the ranges of probability.
    bool too_close = false;
    Attitude attitude;
};

// What an hour at the wheel brings beyond leaving the stone, materials paid and time not: to be
// held against the plan's hourly rate. The choice takes time.
double earned_per_hour(const Plan& plan, const Solution& solution, std::size_t choice);

// Money of the plan is that of the matrix. A stone that cannot be valued, or that no cutting leads
// to, is an error with its pointer in the plan; nothing is returned when there is one. The plan's
// stones are read; it has an hourly rate if it states any minutes.
std::optional<Comparison> compare(const Subject& now,
                                  const Plan& plan,
                                  double aversion,
                                  const Terms& terms,
                                  CommonDraws& draws,
                                  Diagnostics& diagnostics);

} // namespace trayworth::recutting
