#include "output/recut_json.hpp"

#include "core/decimal.hpp"
#include "output/json.hpp"
#include "output/statement.hpp"

#include <optional>
#include <string_view>
#include <vector>

namespace trayworth::output {
namespace {

using recutting::Ranged;

class Writer {
public:
    Writer(JsonWriter& json, const recutting::Terms& terms) : json_(json), terms_(terms) {}

    void write(const recutting::Answer& answer, const Diagnostics& warnings) {
        json_.begin_object();
        json_.key("stone");
        write_valued_briefly(json_, answer.now.stone, answer.now.valuation, terms_.matrix);
        faults(answer);
        sizes(answer.sizes);
        if (answer.planned) {
            plan(*answer.planned);
        }
        json_.key("simulation");
        json_.begin_object();
        json_.member("trials", terms_.trials);
        json_.member("seed", terms_.seed);
        json_.member("coverage", terms_.matrix.coverage);
        json_.end_object();
        json_.member("currency", terms_.matrix.currency.code);
        json_.key("matrix");
        json_.begin_object();
        json_.member("name", terms_.matrix.name);
        json_.member("as_of", terms_.matrix.as_of);
        flag("invented", terms_.matrix.invented);
        json_.end_object();
        cautions_of(answer);
        json_.key("warnings");
        json_.begin_array();
        for (const Diagnostic& warning : warnings) {
            write_diagnostic(json_, warning);
        }
        json_.end_array();
        json_.end_object();
    }

private:
    void money(const Key& name, double amount) {
        json_.member(name, to_money(amount, terms_.matrix.currency));
    }
    void flag(const Key& name, bool value) {
        json_.key(name);
        json_.boolean(value);
    }
    void moneys(const Key& name, const Ranged& range) {
        json_.key(name);
        json_.begin_object();
        money("low", range.low);
        money("likely", range.likely);
        money("high", range.high);
        json_.end_object();
    }
    // Twelve digits: enough that a value at the break-even is the value as it is.
    void number_or_null(const Key& name, const std::optional<double>& x) {
        json_.key(name);
        constexpr int digits = 12;
        x ? json_.number(to_significant(*x, digits)) : json_.null();
    }
    void allowance(const Key& name, const recutting::Allowance& range) {
        json_.key(name);
        json_.begin_object();
        number_or_null("low", range.low);
        number_or_null("likely", range.likely);
        number_or_null("high", range.high);
        json_.end_object();
    }
    void share(const Key& name, double x) { json_.member(name, to_significant(x)); }
    void shares(const Key& name, const Range<double>& range) {
        json_.key(name);
        json_.begin_object();
        share("low", range.low);
        share("high", range.high);
        json_.end_object();
    }

    // ---- faults

    void fault(const Fault& fault) {
        json_.member("kind", fault.kind);
        json_.member("place", fault.place);
        json_.key("severity");
        if (fault.severity.is_point()) {
            json_.text(fault.severity.first);
        } else {
            json_.begin_array();
            json_.text(fault.severity.first);
            json_.text(fault.severity.second);
            json_.end_array();
        }
    }

    void removal(const recutting::Removal& removal) {
        money("value_without", removal.value_without);
        moneys("gain_if_removed", removal.gain);
        const recutting::BreakEven* even = removal.by_depth();
        const bool by_weight = !removal.break_evens.empty() &&
                               removal.break_evens.front().way == recutting::Way::weight;
        number_or_null("break_even_ct", even != nullptr ? even->ct.likely
                                        : by_weight     ? removal.break_evens.front().ct.likely
                                                        : std::nullopt);
        number_or_null("break_even_depth_mm", even != nullptr ? even->mm.likely : std::nullopt);
        json_.key("break_evens");
        json_.begin_array();
        for (const recutting::BreakEven& one : removal.break_evens) {
            json_.begin_object();
            json_.member("way", name_of(one.way));
            if (one.way != recutting::Way::weight) {
                allowance("mm", one.mm);
                number_or_null("searched_mm", one.searched_mm);
            }
            allowance("ct", one.ct);
            number_or_null("searched_ct", one.searched_ct);
            flag("priced_to_the_end", one.priced_to_the_end);
            json_.end_object();
        }
        json_.end_array();
    }

    void faults(const recutting::Answer& answer) {
        json_.key("faults");
        json_.begin_array();
        for (std::size_t i = 0; i < answer.faults.single.size(); ++i) {
            json_.begin_object();
            fault((*answer.now.stone.faults)[i]);
            removal(answer.faults.single[i]);
            json_.end_object();
        }
        json_.end_array();
        json_.member("faults_combined", answer.faults.combined);
        json_.key("together");
        json_.begin_array();
        for (const recutting::Removal& set : answer.faults.together) {
            json_.begin_object();
            json_.key("faults");
            json_.begin_array();
            for (const std::size_t i : set.faults) {
                json_.number(i);
            }
            json_.end_array();
            removal(set);
            json_.end_object();
        }
        json_.end_array();
    }

    // ---- sizes

    void sizes(const recutting::Sizes& sizes) {
        json_.key("calibrated_sizes");
        json_.begin_array();
        for (const recutting::SizeOption& option : sizes.options) {
            json_.begin_object();
            json_.member("outline",
                         weight::outline_names[static_cast<std::size_t>(option.outline)]);
            json_.member("length_mm", option.length);
            json_.member("width_mm", option.width);
            json_.member("depth_mm", to_significant(option.depth));
            json_.member("turned_degrees", option.placement.turned);
            json_.member("weight_ct", option.ct);
            money("value", option.value);
            moneys("must_bring", option.must_bring);
            json_.end_object();
        }
        json_.end_array();
    }

    // ---- the plan

    void outcome(const recutting::Outcome& outcome,
                 const recutting::SolvedOutcome& solved,
                 const recutting::Comparison& comparison) {
        const recutting::End& end = comparison.ends[outcome.stone];
        json_.begin_object();
        json_.member("name", outcome.name);
        share("probability", solved.probability);
        if (!outcome.probability.is_point()) {
            shares("probability_range", outcome.probability);
        }
        json_.member("stone", end.name);
        json_.member("weight_ct", end.ct);
        json_.key("value");
        json_.begin_object();
        money("low", end.range.low);
        money("likely", end.value);
        money("high", end.range.high);
        json_.end_object();
        money("net_if_left", solved.net);
        money("expected_value", solved.expected);
        if (!outcome.choices.empty()) {
            best("best", outcome.choices, solved.best);
            json_.key("alternatives");
            json_.begin_array();
            for (std::size_t i = 0; i < outcome.choices.size(); ++i) {
                json_.begin_object();
                choice(outcome.choices[i], solved.choices[i], comparison);
                json_.end_object();
            }
            json_.end_array();
        }
        json_.end_object();
    }

    void best(const Key& name,
              const std::vector<recutting::Choice>& choices,
              const std::optional<std::size_t>& which) {
        json_.member(name, which ? std::string_view(choices[*which].name) : "leave it");
    }

    void choice(const recutting::Choice& choice,
                const recutting::SolvedChoice& solved,
                const recutting::Comparison& comparison) {
        json_.member("name", choice.name);
        money("expected_value", solved.expected);
        json_.key("expected_over_probabilities");
        json_.begin_object();
        money("low", solved.expected_over_probabilities.low);
        money("high", solved.expected_over_probabilities.high);
        json_.end_object();
        if (comparison.attitude.aversion > 0) {
            money("certainty_equivalent", solved.certainty_equivalent);
        }
        share("chance_below_now", solved.chance_below);
        shares("chance_below_over_probabilities", solved.chance_below_over_probabilities);
        money("worst_case", solved.worst_net);
        json_.key("worst_path");
        json_.begin_array();
        for (const std::size_t i : solved.worst) {
            json_.number(i);
        }
        json_.end_array();
        number_or_null("break_even_probability", solved.break_even_probability);
        json_.member("bad_outcome", choice.outcomes[solved.worst_outcome].name);
        share("minutes", solved.minutes);
        money("cost", solved.cost);
        money("value_of_knowing", solved.knowing);
        if (solved.looking) {
            money("value_of_looking", *solved.looking);
        }
        json_.key("outcomes");
        json_.begin_array();
        for (std::size_t i = 0; i < choice.outcomes.size(); ++i) {
            outcome(choice.outcomes[i], solved.outcomes[i], comparison);
        }
        json_.end_array();
    }

    void plan(const recutting::Planned& planned) {
        const recutting::Comparison& comparison = planned.comparison;
        const recutting::Solution& solution = comparison.solution;
        json_.key("plan");
        json_.begin_object();
        if (planned.plan.name) {
            json_.member("name", *planned.plan.name);
        }
        if (planned.plan.rate_per_hour) {
            json_.member("rate_per_hour", *planned.plan.rate_per_hour);
        }
        if (comparison.attitude.aversion > 0) {
            json_.member("aversion", comparison.attitude.aversion);
            json_.member("wealth", comparison.attitude.wealth);
        }
        money("leave_it", solution.leave);
        best("best", comparison.choices, solution.best);
        best("runner_up", comparison.choices, comparison.runner_up);
        moneys("lead", comparison.lead);
        flag("too_close_to_call", comparison.too_close);
        json_.key("alternatives");
        json_.begin_array();
        for (std::size_t i = 0; i < comparison.choices.size(); ++i) {
            json_.begin_object();
            const recutting::Difference& against = comparison.against_leaving[i];
            moneys("against_leaving", against.net);
            share("chance_below_now_simulated", against.chance_below);
            if (solution.choices[i].minutes > 0) {
                money("earned_per_hour", recutting::earned_per_hour(planned.plan, solution, i));
            }
            choice(comparison.choices[i], solution.choices[i], comparison);
            json_.end_object();
        }
        json_.end_array();
        json_.end_object();
    }

    void cautions_of(const recutting::Answer& answer) {
        json_.member("purpose", purpose);
        json_.key("cautions");
        json_.begin_array();
        for (const std::string& sentence : cautions_at_the_wheel()) {
            json_.text(sentence);
        }
        for (const std::string& sentence :
             cautions(answer.now.stone, answer.now.valuation.weight, terms_.matrix)) {
            json_.text(sentence);
        }
        json_.end_array();
    }

    JsonWriter& json_;
    const recutting::Terms& terms_;
};

} // namespace

void write_recut(JsonWriter& json,
                 const recutting::Answer& answer,
                 const recutting::Terms& terms,
                 const Diagnostics& warnings) {
    Writer(json, terms).write(answer, warnings);
}

} // namespace trayworth::output
