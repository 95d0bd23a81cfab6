#include "core/decimal.hpp"
#include "core/nearest.hpp"
#include "pricing/lint.hpp"
#include "pricing/lint_parts.hpp"
#include "pricing/ranked_words.hpp"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

#include <fmt/format.h>

namespace trayworth::pricing {
namespace {

using Words = std::span<const std::string_view>;

constexpr std::array<std::string_view, 3> domes{"low", "medium", "high"};
constexpr std::array<std::string_view, 3> backs{"flat", "convex", "double"};

std::string field_of(const Factor& factor) {
    if (const auto* category = std::get_if<Category>(&factor.rule)) {
        return std::string(word_field_pointers[static_cast<std::size_t>(category->field)]);
    }
    if (const auto* curve = std::get_if<Curve>(&factor.rule)) {
        return std::string(number_field_pointers[static_cast<std::size_t>(curve->field)]);
    }
    return std::holds_alternative<Faults>(factor.rule) ? "/faults" : "/play_of_colour/colours";
}

class FactorLint {
public:
    FactorLint(const Matrix& matrix, const Factor& factor, Diagnostics& found)
        : matrix_(matrix), factor_(factor), found_(found) {}

    void run() {
        if (!admits_any()) {
            report(
                found_, Code::unreachable, factor_.pointer,
                fmt::format("The factor \"{}\" is for stones that no grid prices.", factor_.name),
                "Correct its \"type\" and \"transparency\", or take it out.");
        }
        if (const auto* category = std::get_if<Category>(&factor_.rule)) {
            of_category(*category);
        } else if (const auto* curve = std::get_if<Curve>(&factor_.rule)) {
            of_curve(*curve);
        } else if (const auto* faults = std::get_if<Faults>(&factor_.rule)) {
            of_faults(*faults);
        } else {
            of_entries(std::get<ShareWeighted>(factor_.rule).values, values_pointer());
        }
        if_absent();
    }

private:
    template<class Accept>
    [[nodiscard]] bool any_class(Accept accept) const {
        for (const Named<StoneType>& type : stone_types) {
            for (const Named<Transparency>& transparency : transparencies) {
                if (factor_.stones.admits(type.value, transparency.value) &&
                    is_priced(matrix_, type.value, transparency.value) &&
                    accept(type, transparency)) {
                    return true;
                }
            }
        }
        return false;
    }
    [[nodiscard]] bool admits_any() const {
        return any_class([](const auto&, const auto&) { return true; });
    }
    [[nodiscard]] std::string values_pointer() const { return factor_.pointer + "/values"; }

    // ---- words

    void of_category(const Category& category) {
        const std::string pointer = values_pointer();
        of_entries(category.values, pointer);
        in_order(category.values, ranked(category.field), pointer, factor_.name);
        for (const Entry& entry : category.values) {
            const std::string at = pointer + "/" + pointer_token(entry.name);
            reachable(category.field, entry, at);
            if (category.field == WordField::treatments && entry.figures.high > 1) {
                pays(at, fmt::format("The treatment \"{}\"", entry.name), entry);
            }
        }
    }

    void reachable(WordField field, const Entry& entry, const std::string& at) {
        const auto only = [&](Words words) {
            if (std::find(words.begin(), words.end(), entry.name) == words.end()) {
                const std::optional<std::string_view> near = nearest(entry.name, words);
                report(found_, Code::unreachable, at,
                       fmt::format("No record can say \"{}\" here; it says one of: {}.", entry.name,
                                   fmt::join(words, ", ")),
                       near ? fmt::format("Did you mean \"{}\"?", *near) : "Take it out.");
            }
        };
        switch (field) {
        case WordField::hydrophane:
        case WordField::mounted:
            only(no_yes);
            break;
        case WordField::dome:
            only(domes);
            break;
        case WordField::back:
            only(backs);
            break;
        case WordField::type:
        case WordField::transparency:
            reachable_class(field, entry, at);
            break;
        default:
            blank_at_end(entry, at);
        }
    }

    void reachable_class(WordField field, const Entry& entry, const std::string& at) {
        const bool reached = any_class([&](const auto& type, const auto& transparency) {
            return (field == WordField::type ? type.name : transparency.name) == entry.name;
        });
        if (!reached) {
            report(found_, Code::unreachable, at,
                   fmt::format("No stone that a grid prices, and that \"{}\" is for, is \"{}\".",
                               factor_.name, entry.name),
                   "Correct the word, or take it out.");
        }
    }

    void blank_at_end(const Entry& entry, const std::string& at) {
        if (entry.name.empty() || entry.name.front() == ' ' || entry.name.back() == ' ') {
            report(found_, Code::unreachable, at,
                   fmt::format("The word \"{}\" is empty or has a blank at an end, and is taken as "
                               "it is written.",
                               entry.name),
                   "Take the blank out.");
        }
    }

    void of_entries(const std::vector<Entry>& entries, const std::string& pointer) {
        for (const Entry& entry : entries) {
            width(entry.spread, pointer + "/" + pointer_token(entry.name), entry.name);
        }
    }

    // Of those of the words that are there, each is worth no more than the one before.
    void in_order(const std::vector<Entry>& entries,
                  Words words,
                  const std::string& pointer,
                  const std::string& what) {
        const Entry* before = nullptr;
        for (const std::string_view word : words) {
            const Entry* entry = find(entries, word);
            if (entry != nullptr && before != nullptr &&
                likely(entry->spread) > likely(before->spread)) {
                report(found_, Code::word_order, pointer + "/" + pointer_token(entry->name),
                       fmt::format("{}: \"{}\" is worth more than \"{}\", likely {} against {}.",
                                   what, entry->name, before->name, likely(entry->spread),
                                   likely(before->spread)),
                       "Correct one of the two, or accept it with the reason.");
            }
            before = entry != nullptr ? entry : before;
        }
    }

    // ---- numbers

    void of_curve(const Curve& curve) {
        const auto point = [this](std::size_t i) {
            return fmt::format("{}/points/{}", factor_.pointer, i);
        };
        std::vector<double> logarithms;
        for (std::size_t i = 0; i < curve.factors.size(); ++i) {
            width(curve.factors[i], point(i) + "/factor", fmt::format("{}", curve.at[i]));
            logarithms.push_back(curve.factors[i].log_middle);
        }
        for (const OutOfLine& off : out_of_line(curve.places, logarithms)) {
            constexpr int digits = 2;
            report(found_, Code::curve_jump, point(off.index),
                   fmt::format("At {} the factor is likely {}, {} than the {} between its "
                               "neighbours.",
                               curve.at[off.index], likely(curve.factors[off.index]),
                               times_off(logarithms[off.index], off.expected),
                               to_significant(std::exp(off.expected), digits)),
                   "Look for a slip of the decimal point, or accept it with the reason.");
        }
        if (curve.field == NumberField::coverage && !curve.per) {
            of_coverage(curve);
        }
    }

    void of_coverage(const Curve& curve) {
        if (curve.at.front() > 0 || curve.at.back() < 1) {
            report(found_, Code::curve_gap, factor_.pointer + "/points",
                   fmt::format("The curve runs from {} to {}, and a share of the face from 0 to 1.",
                               curve.at.front(), curve.at.back()),
                   "Add the missing end.");
        }
        for (std::size_t i = 1; i < curve.at.size(); ++i) {
            if (likely(curve.factors[i]) < likely(curve.factors[i - 1])) {
                report(found_, Code::curve_order, fmt::format("{}/points/{}", factor_.pointer, i),
                       fmt::format("A face covered to {} is worth less than one covered to {}: "
                                   "likely {} against {}.",
                                   curve.at[i], curve.at[i - 1], likely(curve.factors[i]),
                                   likely(curve.factors[i - 1])),
                       "Correct one of the two, or accept it with the reason.");
            }
        }
    }

    void of_faults(const Faults& faults) {
        for (const FaultKind& kind : faults.kinds) {
            for (const FaultPlace& place : kind.places) {
                const std::string pointer = values_pointer() + "/" + pointer_token(kind.name) +
                                            "/" + pointer_token(place.name);
                const std::string what = kind.name + ", " + place.name;
                of_entries(place.severities, pointer);
                in_order(place.severities, severities, pointer, what);
                for (const Entry& severity : place.severities) {
                    if (severity.figures.high > 1) {
                        pays(pointer + "/" + pointer_token(severity.name),
                             fmt::format("The fault \"{}, {}\"", what, severity.name), severity);
                    }
                }
            }
        }
    }

    void pays(const std::string& at, const std::string& what, const Entry& entry) {
        report(found_, Code::fault_pays, at,
               fmt::format("{} raises the price: its factor is {} to {}.", what, entry.figures.low,
                           entry.figures.high),
               "Write what is left of the price, as 0.8 for a fifth off.");
    }

    void width(const Spread& spread, const std::string& at, const std::string& name) {
        if (2 * spread.log_half > std::log(limits::widest_factor)) {
            constexpr int digits = 3;
            report(found_, Code::spread_odd, at,
                   fmt::format("The high end of \"{}\" is {} times its low end.", name,
                               to_significant(std::exp(2 * spread.log_half), digits)),
                   "Look for a slip in one of the two ends.");
        }
    }

    // ---- not stated

    void if_absent() {
        if (!factor_.if_absent) {
            return;
        }
        const std::string at = factor_.pointer + "/if_absent";
        const auto* category = std::get_if<Category>(&factor_.rule);
        if (category != nullptr &&
            (category->field == WordField::type || category->field == WordField::transparency)) {
            report(found_, Code::unreachable, at,
                   fmt::format("Every record that is valued states {}.", field_of(factor_)),
                   "Take it out.");
            return;
        }
        const std::optional<double> best = best_stated();
        const double absent = likely(factor_.if_absent->spread);
        if (best && absent > *best) {
            report(found_, Code::absent_pays, at,
                   fmt::format("A record that leaves out {} does better than any that states it: "
                               "likely {} against {} at most.",
                               field_of(factor_), absent, *best),
                   "Lower it: what is not stated is no merit.");
        }
    }

    [[nodiscard]] std::optional<double> best_stated() const {
        std::optional<double> best;
        const auto take = [&best](const Spread& spread) {
            best = std::max(best.value_or(0), likely(spread));
        };
        if (const auto* category = std::get_if<Category>(&factor_.rule)) {
            for (const Entry& entry : category->values) {
                take(entry.spread);
            }
        } else if (const auto* curve = std::get_if<Curve>(&factor_.rule)) {
            for (const Spread& factor : curve->factors) {
                take(factor);
            }
        } else if (const auto* shares = std::get_if<ShareWeighted>(&factor_.rule)) {
            for (const Entry& entry : shares->values) {
                take(entry.spread);
            }
        } else {
            best = 1; // no fault at all
        }
        return best;
    }

    const Matrix& matrix_;
    const Factor& factor_;
    Diagnostics& found_;
};

// ---- factors beside each other and beside the grids

// A class that both admit and a grid prices.
std::optional<std::string>
shared_class(const Matrix& matrix, const StoneClass& a, const StoneClass& b) {
    for (const Named<StoneType>& type : stone_types) {
        for (const Named<Transparency>& transparency : transparencies) {
            if (a.admits(type.value, transparency.value) &&
                b.admits(type.value, transparency.value) &&
                is_priced(matrix, type.value, transparency.value)) {
                return fmt::format("{}, {}", type.name, transparency.name);
            }
        }
    }
    return std::nullopt;
}

void two_factors(const Matrix& matrix, Diagnostics& found) {
    for (std::size_t i = 0; i < matrix.factors.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const Factor& first = matrix.factors[j];
            const Factor& second = matrix.factors[i];
            if (field_of(first) != field_of(second)) {
                continue;
            }
            if (const auto both = shared_class(matrix, first.stones, second.stones)) {
                report(found, Code::counted_twice, second.pointer + "/field",
                       fmt::format("\"{}\" and \"{}\" both read {} of the same stones ({}): it "
                                   "counts twice.",
                                   first.name, second.name, field_of(second), *both),
                       "Make one of the two, or give them different \"type\" or \"transparency\".");
            }
        }
    }
}

// A factor over what tells the grids apart.
void factor_and_grids(const Matrix& matrix, Diagnostics& found) {
    for (const Factor& factor : matrix.factors) {
        const auto* category = std::get_if<Category>(&factor.rule);
        const bool by_type = category != nullptr && category->field == WordField::type;
        if (!by_type && (category == nullptr || category->field != WordField::transparency)) {
            continue;
        }
        std::vector<const Grid*> grids;
        for (const Grid& grid : matrix.grids) {
            if (shared_class(matrix, factor.stones, grid.stones)) {
                grids.push_back(&grid);
            }
        }
        const auto restricted = [by_type](const Grid* grid) {
            const unsigned mask = by_type ? grid->stones.types : grid->stones.transparencies;
            const unsigned all = (1U << (by_type ? stone_types.size() : transparencies.size())) - 1;
            return (mask & all) != all;
        };
        const auto apart = std::find_if(grids.begin(), grids.end(), restricted);
        if (grids.size() > 1 && apart != grids.end()) {
            report(found, Code::counted_twice, factor.pointer + "/field",
                   fmt::format("The factor \"{}\" reads {}, by which the grid \"{}\" is told from "
                               "others: it counts twice.",
                               factor.name, field_of(factor), (*apart)->name),
                   "Put the difference into the grids alone, or price the stones in one grid.");
        }
    }
}

// Fields that count for one type of stone and not for another.
void factor_gaps(const Matrix& matrix, Diagnostics& found) {
    for (std::size_t i = 0; i < matrix.factors.size(); ++i) {
        const std::string field = field_of(matrix.factors[i]);
        const auto same = [&field](const Factor& other) { return field_of(other) == field; };
        const auto begin = matrix.factors.begin();
        const auto here = begin + static_cast<std::ptrdiff_t>(i);
        if (std::any_of(begin, here, same)) {
            continue; // reported at the first
        }
        std::vector<std::string> missing;
        for (const Named<StoneType>& type : stone_types) {
            for (const Named<Transparency>& transparency : transparencies) {
                const bool read = std::any_of(here, matrix.factors.end(), [&](const Factor& other) {
                    return same(other) && other.stones.admits(type.value, transparency.value);
                });
                if (!read && is_priced(matrix, type.value, transparency.value)) {
                    missing.push_back(fmt::format("{} {}", transparency.name, type.name));
                }
            }
        }
        if (!missing.empty()) {
            report(found, Code::factor_gap, here->pointer,
                   fmt::format("{} counts by the factor \"{}\", and for no stone that is {}.",
                               field, here->name, fmt::join(missing, ", ")),
                   "Add a factor for them, or accept it with the reason.");
        }
    }
}

} // namespace

void lint_factors(const Matrix& matrix, Diagnostics& found) {
    for (const Factor& factor : matrix.factors) {
        FactorLint(matrix, factor, found).run();
    }
    two_factors(matrix, found);
    factor_and_grids(matrix, found);
    factor_gaps(matrix, found);
}

} // namespace trayworth::pricing
