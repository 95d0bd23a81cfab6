#include "recutting/decision.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

namespace trayworth::recutting {
namespace {

// Amounts that differ by less are the same: sums of money in floating point.
constexpr double least_difference = 1e-9;

// Least or greatest of sum p_i v_i over probabilities within their ranges that sum to 1: from the
// lowest ones, what is left over goes to the smallest (largest) values first.
double
extreme(const std::vector<Outcome>& outcomes, const std::vector<double>& values, bool greatest) {
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return greatest ? values[a] > values[b] : values[a] < values[b];
    });
    double left = 1;
    for (const Outcome& outcome : outcomes) {
        left -= outcome.probability.low;
    }
    double sum = 0;
    double total = 0;
    for (const std::size_t i : order) {
        const Range<double>& p = outcomes[i].probability;
        const double more = std::clamp(left, 0.0, p.high - p.low);
        left -= more;
        sum += (p.low + more) * values[i];
        total += p.low + more;
    }
    return sum / total;
}

Range<double> extremes(const std::vector<Outcome>& outcomes,
                       const std::vector<double>& lows,
                       const std::vector<double>& highs) {
    return {extreme(outcomes, lows, false), extreme(outcomes, highs, true)};
}

class Solver {
public:
    Solver(double leave, const Attitude& attitude) : leave_(leave), attitude_(attitude) {}

    [[nodiscard]] bool failed() const { return failed_; }

    struct Rolled {
        SolvedChoice solved;
        double utility = 0;
    };
    struct RolledOutcome {
        SolvedOutcome solved;
        double utility = 0;
        double left = 0;               // utility of leaving it
        std::vector<double> utilities; // of its choices
        // The branch taken, as SolvedChoice has it.
        Range<double> expected_range;
        Range<double> below;
        double chance_below = 0;
        double minutes = 0;
        double cost = 0;
        std::vector<std::size_t> worst;
        double worst_net = 0;
    };

    Rolled roll(const Choice& choice, double spent, double minutes) {
        const double cost = spent + choice.cost;
        const double time = minutes + choice.minutes;
        const std::vector<double> p = likely_probabilities(choice.outcomes);
        std::vector<RolledOutcome> outcomes;
        outcomes.reserve(p.size());
        for (const Outcome& outcome : choice.outcomes) {
            outcomes.push_back(roll(outcome, cost, time));
        }
        Rolled rolled;
        SolvedChoice& solved = rolled.solved;
        const auto mean = [&](auto of) {
            double sum = 0;
            for (std::size_t i = 0; i < p.size(); ++i) {
                sum += p[i] * of(outcomes[i]);
            }
            return sum;
        };
        rolled.utility = mean([](const RolledOutcome& o) { return o.utility; });
        solved.certainty_equivalent = attitude_.certainty_equivalent(rolled.utility);
        solved.expected = mean([](const RolledOutcome& o) { return o.solved.expected; });
        solved.chance_below = mean([](const RolledOutcome& o) { return o.chance_below; });
        solved.minutes = mean([](const RolledOutcome& o) { return o.minutes; });
        solved.cost = mean([](const RolledOutcome& o) { return o.cost; });
        add_extremes(choice, outcomes, solved);
        add_worst(outcomes, solved);
        add_break_even(outcomes, p, solved);
        solved.looking = looking(choice, outcomes, p, rolled.utility);
        for (std::size_t i = 0; i < p.size(); ++i) {
            outcomes[i].solved.probability = p[i];
            solved.outcomes.push_back(std::move(outcomes[i].solved));
        }
        return rolled;
    }

private:
    double utility(double net) {
        const std::optional<double> found = attitude_.utility(net);
        failed_ = failed_ || !found;
        return found.value_or(0);
    }

    RolledOutcome roll(const Outcome& outcome, double spent, double minutes) {
        const double cost = spent + outcome.cost;
        const double time = minutes + outcome.minutes;
        RolledOutcome rolled;
        SolvedOutcome& solved = rolled.solved;
        solved.net = outcome.worth - cost;
        rolled.left = utility(solved.net);
        rolled.utility = rolled.left;
        solved.expected = solved.net;
        rolled.expected_range = point(solved.net);
        rolled.chance_below = solved.net < leave_ - least_difference ? 1 : 0;
        rolled.below = point(rolled.chance_below);
        rolled.minutes = time;
        rolled.cost = cost;
        rolled.worst_net = solved.net;
        for (std::size_t i = 0; i < outcome.choices.size(); ++i) {
            Rolled choice = roll(outcome.choices[i], cost, time);
            rolled.utilities.push_back(choice.utility);
            const SolvedChoice& chosen = choice.solved;
            // Of equals, the first; of doing and leaving, leaving.
            if (chosen.certainty_equivalent >
                attitude_.certainty_equivalent(rolled.utility) + least_difference) {
                rolled.utility = choice.utility;
                solved.best = i;
                solved.expected = chosen.expected;
                rolled.expected_range = chosen.expected_over_probabilities;
                rolled.chance_below = chosen.chance_below;
                rolled.below = chosen.chance_below_over_probabilities;
                rolled.minutes = chosen.minutes;
                rolled.cost = chosen.cost;
                rolled.worst = chosen.worst;
                rolled.worst_net = chosen.worst_net;
            }
            solved.choices.push_back(std::move(choice.solved));
        }
        solved.certainty_equivalent = attitude_.certainty_equivalent(rolled.utility);
        return rolled;
    }

    static void add_extremes(const Choice& choice,
                             const std::vector<RolledOutcome>& outcomes,
                             SolvedChoice& solved) {
        const auto list = [&](auto of) {
            std::vector<double> values;
            values.reserve(outcomes.size());
            std::transform(outcomes.begin(), outcomes.end(), std::back_inserter(values), of);
            return values;
        };
        solved.expected_over_probabilities = extremes(
            choice.outcomes, list([](const RolledOutcome& o) { return o.expected_range.low; }),
            list([](const RolledOutcome& o) { return o.expected_range.high; }));
        solved.chance_below_over_probabilities =
            extremes(choice.outcomes, list([](const RolledOutcome& o) { return o.below.low; }),
                     list([](const RolledOutcome& o) { return o.below.high; }));
    }

    static void add_worst(const std::vector<RolledOutcome>& outcomes, SolvedChoice& solved) {
        std::size_t at = 0;
        for (std::size_t i = 1; i < outcomes.size(); ++i) {
            at = outcomes[i].worst_net < outcomes[at].worst_net ? i : at;
        }
        solved.worst_net = outcomes[at].worst_net;
        solved.worst = {at};
        solved.worst.insert(solved.worst.end(), outcomes[at].worst.begin(),
                            outcomes[at].worst.end());
    }

    void add_break_even(const std::vector<RolledOutcome>& outcomes,
                        const std::vector<double>& p,
                        SolvedChoice& solved) const {
        std::size_t bad = 0;
        for (std::size_t i = 1; i < outcomes.size(); ++i) {
            bad = outcomes[i].solved.expected < outcomes[bad].solved.expected ? i : bad;
        }
        solved.worst_outcome = bad;
        double others = 0;
        double probability = 0;
        for (std::size_t i = 0; i < outcomes.size(); ++i) {
            if (i != bad) {
                others += p[i] * outcomes[i].solved.expected;
                probability += p[i];
            }
        }
        if (probability <= 0) {
            return;
        }
        const double good = others / probability;
        const double gap = good - outcomes[bad].solved.expected;
        const double at = gap > 0 ? (good - leave_) / gap : -1;
        if (at >= 0 && at <= 1) {
            solved.break_even_probability = at;
        }
    }

    // Against each later choice settled beforehand, by its name, and against leaving it.
    [[nodiscard]] std::optional<double> looking(const Choice& choice,
                                                const std::vector<RolledOutcome>& outcomes,
                                                const std::vector<double>& p,
                                                double adaptive) const {
        std::set<std::string> names;
        for (const Outcome& outcome : choice.outcomes) {
            for (const Choice& later : outcome.choices) {
                names.insert(later.name);
            }
        }
        if (names.empty()) {
            return std::nullopt;
        }
        const auto settled = [&](const std::string* name) {
            double sum = 0;
            for (std::size_t i = 0; i < outcomes.size(); ++i) {
                const std::vector<Choice>& later = choice.outcomes[i].choices;
                const auto found = std::find_if(later.begin(), later.end(), [&](const Choice& c) {
                    return name != nullptr && c.name == *name;
                });
                const auto at = static_cast<std::size_t>(found - later.begin());
                sum += p[i] * (found == later.end() ? outcomes[i].left : outcomes[i].utilities[at]);
            }
            return sum;
        };
        double best = settled(nullptr);
        for (const std::string& name : names) {
            best = std::max(best, settled(&name));
        }
        return attitude_.certainty_equivalent(adaptive) - attitude_.certainty_equivalent(best);
    }

    double leave_;
    const Attitude& attitude_;
    bool failed_ = false;
};

// What it adds to know the outcome of each choice before choosing, when all else stays a gamble.
void add_knowing(Solution& solution, const Attitude& attitude) {
    const auto utility = [&](double certain) { return attitude.utility(certain).value_or(0); };
    for (std::size_t i = 0; i < solution.choices.size(); ++i) {
        double other = solution.leave;
        for (std::size_t j = 0; j < solution.choices.size(); ++j) {
            if (j != i) {
                other = std::max(other, solution.choices[j].certainty_equivalent);
            }
        }
        SolvedChoice& choice = solution.choices[i];
        double informed = 0;
        for (const SolvedOutcome& outcome : choice.outcomes) {
            informed +=
                outcome.probability * utility(std::max(outcome.certainty_equivalent, other));
        }
        choice.knowing = std::max(attitude.certainty_equivalent(informed) -
                                      std::max(choice.certainty_equivalent, other),
                                  0.0);
    }
}

} // namespace

std::optional<double> Attitude::utility(double net) const {
    if (aversion == 0) {
        return net;
    }
    const double w = (wealth + net) / unit;
    if (!(w > 0)) {
        return std::nullopt;
    }
    return aversion == 1 ? std::log(w) : std::expm1((1 - aversion) * std::log(w)) / (1 - aversion);
}

double Attitude::certainty_equivalent(double utility) const {
    if (aversion == 0) {
        return utility;
    }
    const double w = aversion == 1
                         ? std::exp(utility)
                         : std::exp(std::log1p((1 - aversion) * utility) / (1 - aversion));
    return w * unit - wealth;
}

std::vector<double> likely_probabilities(const std::vector<Outcome>& outcomes) {
    double low = 0;
    double width = 0;
    for (const Outcome& outcome : outcomes) {
        low += outcome.probability.low;
        width += outcome.probability.high - outcome.probability.low;
    }
    const double t = width > 0 ? std::clamp((1 - low) / width, 0.0, 1.0) : 0;
    const double sum = low + t * width;
    std::vector<double> p;
    p.reserve(outcomes.size());
    for (const Outcome& outcome : outcomes) {
        p.push_back(std::lerp(outcome.probability.low, outcome.probability.high, t) / sum);
    }
    return p;
}

std::optional<Solution>
solve(double leave, const std::vector<Choice>& choices, const Attitude& towards_risk) {
    Attitude attitude = towards_risk;
    if (attitude.aversion > 0) {
        attitude.unit = attitude.wealth + leave;
        if (!(attitude.unit > 0)) {
            return std::nullopt;
        }
    }
    Solution solution;
    solution.leave = leave;
    Solver solver(leave, attitude);
    double best = leave;
    for (std::size_t i = 0; i < choices.size(); ++i) {
        solution.choices.push_back(solver.roll(choices[i], 0, 0).solved);
        if (solution.choices.back().certainty_equivalent > best + least_difference) {
            best = solution.choices.back().certainty_equivalent;
            solution.best = i;
        }
    }
    if (solver.failed()) {
        return std::nullopt;
    }
    add_knowing(solution, attitude);
    return solution;
}

} // namespace trayworth::recutting
