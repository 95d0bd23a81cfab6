#include "output/recut_text.hpp"

#include "core/money.hpp"
#include "output/recut_tree.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"
#include "weight/calibrated.hpp"
#include "weight/carats.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

using recutting::Answer;
using recutting::BreakEven;
using recutting::Comparison;
using recutting::Ranged;
using recutting::Removal;
using recutting::SolvedChoice;
using recutting::Way;

constexpr std::size_t sizes_shown = 6;
constexpr std::size_t sets_shown = 6;

std::string sentence(std::string_view text, TextStyle style, std::size_t by = indent) {
    return std::string(by, ' ') + wrapped(text, style.width - by, by) + "\n";
}

// A difference, to the step at which money of its size is shown.
std::string difference(double amount, const pricing::Matrix& matrix) {
    const std::string size = rounded(std::abs(amount), matrix);
    return size == "0" ? size : (amount < 0 ? "-" : "+") + size;
}

std::string differences(const Ranged& range, const pricing::Matrix& matrix) {
    return fmt::format("{} to {}", difference(range.low, matrix), difference(range.high, matrix));
}

std::string percent(double share) {
    return fmt::format("{:.0f} %", 100 * share);
}

std::string percents(const Range<double>& shares) {
    const std::string low = percent(shares.low);
    const std::string high = percent(shares.high);
    return low == high ? low : low.substr(0, low.size() - 2) + " to " + high;
}

// ---- the stone as it is

std::string as_it_is(const Answer& answer, const recutting::Terms& terms, TextStyle style) {
    const valuation::Valuation& now = answer.now.valuation;
    const Stone& stone = answer.now.stone;
    const pricing::Matrix& matrix = terms.matrix;
    std::string text =
        paint(style, strong,
              fmt::format("{}  {}, before recutting", stone.id ? safe(*stone.id) : "(no id)",
                          safe(now.nomenclature.name))) +
        "\n";
    text += fmt::format("  {} ct, {}\n\n", weight::carats_text(Carat{now.weight.ct.value}),
                        name_of(now.weight.basis));
    text += "  " + paint(style, strong,
                         fmt::format("as it is: {} {} to {}, likely {}", matrix.currency.code,
                                     rounded(now.range.low, matrix),
                                     rounded(now.range.high, matrix), rounded(now.likely, matrix)));
    text += fmt::format("   ({:.3g} % coverage)\n", 100 * matrix.coverage);
    return text + basis_line(matrix, now.market_level, style);
}

// ---- faults

std::string fault_name(const Fault& fault) {
    const Words& severity = fault.severity;
    return safe(fmt::format("{}, {}, {}", fault.kind, fault.place,
                            severity.is_point() ? severity.first
                                                : severity.first + " or " + severity.second));
}

std::string name_of_removal(const Removal& removal, const std::vector<Fault>& faults) {
    std::string name;
    for (const std::size_t i : removal.faults) {
        name += (name.empty() ? "" : " + ") +
                (removal.faults.size() == 1 ? fault_name(faults[i]) : safe(faults[i].kind));
    }
    return name;
}

std::string_view words_for(Way way) {
    switch (way) {
    case Way::face:
        return "off the dome";
    case Way::back:
        return "off the back";
    case Way::outline:
        return "off the edge, all round";
    case Way::weight:
        break;
    }
    return "carats, measures unknown";
}

std::string amounts(const recutting::Allowance& allowance) {
    const auto amount = [](const std::optional<double>& x) {
        return x ? fmt::format("{:.2f}", *x) : std::string("all");
    };
    return fmt::format("{:>6}  {:>4} to {:<5}", amount(allowance.likely), amount(allowance.low),
                       amount(allowance.high));
}

std::string break_even_line(const BreakEven& even) {
    const std::string label = left(words_for(even.way), 26);
    const std::string past = even.priced_to_the_end ? "" : "; past that it has no price";
    std::string line;
    if (!even.ct.likely) {
        line = even.way == Way::weight
                   ? fmt::format("more than {:.2f} ct{}", even.searched_ct, past)
                   : fmt::format("more than {:.2f} mm, {:.2f} ct{}", even.searched_mm,
                                 even.searched_ct, past);
        return fmt::format("      {}{}\n", label, line);
    }
    line = even.way == Way::weight ? std::string() : amounts(even.mm);
    line = fmt::format("      {}{}{}", label, left(line, 23), amounts(even.ct));
    return line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
}

std::string removal_lines(const Removal& removal,
                          const std::vector<Fault>& faults,
                          const pricing::Matrix& matrix,
                          std::size_t ways,
                          TextStyle style) {
    std::string text =
        "\n  " +
        paint(style, strong, wrapped(name_of_removal(removal, faults), style.width - 2, 2)) + "\n";
    text += sentence(fmt::format("without, {} {}: {} ({})", matrix.currency.code,
                                 rounded(removal.value_without, matrix),
                                 difference(removal.gain.likely, matrix),
                                 differences(removal.gain, matrix)),
                     style, 4);
    if (removal.gain.likely <= 0) {
        return text + sentence("Nothing may go: it costs nothing.", style, 4);
    }
    for (std::size_t i = 0; i < std::min(ways, removal.break_evens.size()); ++i) {
        text += break_even_line(removal.break_evens[i]);
    }
    return text;
}

// Opal with its host, or with a backing or a cap.
bool is_of_parts(const Stone& stone) {
    return stone.type && (*stone.type == StoneType::boulder || is_composite(*stone.type));
}

std::string fault_lines(const Answer& answer, const recutting::Terms& terms, TextStyle style) {
    std::string text =
        heading(style, "What each fault costs, and the most that may go to remove it");
    if (!answer.now.stone.faults || answer.now.stone.faults->empty()) {
        return text + sentence(answer.now.stone.faults ? "None is recorded."
                                                       : "The record does not state any.",
                               style);
    }
    const std::vector<Fault>& faults = *answer.now.stone.faults;
    text += sentence("When more goes, by any one of the ways below, removing it loses more than it "
                     "gains. All grades are taken to stay as they are.",
                     style);
    if (!answer.faults.measured) {
        text += sentence("Outline and dimensions are not stated in full, so only carats are given, "
                         "as if they left the measures as they are.",
                         style);
    }
    if (answer.faults.measured && is_of_parts(answer.now.stone)) {
        text += sentence("Its parts are of different density: the carats are as if they were of "
                         "one.",
                         style);
    }
    text += paint(style, faint,
                  fmt::format("\n      {}{:>6}  {:<13}{:>8}  {}\n", left("", 26), "mm", "range",
                              "ct", "range"));
    std::string single;
    for (const Removal& removal : answer.faults.single) {
        single += removal_lines(removal, faults, terms.matrix, removal.break_evens.size(), style);
    }
    text += single;
    if (single.find("to all") != std::string::npos) {
        text +=
            "\n" + sentence("all: even the most that can go may cost less than is gained.", style);
    }
    if (answer.faults.together.empty()) {
        return text;
    }
    const std::size_t all = answer.faults.together.size();
    text += heading(
        style,
        fmt::format("Several at once, of the {} that cost most: best first{}",
                    answer.faults.combined,
                    all > sets_shown ? fmt::format(" (the first {} of {})", sets_shown, all) : ""));
    for (std::size_t i = 0; i < std::min(all, sets_shown); ++i) {
        text += removal_lines(answer.faults.together[i], faults, terms.matrix, 1, style);
    }
    return text;
}

// ---- calibrated sizes

std::string size_lines(const Answer& answer, const recutting::Terms& terms, TextStyle style) {
    const recutting::Sizes& sizes = answer.sizes;
    const pricing::Matrix& matrix = terms.matrix;
    std::string text = heading(style, "Calibrated sizes that fit inside it");
    if (!sizes.measured) {
        return text +
               sentence("Outline and dimensions are not stated in full: none can be tried.", style);
    }
    const Carat weight{answer.now.valuation.weight.ct.value};
    const auto near = weight::nearest_calibrated(answer.now.stone, weight);
    if (near && near->fits) {
        text += sentence(fmt::format("It is {:g} x {:g} mm as it is, within the tolerance of {:g} "
                                     "mm.",
                                     near->length.value, near->width.value, near->tolerance.value),
                         style);
    }
    if (sizes.options.empty()) {
        return text + sentence("No size of the lists of ovals and rounds fits.", style);
    }
    text += sentence("Recut to one of them it must bring so much more for its size, beside the "
                     "work, or it is better left. All grades and faults are taken to stay.",
                     style);
    if (sizes.freeform) {
        text += sentence("The curve of a freeform is not recorded: an ellipse as long and as wide "
                         "was taken for it. Lay a template on it.",
                         style);
    }
    text += paint(style, faint,
                  fmt::format("  {:<16}{:>9}{:>8}{:>12}{:>14}   {}\n", "size, mm", "depth", "ct",
                              "value", "must bring", "range"));
    for (std::size_t i = 0; i < std::min(sizes.options.size(), sizes_shown); ++i) {
        const recutting::SizeOption& option = sizes.options[i];
        const bool round = option.outline == weight::Outline::round;
        text += fmt::format(
            "  {:<16}{:>9.2f}{:>8}{:>12}{:>14}   {}\n",
            round ? fmt::format("{:g} round", option.length)
                  : fmt::format("{:g} x {:g} oval", option.length, option.width),
            option.depth, weight::carats_text(Carat{option.ct}), rounded(option.value, matrix),
            difference(option.must_bring.likely, matrix), differences(option.must_bring, matrix));
    }
    if (sizes.options.size() > sizes_shown) {
        text += fmt::format("  and {} more, worth less\n", sizes.options.size() - sizes_shown);
    }
    return text;
}

// ---- the plan

constexpr std::string_view leave_it = "leave it as it is";

std::string choice_name(const Comparison& comparison, std::optional<std::size_t> choice) {
    return choice ? safe(comparison.choices[*choice].name) : std::string(leave_it);
}

std::string verdict(const Comparison& comparison, const pricing::Matrix& matrix, TextStyle style) {
    const std::string best = choice_name(comparison, comparison.solution.best);
    const std::string other = choice_name(comparison, comparison.runner_up);
    const std::string lead =
        fmt::format("{} {} ({})", matrix.currency.code, difference(comparison.lead.likely, matrix),
                    differences(comparison.lead, matrix));
    const std::string text =
        comparison.too_close
            ? fmt::format("Too close to call: \"{}\" against \"{}\", {}.", best, other, lead)
            : fmt::format("Best: \"{}\", before \"{}\" by {}.", best, other, lead);
    return "\n  " + paint(style, strong, wrapped(text, style.width - 2, 2)) + "\n";
}

std::string plan_table(const Answer& answer, const recutting::Terms& terms, TextStyle style) {
    const Comparison& comparison = answer.planned->comparison;
    const pricing::Matrix& matrix = terms.matrix;
    const bool averse = comparison.attitude.aversion > 0;
    const std::size_t name_width = style.width - indent - (averse ? 65 : 55);
    const auto line = [&](std::string_view name, std::string_view expected,
                          std::string_view certain, std::string_view change, std::string_view below,
                          std::string_view worst) {
        // A name too long for its column stands on a line of its own.
        const std::string label = fitted(name, style.width - indent);
        const bool fits = length_of(label) < name_width;
        const std::string figures =
            fmt::format("{:>10}{}{:>22}{:>13}{:>10}", expected,
                        averse ? fmt::format("{:>10}", certain) : "", change, below, worst);
        return "  " +
               (fits ? left(label, name_width) : label + "\n  " + std::string(name_width, ' ')) +
               figures + "\n";
    };
    std::string text = "\n" + paint(style, faint,
                                    line("alternative", "expected", "certain", "against leaving",
                                         "below", "worst"));
    const std::string now = rounded(comparison.solution.leave, matrix);
    text += line(leave_it, now, now, "", "", now);
    for (std::size_t i = 0; i < comparison.choices.size(); ++i) {
        const SolvedChoice& solved = comparison.solution.choices[i];
        const std::string row = line(comparison.choices[i].name, net_text(solved.expected, matrix),
                                     net_text(solved.certainty_equivalent, matrix),
                                     differences(comparison.against_leaving[i].net, matrix),
                                     percents(solved.chance_below_over_probabilities),
                                     net_text(solved.worst_net, matrix));
        text += comparison.solution.best == i ? paint(style, strong, row) : row;
    }
    text += paint(style, faint,
                  sentence("expected: probability times likely value, less the work. against "
                           "leaving: the range of the difference, simulated in pairs. below: the "
                           "chance of ending below the value as it is.",
                           style));
    return text;
}

std::string worst_path(const recutting::Choice& choice, const SolvedChoice& solved) {
    std::string path;
    const recutting::Choice* at = &choice;
    const SolvedChoice* rolled = &solved;
    for (const std::size_t i : solved.worst) {
        const recutting::Outcome& outcome = at->outcomes[i];
        if (!outcome.name.empty()) {
            path += (path.empty() ? "" : ", then ") + safe(outcome.name);
        }
        if (const auto best = rolled->outcomes[i].best) {
            at = &outcome.choices[*best];
            rolled = &rolled->outcomes[i].choices[*best];
        }
    }
    return path;
}

std::string
break_even_text(const recutting::Choice& choice, const SolvedChoice& solved, double leave) {
    const recutting::SolvedOutcome& bad = solved.outcomes[solved.worst_outcome];
    const std::string name = safe(choice.outcomes[solved.worst_outcome].name);
    if (solved.break_even_probability) {
        return fmt::format("Breaks even where \"{}\" has a probability of {}; planned: {}.", name,
                           percent(*solved.break_even_probability), percent(bad.probability));
    }
    return bad.expected >= leave ? "No outcome is worth less than leaving it."
                                 : "Without its worst outcome, too, it is worth less than leaving "
                                   "it.";
}

std::string
choice_lines(const Answer& answer, std::size_t i, const recutting::Terms& terms, TextStyle style) {
    const Comparison& comparison = answer.planned->comparison;
    const recutting::Plan& plan = answer.planned->plan;
    const pricing::Matrix& matrix = terms.matrix;
    const recutting::Choice& choice = comparison.choices[i];
    const SolvedChoice& solved = comparison.solution.choices[i];
    const std::string& code = matrix.currency.code;
    std::string text = "\n  " + paint(style, strong, fitted(choice.name, style.width - 2)) + "\n";
    const auto say = [&](const std::string& line) { text += sentence(line, style, 4); };
    if (solved.cost > 0) {
        std::string line = fmt::format("{:.0f} min expected; with materials, {} {}", solved.minutes,
                                       code, exact_money(solved.cost, matrix));
        if (solved.minutes > 0) {
            const double earned = earned_per_hour(plan, comparison.solution, i);
            line +=
                fmt::format("; an hour of it earns {} {}, and is reckoned at {}", code,
                            difference(earned, matrix), exact_money(*plan.rate_per_hour, matrix));
        }
        say(line + ".");
    }
    say(fmt::format("Worst: {}{} {}.",
                    worst_path(choice, solved).empty() ? std::string()
                                                       : worst_path(choice, solved) + ", ",
                    code, net_text(solved.worst_net, matrix)));
    if (solved.outcomes.size() > 1) {
        say(break_even_text(choice, solved, comparison.solution.leave));
    }
    const Range<double>& over = solved.expected_over_probabilities;
    if (net_text(over.low, matrix) != net_text(over.high, matrix)) {
        say(fmt::format("By the ranges of its probabilities it is expected to come to {} to {}.",
                        net_text(over.low, matrix), net_text(over.high, matrix)));
    }
    say(fmt::format("Chance of ending below the value as it is, with all uncertainties: {}.",
                    percent(comparison.against_leaving[i].chance_below)));
    if (solved.outcomes.size() > 1) {
        say(fmt::format("To know its outcome before deciding would be worth {} {}.", code,
                        net_text(solved.knowing, matrix)));
    }
    if (solved.looking) {
        say(fmt::format("To look first and then decide, rather than settle it now, is worth {} {}.",
                        code, net_text(*solved.looking, matrix)));
    }
    return text;
}

std::string plan_lines(const Answer& answer, const recutting::Terms& terms, TextStyle style) {
    const recutting::Planned& planned = *answer.planned;
    const Comparison& comparison = planned.comparison;
    std::string title = "What might be done";
    if (planned.plan.name) {
        title += ": " + fitted(*planned.plan.name, style.width - title.size() - 2);
    }
    std::string text = heading(style, title);
    if (comparison.attitude.aversion > 0) {
        text += sentence(
            fmt::format("Certain: the sure amount as good as the gamble, at a constant relative "
                        "risk aversion of {:g} and {} {} beside the stone.",
                        comparison.attitude.aversion, terms.matrix.currency.code,
                        exact_money(comparison.attitude.wealth, terms.matrix)),
            style);
    }
    text += plan_table(answer, terms, style);
    text += verdict(comparison, terms.matrix, style);
    text += heading(style, "Each alternative");
    for (std::size_t i = 0; i < comparison.choices.size(); ++i) {
        text += choice_lines(answer, i, terms, style);
    }
    text += heading(style, fmt::format("The tree, in {}; ━▶ is the best branch",
                                       comparison.attitude.aversion > 0 ? "certain amounts"
                                                                        : "value less costs"));
    text += tree_text(planned, terms.matrix, style);
    return text;
}

} // namespace

std::string recut_text(const Answer& answer, const recutting::Terms& terms, TextStyle style) {
    std::string text = as_it_is(answer, terms, style);
    if (answer.planned) {
        text += plan_lines(answer, terms, style);
    } else {
        text += fault_lines(answer, terms, style);
        text += size_lines(answer, terms, style);
    }
    text += "\n" + sentence(fmt::format("Ranges: {:.3g} % coverage, by {} trials (seed {}) in "
                                        "which the stone's grades and the market are the same "
                                        "before and after.",
                                        100 * terms.matrix.coverage, terms.trials, terms.seed),
                            style);
    std::vector<std::string> sentences = cautions_at_the_wheel();
    const std::vector<std::string> more =
        cautions(answer.now.stone, answer.now.valuation.weight, terms.matrix);
    sentences.insert(sentences.end(), more.begin(), more.end());
    return text + caution_lines(sentences, style);
}

} // namespace trayworth::output
