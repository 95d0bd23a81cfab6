// The likely break-even is found by valuing the smaller stone again and again (valuation::value),
// with the root-finder of root.hpp. Its range is that of the same root in every trial of a
// simulation, in which prices, grades and measures are drawn once for the stone as it is and the
// stone without the fault. There the model of the stone without the fault is built once, and only
// the terms over weight and dimensions are reckoned anew as the stone grows smaller.
#include "recutting/faults.hpp"

#include "recutting/root.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <string>

namespace trayworth::recutting {
namespace {

constexpr std::size_t steps_of_search = 240;
constexpr std::size_t steps_of_search_in_a_trial = 16;
constexpr double tolerance = 1e-12; // mm or ct
constexpr double tolerance_in_a_trial = 1e-5;
constexpr double most_of_weight = 0.98;
constexpr double never = std::numeric_limits<double>::infinity();

Stone without(const Stone& stone, const std::vector<std::size_t>& faults) {
    Stone mended = stone;
    for (std::size_t i = faults.size(); i-- > 0;) {
        mended.faults->erase(mended.faults->begin() + static_cast<std::ptrdiff_t>(faults[i]));
    }
    return mended;
}

Stone lighter(const Stone& stone, const Uncertain& ct, double by) {
    Stone left = stone;
    left.weight_ct = Reading{ct.value - by, ct.value - by, 0, std::optional(ct.u)};
    return left;
}

std::vector<Way> ways_for(const std::vector<Fault>& faults,
                          const std::vector<std::size_t>& removed) {
    const std::string& place = faults[removed.front()].place;
    const bool same = std::all_of(removed.begin(), removed.end(),
                                  [&](std::size_t i) { return faults[i].place == place; });
    if (same && place == "face") {
        return {Way::face, Way::back, Way::outline};
    }
    if (same && place == "girdle") {
        return {Way::outline, Way::back, Way::face};
    }
    return {Way::back, Way::face, Way::outline};
}

// The variables of a model that change as a stone grows smaller.
struct Moving {
    std::optional<std::size_t> length;
    std::optional<std::size_t> width;
    std::optional<std::size_t> depth;

    explicit Moving(const valuation::Model& model) {
        const auto find = [&](std::string_view source) -> std::optional<std::size_t> {
            const auto found = std::find(model.sources.begin(), model.sources.end(), source);
            return found == model.sources.end()
                       ? std::nullopt
                       : std::optional(static_cast<std::size_t>(found - model.sources.begin()));
        };
        length = find("dimension: length");
        width = find("dimension: width");
        depth = find("dimension: depth");
    }

    [[nodiscard]] bool moves(const valuation::Term& term) const {
        const auto* curve = std::get_if<valuation::AlongCurve>(&term.rule);
        const auto moved = [&](const valuation::Coordinate& at) {
            return at.variable && (*at.variable == 0 || at.variable == length ||
                                   at.variable == width || at.variable == depth);
        };
        return curve != nullptr && (moved(curve->x) || (curve->per && moved(*curve->per)));
    }
};

// An exact measure is no variable of the model; one that is all but exact is.
Stone with_measures_as_variables(Stone stone) {
    constexpr double negligible = 1e-9; // mm
    Dimensions& mm = stone.dimensions_mm;
    for (std::optional<Reading>* reading : {&mm.length, &mm.width, &mm.depth}) {
        if (*reading) {
            *reading = mm.with_uncertainty(**reading);
            if ((*reading)->uncertain().u == 0) {
                (*reading)->standard_uncertainty = negligible;
            }
        }
    }
    return stone;
}

// The measures of a body in every trial. Those that the value depends on too are the same draws.
class DrawnBodies {
public:
    DrawnBodies(const Measures& measures, CommonDraws& draws) : measures_(measures) {
        body_of(measures, [&](std::string_view source, const Uncertain& input) {
            const bool shared = source == "length" || source == "width" || source == "depth";
            inputs_.push_back(
                {source, draws.of((shared ? "dimension: " : "geometry: ") + std::string(source), 0,
                                  input)});
            return input.value;
        });
    }

    [[nodiscard]] Body at(std::size_t trial) const {
        std::size_t next = 0; // body_of() asks for them in the same order every time
        return body_of(measures_, [&](std::string_view, const Uncertain& input) {
            constexpr double least = 1e-3; // of its value: no measure is nothing
            const double drawn = inputs_[next++].values[trial];
            return input.value > 0 ? std::max(drawn, least * input.value) : drawn;
        });
    }

private:
    struct Input {
        std::string_view source;
        std::vector<double> values;
    };
    const Measures& measures_;
    std::vector<Input> inputs_;
};

// The stone without its faults, in every trial, as it grows smaller.
class Shrinking {
public:
    Shrinking(const valuation::Model& model, CommonDraws& draws)
        : moving_(model), inputs_(inputs_of(model, draws)), x_(inputs_.size()) {
        for (const valuation::Term& term : model.terms) {
            (moving_.moves(term) ? movable_ : fixed_).push_back(&term);
        }
    }

    void enter(std::size_t trial) {
        for (std::size_t i = 0; i < x_.size(); ++i) {
            x_[i] = inputs_[i][trial];
        }
        trial_ = trial;
        fixed_log_ = sum(fixed_);
    }

    // ln V with so much of the weight left, and the measures smaller by so many mm.
    double
    log_value_at(double weight_left, double less_length, double less_width, double less_depth) {
        set(0, inputs_[0][trial_] * weight_left);
        lower(moving_.length, less_length);
        lower(moving_.width, less_width);
        lower(moving_.depth, less_depth);
        return std::log(x_[0]) + fixed_log_ + sum(movable_);
    }

    [[nodiscard]] double weight() const { return inputs_[0][trial_]; }

private:
    [[nodiscard]] double sum(const std::vector<const valuation::Term*>& terms) const {
        double total = 0;
        for (const valuation::Term* term : terms) {
            total += log_value(*term, x_);
        }
        return total;
    }
    void set(std::size_t i, double value) { x_[i] = value; }
    void lower(std::optional<std::size_t> i, double by) {
        if (i) {
            constexpr double least = 1e-6;
            x_[*i] = std::max(inputs_[*i][trial_] - by, least);
        }
    }

    Moving moving_;
    std::vector<std::vector<double>> inputs_;
    std::vector<double> x_;
    std::vector<const valuation::Term*> fixed_;
    std::vector<const valuation::Term*> movable_;
    std::size_t trial_ = 0;
    double fixed_log_ = 0;
};

// From the simulated roots, `never` among them. The likely root is within the range.
Allowance allowance(std::optional<double> likely, std::vector<double> roots, double coverage) {
    const Ranged range = ranged(likely.value_or(never), std::move(roots), coverage);
    const auto end = [](double x) { return std::isinf(x) ? std::nullopt : std::optional(x); };
    return {end(range.low), likely, end(range.high)};
}

class Costs {
public:
    Costs(const Subject& now, const Terms& terms, CommonDraws& draws)
        : now_(now), terms_(terms), draws_(draws), measures_(measures_of(now.stone)),
          values_now_(values_of(now.model, draws)) {
        if (measures_) {
            body_ = body_of(*measures_);
            bodies_.emplace(*measures_, draws);
        }
    }

    [[nodiscard]] bool measured() const { return measures_.has_value(); }

    // What removing them gains, without any break-even yet.
    Removal gain(std::vector<std::size_t> faults) {
        const Subject mended = mended_of(faults);
        Removal removal;
        removal.faults = std::move(faults);
        removal.value_without = mended.valuation.likely;
        std::vector<double> gains = values_of(mended.model, draws_);
        for (std::size_t i = 0; i < gains.size(); ++i) {
            gains[i] -= values_now_[i];
        }
        removal.gain = ranged(mended.valuation.likely - now_.valuation.likely, std::move(gains),
                              terms_.matrix.coverage);
        return removal;
    }

    void add_break_evens(Removal& removal) {
        const Subject mended = mended_of(removal.faults);
        Shrinking shrinking(mended.model, draws_);
        if (!measures_) {
            removal.break_evens.push_back(by_weight(mended, shrinking));
            return;
        }
        for (const Way way : ways_for(*now_.stone.faults, removal.faults)) {
            if (most(body_, way) > 0) {
                removal.break_evens.push_back(by_way(mended, shrinking, way));
            }
        }
    }

private:
    Subject mended_of(const std::vector<std::size_t>& faults) {
        // Less is asked of a matrix by fewer faults: what has a value with them has one without.
        Diagnostics none;
        return *subject_of(with_measures_as_variables(without(now_.stone, faults)), terms_, none);
    }

    [[nodiscard]] std::optional<double> gain_of(const Stone& smaller) const {
        Diagnostics ignored;
        const std::optional<valuation::Valuation> valuation =
            valuation::value(smaller, terms_.request(), ignored);
        return valuation ? std::optional(valuation->likely - now_.valuation.likely) : std::nullopt;
    }

    BreakEven by_way(const Subject& mended, Shrinking& shrinking, Way way) {
        const double end = most(body_, way);
        const double volume = body_.volume();
        const double weight = now_.valuation.weight.ct.value;
        const auto lost = [&](double mm) {
            return weight * (1 - taken_off(body_, way, mm).volume() / volume);
        };
        const Crossing crossing = first_crossing(end, steps_of_search, tolerance, [&](double mm) {
            return gain_of(record_of(mended.stone, now_.valuation.weight.ct, body_,
                                     taken_off(body_, way, mm)));
        });
        const double searched = crossing.at.value_or(crossing.reach);
        const double part_searched = crossing.at ? 1 : crossing.reach / end;

        std::vector<double> mm(draws_.trials());
        std::vector<double> ct(draws_.trials());
        for (std::size_t trial = 0; trial < mm.size(); ++trial) {
            shrinking.enter(trial);
            const double log_now = std::log(values_now_[trial]);
            const Body body = bodies_->at(trial);
            const double whole = body.volume();
            const auto left = [&](double t) { return taken_off(body, way, t); };
            const Crossing found =
                first_crossing(part_searched * most(body, way), steps_of_search_in_a_trial,
                               tolerance_in_a_trial, [&](double t) -> std::optional<double> {
                                   const Body after = left(t);
                                   return shrinking.log_value_at(after.volume() / whole,
                                                                 body.length - after.length,
                                                                 body.width - after.width,
                                                                 body.depth() - after.depth()) -
                                          log_now;
                               });
            mm[trial] = found.at.value_or(never);
            ct[trial] =
                found.at ? shrinking.weight() * (1 - left(*found.at).volume() / whole) : never;
        }
        BreakEven result;
        result.way = way;
        result.searched_mm = searched;
        result.searched_ct = lost(searched);
        result.priced_to_the_end = crossing.at || crossing.reach == end;
        result.mm = allowance(crossing.at, std::move(mm), terms_.matrix.coverage);
        result.ct = allowance(crossing.at ? std::optional(lost(*crossing.at)) : std::nullopt,
                              std::move(ct), terms_.matrix.coverage);
        return result;
    }

    BreakEven by_weight(const Subject& mended, Shrinking& shrinking) {
        const Uncertain& weight = now_.valuation.weight.ct;
        const double end = most_of_weight * weight.value;
        const Crossing crossing = first_crossing(end, steps_of_search, tolerance, [&](double ct) {
            return gain_of(lighter(mended.stone, weight, ct));
        });
        std::vector<double> ct(draws_.trials());
        for (std::size_t trial = 0; trial < ct.size(); ++trial) {
            shrinking.enter(trial);
            const double log_now = std::log(values_now_[trial]);
            const Crossing found =
                first_crossing(crossing.at ? most_of_weight : crossing.reach / weight.value,
                               steps_of_search_in_a_trial, tolerance_in_a_trial,
                               [&](double part) -> std::optional<double> {
                                   return shrinking.log_value_at(1 - part, 0, 0, 0) - log_now;
                               });
            ct[trial] = found.at ? *found.at * shrinking.weight() : never;
        }
        BreakEven result;
        result.way = Way::weight;
        result.searched_ct = crossing.at.value_or(crossing.reach);
        result.priced_to_the_end = crossing.at || crossing.reach == end;
        result.ct = allowance(crossing.at, std::move(ct), terms_.matrix.coverage);
        return result;
    }

    const Subject& now_;
    const Terms& terms_;
    CommonDraws& draws_;
    std::optional<Measures> measures_;
    Body body_;
    std::optional<DrawnBodies> bodies_;
    std::vector<double> values_now_;
};

// Every set of two and more of `among`, each ascending.
std::vector<std::vector<std::size_t>> sets_of(const std::vector<std::size_t>& among) {
    std::vector<std::vector<std::size_t>> sets;
    for (std::size_t bits = 1; bits < std::size_t{1} << among.size(); ++bits) {
        std::vector<std::size_t> set;
        for (std::size_t i = 0; i < among.size(); ++i) {
            if ((bits >> i & 1U) != 0) {
                set.push_back(among[i]);
            }
        }
        if (set.size() > 1) {
            sets.push_back(std::move(set));
        }
    }
    return sets;
}

} // namespace

const BreakEven* Removal::by_depth() const {
    const auto found = std::find_if(break_evens.begin(), break_evens.end(), [](const BreakEven& b) {
        return b.way == Way::face || b.way == Way::back;
    });
    return found == break_evens.end() ? nullptr : &*found;
}

FaultCosts fault_costs(const Subject& now, const Terms& terms, CommonDraws& draws) {
    FaultCosts costs;
    Costs reckoned(now, terms, draws);
    costs.measured = reckoned.measured();
    if (!now.stone.faults) {
        return costs;
    }
    for (std::size_t i = 0; i < now.stone.faults->size(); ++i) {
        costs.single.push_back(reckoned.gain({i}));
        reckoned.add_break_evens(costs.single.back());
    }
    const auto dearer = [](const Removal& a, const Removal& b) {
        return a.gain.likely > b.gain.likely;
    };
    std::vector<Removal> dearest = costs.single;
    std::stable_sort(dearest.begin(), dearest.end(), dearer);
    std::erase_if(dearest, [](const Removal& removal) { return removal.gain.likely <= 0; });
    dearest.resize(std::min(dearest.size(), most_combined));
    costs.combined = dearest.size();
    std::vector<std::size_t> among;
    among.reserve(dearest.size());
    for (const Removal& removal : dearest) {
        among.push_back(removal.faults.front());
    }
    std::sort(among.begin(), among.end());
    for (std::vector<std::size_t>& set : sets_of(among)) {
        costs.together.push_back(reckoned.gain(std::move(set)));
        reckoned.add_break_evens(costs.together.back());
    }
    std::stable_sort(costs.together.begin(), costs.together.end(), dearer);
    return costs;
}

} // namespace trayworth::recutting
