// Symbols
//   V_e      value of the stone at the end e of the tree, in one trial of the simulation
//   P_e      probability of coming to e by the choices that are best at the likely values
//   C_e      costs on the way to e
//   D        sum P_e (V_e - C_e) - V_0: how much better than leaving it, V_0
// D is reckoned in every trial with the same draws for all the stones, so that what they have in
// common does not blur the difference.
#include "recutting/compare.hpp"

#include "recutting/body.hpp"
#include "weight/carats.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace trayworth::recutting {
namespace {

constexpr double minutes_per_hour = 60;
constexpr double clearly = 2; // standard uncertainties

// Whether the stone may have gained by being put together of parts.
bool is_built_up(const Stone& stone) {
    return stone.type && is_composite(*stone.type);
}

class Builder {
public:
    Builder(const Plan& plan, const Terms& terms, Diagnostics& diagnostics)
        : plan_(plan), terms_(terms), diagnostics_(diagnostics) {}

    std::vector<Choice> build(const std::vector<Alternative>& alternatives, const Stone& before) {
        std::vector<Choice> choices;
        for (const Alternative& alternative : alternatives) {
            Choice choice{
                alternative.name, cost_of(alternative.work), alternative.work.minutes, {}};
            for (const PlanOutcome& outcome : alternative.outcomes) {
                choice.outcomes.push_back(build(outcome, before));
            }
            choices.push_back(std::move(choice));
        }
        return choices;
    }

    [[nodiscard]] const std::vector<Subject>& built() const { return built_; }

private:
    Outcome build(const PlanOutcome& outcome, const Stone& before) {
        Outcome built;
        built.name = outcome.name;
        built.probability = outcome.probability;
        built.cost = cost_of(outcome.work);
        built.minutes = outcome.work.minutes;
        const std::size_t from = diagnostics_.size();
        if (is_possible(outcome, before)) {
            Diagnostics found;
            if (std::optional<Subject> subject = subject_of(outcome.stone, terms_, found)) {
                built.worth = subject->valuation.likely;
                built.stone = built_.size();
                built_.push_back(std::move(*subject));
            } else {
                take_errors(found, outcome);
            }
        }
        if (diagnostics_.size() == from) {
            built.choices = build(outcome.alternatives, outcome.stone);
        }
        return built;
    }

    // Of the record that the changes make: a pointer into it becomes one into the plan.
    void take_errors(const Diagnostics& found, const PlanOutcome& outcome) {
        for (const Diagnostic& diagnostic : found) {
            if (diagnostic.severity == Severity::error) {
                diagnostics_.push_back(diagnostic);
                diagnostics_.back().pointer.insert(0, outcome.changes_pointer);
                diagnostics_.back().message.insert(0,
                                                   "With these changes the stone has no value: ");
            }
        }
    }

    void refuse(const PlanOutcome& outcome,
                std::string_view field,
                std::string message,
                std::string hint) {
        diagnostics_.push_back({Code::value_range, Severity::error,
                                outcome.changes_pointer + std::string(field), std::move(message),
                                std::move(hint)});
    }

    // What the wheel takes off does not come back. (Backing and capping add to a composite.)
    bool is_possible(const PlanOutcome& outcome, const Stone& before) {
        const Stone& after = outcome.stone;
        if (is_built_up(after)) {
            return true;
        }
        const std::size_t from = diagnostics_.size();
        if (before.weight_ct && after.weight_ct) {
            const Uncertain old_ct = before.weight_ct->uncertain();
            const Uncertain new_ct = after.weight_ct->uncertain();
            if (new_ct.value > old_ct.value + clearly * std::hypot(old_ct.u, new_ct.u)) {
                refuse(outcome, "/weight_ct",
                       fmt::format("The stone weighs more than before: {:.4g} ct, after {:.4g} ct.",
                                   new_ct.value, old_ct.value),
                       "Cutting takes weight off: give what will be left.");
            }
        }
        const Dimensions& old_mm = before.dimensions_mm;
        const Dimensions& new_mm = after.dimensions_mm;
        if (old_mm.depth && new_mm.depth) {
            const double old_depth = old_mm.depth->middle();
            const double u = std::hypot(old_mm.with_uncertainty(*old_mm.depth).uncertain().u,
                                        new_mm.with_uncertainty(*new_mm.depth).uncertain().u);
            if (new_mm.depth->middle() > old_depth + clearly * u) {
                refuse(outcome, "/dimensions_mm/depth",
                       fmt::format("The stone is deeper than before: {} mm, after {} mm.",
                                   new_mm.depth->middle(), old_depth),
                       "Cutting takes depth off: give what will be left.");
            }
        }
        if (diagnostics_.size() == from) {
            require_weight_follows(outcome, before);
        }
        return diagnostics_.size() == from;
    }

    // A smaller body with the scale's weight of the larger one would be valued at that weight.
    void require_weight_follows(const PlanOutcome& outcome, const Stone& before) {
        const Stone& after = outcome.stone;
        if (!before.weight_ct || !after.weight_ct ||
            after.weight_ct->low != before.weight_ct->low ||
            after.weight_ct->high != before.weight_ct->high) {
            return;
        }
        const std::optional<Measures> old_measures = measures_of(before);
        const std::optional<Measures> new_measures = measures_of(after);
        if (!old_measures || !new_measures) {
            return;
        }
        const double ratio = body_of(*new_measures).volume() / body_of(*old_measures).volume();
        constexpr double least_change = 0.001;
        if (std::abs(ratio - 1) < least_change) {
            return;
        }
        refuse(outcome, "",
               "The changes give the stone other measures and leave its weight as it was.",
               fmt::format("Give its \"weight_ct\" too, about {} by its volume, or null to have it "
                           "estimated.",
                           weight::carats_text(Carat{before.weight_ct->middle() * ratio})));
    }

    [[nodiscard]] double cost_of(const Work& work) const {
        return work.materials + plan_.rate_per_hour.value_or(0) * work.minutes / minutes_per_hour;
    }

    const Plan& plan_;
    const Terms& terms_;
    Diagnostics& diagnostics_;
    std::vector<Subject> built_;
};

// The ends that the best choices lead to from one choice.
struct Reached {
    double probability = 0;
    double cost = 0;
    std::size_t stone = 0;
};

void reach(const Choice& choice,
           const SolvedChoice& solved,
           double probability,
           double cost,
           std::vector<Reached>& ends) {
    for (std::size_t i = 0; i < choice.outcomes.size(); ++i) {
        const Outcome& outcome = choice.outcomes[i];
        const SolvedOutcome& rolled = solved.outcomes[i];
        const double p = probability * rolled.probability;
        const double spent = cost + choice.cost + outcome.cost;
        if (rolled.best) {
            reach(outcome.choices[*rolled.best], rolled.choices[*rolled.best], p, spent, ends);
        } else {
            ends.push_back({p, spent, outcome.stone});
        }
    }
}

// D of a choice in every trial, and the chance of ending below V_0.
struct Trials {
    std::vector<double> difference;
    double chance_below = 0;
};

Trials against_leaving(const std::vector<Reached>& ends,
                       const std::vector<std::vector<double>>& values,
                       const std::vector<double>& now) {
    Trials trials;
    trials.difference.assign(now.size(), 0);
    double below = 0;
    for (const Reached& end : ends) {
        const std::vector<double>& worth = values[end.stone];
        for (std::size_t trial = 0; trial < now.size(); ++trial) {
            const double better = worth[trial] - end.cost - now[trial];
            trials.difference[trial] += end.probability * better;
            // Nothing changed and nothing spent is not below.
            below += better < -1e-9 * now[trial] ? end.probability : 0;
        }
    }
    trials.chance_below = below / static_cast<double>(now.size());
    return trials;
}

// The choice next to the best; nothing when that is leaving it.
std::optional<std::size_t> runner_up_of(const Solution& solution) {
    std::optional<std::size_t> next;
    double next_worth = solution.leave;
    bool any = solution.best.has_value(); // leaving it is free to be the runner-up
    for (std::size_t i = 0; i < solution.choices.size(); ++i) {
        const double worth = solution.choices[i].certainty_equivalent;
        if (i != solution.best && (!any || worth > next_worth)) {
            any = true;
            next = i;
            next_worth = worth;
        }
    }
    return next;
}

void require_terms(const Plan& plan,
                   double aversion,
                   const pricing::Matrix& matrix,
                   Diagnostics& diagnostics) {
    if (plan.currency.code != matrix.currency.code) {
        diagnostics.push_back({Code::currency_differs, Severity::error, "/currency",
                               fmt::format("The plan's costs are in {} and the matrix is in {}.",
                                           plan.currency.code, matrix.currency.code),
                               "State the costs in the matrix's currency."});
    }
    if (aversion > 0 && !plan.wealth) {
        diagnostics.push_back(
            {Code::field_missing, Severity::error, "/wealth",
             "An aversion to risk is one at some wealth, and the plan does not state it.",
             "Add \"wealth\": what stands beside the stone, 0 if nothing does."});
    }
}

} // namespace

double earned_per_hour(const Plan& plan, const Solution& solution, std::size_t choice) {
    const SolvedChoice& solved = solution.choices[choice];
    const double hours = solved.minutes / minutes_per_hour;
    return (solved.expected - solution.leave) / hours + plan.rate_per_hour.value_or(0);
}

std::optional<Comparison> compare(const Subject& now,
                                  const Plan& plan,
                                  double aversion,
                                  const Terms& terms,
                                  CommonDraws& draws,
                                  Diagnostics& diagnostics) {
    const std::size_t from = diagnostics.size();
    require_terms(plan, aversion, terms.matrix, diagnostics);
    if (diagnostics.size() > from) {
        return std::nullopt;
    }
    Comparison comparison;
    comparison.attitude = {aversion, plan.wealth.value_or(0)};
    Builder builder(plan, terms, diagnostics);
    comparison.choices = builder.build(plan.alternatives, now.stone);
    if (diagnostics.size() > from) {
        return std::nullopt;
    }
    std::optional<Solution> solution =
        solve(now.valuation.likely, comparison.choices, comparison.attitude);
    if (!solution) {
        diagnostics.push_back(
            {Code::value_range, Severity::error, "/wealth",
             "An outcome costs more than the stone and the wealth beside it together, and an "
             "aversion to risk has no utility for that.",
             "State the whole wealth that stands beside the stone, or leave --aversion out."});
        return std::nullopt;
    }
    comparison.solution = std::move(*solution);

    const std::vector<double> worth_now = values_of(now.model, draws);
    std::vector<std::vector<double>> values;
    for (const Subject& subject : builder.built()) {
        values.push_back(values_of(subject.model, draws));
        comparison.ends.push_back({subject.valuation.weight.ct.value, subject.valuation.likely,
                                   subject.valuation.range, subject.valuation.nomenclature.name});
    }
    const Solution& solved = comparison.solution;
    std::vector<std::vector<double>> differences;
    for (std::size_t i = 0; i < comparison.choices.size(); ++i) {
        std::vector<Reached> ends;
        reach(comparison.choices[i], solved.choices[i], 1, 0, ends);
        Trials trials = against_leaving(ends, values, worth_now);
        comparison.against_leaving.push_back({ranged(solved.choices[i].expected - solved.leave,
                                                     trials.difference, terms.matrix.coverage),
                                              trials.chance_below});
        differences.push_back(std::move(trials.difference));
    }

    comparison.runner_up = runner_up_of(solved);
    const auto net = [&](std::optional<std::size_t> i) {
        return i ? solved.choices[*i].expected : solved.leave;
    };
    std::vector<double> lead(worth_now.size(), 0);
    for (std::size_t trial = 0; trial < lead.size(); ++trial) {
        lead[trial] = (solved.best ? differences[*solved.best][trial] : 0) -
                      (comparison.runner_up ? differences[*comparison.runner_up][trial] : 0);
    }
    comparison.lead = ranged(net(solved.best) - net(comparison.runner_up), std::move(lead),
                             terms.matrix.coverage);
    const auto over_probabilities = [&](std::optional<std::size_t> i) {
        return i ? solved.choices[*i].expected_over_probabilities : point(solved.leave);
    };
    const bool probabilities_overlap =
        over_probabilities(solved.best).low <= over_probabilities(comparison.runner_up).high;
    comparison.too_close = comparison.lead.too_close() || probabilities_overlap;
    return comparison;
}

} // namespace trayworth::recutting
