#include "output/text.hpp"

#include "core/money.hpp"
#include "core/nomenclature.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"
#include "weight/calibrated.hpp"
#include "weight/carats.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// Columns of the ladder: a label as wide as the line leaves, then four numbers.
constexpr std::size_t limit_width = 9;
constexpr std::size_t whole_width = 6;    // of a likely factor, before its decimal point
constexpr std::size_t fraction_width = 8; // its point and decimals
constexpr std::size_t running_width = 13;
constexpr std::size_t numbers_width =
    2 * limit_width + whole_width + fraction_width + running_width;

constexpr std::size_t longest_share = 34;
constexpr std::size_t source_width = 32;

// "  0.85    ": the decimal points of a column stand under each other.
std::string on_point(double number) {
    const std::string digits = fmt::format("{}", number);
    const std::size_t point = std::min(digits.find('.'), digits.size());
    return fmt::format("{:>{}}{:<{}}", digits.substr(0, point), whole_width, digits.substr(point),
                       fraction_width);
}

// ---- the ladder of reasons

std::string ladder_line(std::string_view label,
                        std::string_view low,
                        std::string_view likely,
                        std::string_view high,
                        std::string_view running,
                        TextStyle style) {
    const std::size_t label_width = style.width - indent - numbers_width;
    std::string text(indent, ' ');
    const std::string clean = safe(label);
    if (length_of(clean) > label_width) {
        text += clean + "\n" + std::string(indent + label_width, ' ');
    } else {
        text += left(clean, label_width);
    }
    text += fmt::format("{:>{}}{}{:>{}}{:>{}}", low, limit_width,
                        left(likely, whole_width + fraction_width), high, limit_width, running,
                        running_width);
    return text.substr(0, text.find_last_not_of(' ') + 1) + "\n";
}

std::string running_text(const valuation::Reason& reason) {
    return grouped(to_money(reason.running, reason.currency));
}

std::string reason_lines(const valuation::Reason& reason, TextStyle style) {
    const valuation::Row& row = reason.row;
    const bool ranged = reason.low != reason.high;
    std::string text = ladder_line(row.read.empty() ? row.step : row.step + ": " + row.read,
                                   ranged ? limit(reason.low) : "", on_point(reason.likely),
                                   ranged ? limit(reason.high) : "", running_text(reason), style);
    const auto aside = [&](std::string_view line) {
        text += paint(style, faint, "      " + wrapped(line, style.width - 6, 6)) + "\n";
    };
    if (row.cells.size() > 1) {
        for (const valuation::CellUsed& cell : row.cells) {
            aside(cell_text(cell) + ": " + cell.pointer + in_file(cell.file));
        }
    }
    if (!row.note.empty()) {
        aside(row.note);
    }
    if (row.cells.size() <= 1 && !row.file.empty()) {
        aside(row.matrix_pointer + in_file(row.file));
    }
    return text;
}

std::string
ladder(const valuation::Valuation& valuation, const pricing::Matrix& matrix, TextStyle style) {
    std::string text = heading(style, "How it is reckoned");
    constexpr std::string_view rule =
        "running = weight x the likely factors so far; the likely value "
        "of [low, high] is sqrt(low x high)";
    text += paint(style, faint, "  " + wrapped(rule, style.width - indent, indent)) + "\n";
    text +=
        paint(style, faint, ladder_line("step", "low", "     likely", "high", "running", style));
    const weight::Weight& weight = valuation.weight;
    const bool ranged = valuation.weight_limits.low != valuation.weight_limits.high;
    text += ladder_line(fmt::format("weight: ct, {}", name_of(weight.basis)),
                        ranged ? limit(valuation.weight_limits.low) : "", on_point(weight.ct.value),
                        ranged ? limit(valuation.weight_limits.high) : "", "", style);
    for (const valuation::Reason& reason : valuation.reasons) {
        text += reason_lines(reason, style);
    }
    text += ladder_line("likely value, rounded for display", "", "", "",
                        rounded(valuation.likely, matrix), style);
    return text;
}

// ---- the budget

std::string bar(double share) {
    std::string text;
    const auto length =
        static_cast<std::size_t>(std::lround(share * static_cast<double>(longest_share)));
    for (std::size_t i = 0; i < std::max<std::size_t>(length, 1); ++i) {
        text += "\xE2\x96\x88"; // full block
    }
    return text;
}

struct BarLine {
    std::string_view source;
    double share = 0;
};

std::string bars(const std::vector<BarLine>& lines) {
    std::string text;
    double hidden = 0;
    for (const BarLine& line : lines) {
        if (line.share < least_share_shown) {
            hidden += line.share;
            continue;
        }
        text +=
            fmt::format("  {} {} {:.0f} %\n", left(fitted(line.source, source_width), source_width),
                        bar(line.share), 100 * line.share);
    }
    if (hidden > 0) {
        text += fmt::format("  {} {}\n", left("all others together", source_width),
                            hidden < 0.005 ? "under 1 %" : fmt::format("{:.0f} %", 100 * hidden));
    }
    return text;
}

std::string budget(const valuation::Valuation& valuation, TextStyle style) {
    if (valuation.budget.empty()) {
        return {};
    }
    std::vector<BarLine> lines;
    for (const valuation::BudgetShare& share : valuation.budget) {
        lines.push_back({share.source, share.share});
    }
    return heading(style, "What makes the range wide (share of variance)") + bars(lines);
}

// ---- warnings and what must be said

std::string cost_line(const Stone& stone,
                      const valuation::Valuation& valuation,
                      const pricing::Matrix& matrix) {
    const std::string text = cost_text(stone, valuation, matrix);
    return text.empty() ? text : "  cost " + text + "\n";
}

std::string simulation_lines(const valuation::Valuation& valuation,
                             const pricing::Matrix& matrix,
                             TextStyle style) {
    if (!valuation.simulation) {
        return {};
    }
    const valuation::Simulation& simulation = *valuation.simulation;
    const auto line = [&](std::string_view name, double low, double likely, double high, double u) {
        return fmt::format("  {:<30}{:>12}{:>12}{:>12}{:>12.4f}\n", name, exact_money(low, matrix),
                           exact_money(likely, matrix), exact_money(high, matrix), u);
    };
    return heading(style, fmt::format("Confirmed by simulation ({} trials, seed {})",
                                      simulation.trials, simulation.seed)) +
           paint(style, faint,
                 fmt::format("  {:<30}{:>12}{:>12}{:>12}{:>12}\n", "", "low", "likely", "high",
                             "u of ln")) +
           line("by the reasons (JCGM 100)", valuation.range.low, valuation.likely,
                valuation.range.high, valuation.u) +
           line("simulated (JCGM 101)", simulation.range.low, simulation.likely,
                simulation.range.high, simulation.u);
}

std::string straddle_lines(const Nomenclature& nomenclature, TextStyle style) {
    std::string text;
    for (const std::string& sentence : nomenclature.straddles) {
        text += "  " + wrapped("named for both: " + sentence, style.width - 2, 2) + "\n";
    }
    return text;
}

} // namespace

std::string valued_text(const Stone& stone,
                        const valuation::Valuation& valuation,
                        const pricing::Matrix& matrix,
                        const Diagnostics& warnings,
                        TextStyle style) {
    std::string text = title(stone, valuation.nomenclature.name, style);
    text += straddle_lines(valuation.nomenclature, style);
    const std::string size = size_text(stone.dimensions_mm);
    text +=
        fmt::format("  {}{}{}\n\n", weight_text(valuation.weight), size.empty() ? "" : "; ", size);
    text += "  " + paint(style, strong,
                         fmt::format("{} {} to {}, likely {}", matrix.currency.code,
                                     rounded(valuation.range.low, matrix),
                                     rounded(valuation.range.high, matrix),
                                     rounded(valuation.likely, matrix)));
    text += fmt::format("   ({:.3g} % coverage)\n", 100 * matrix.coverage);
    text += fmt::format("  outer limits {} to {}\n", rounded(valuation.outer.low, matrix),
                        rounded(valuation.outer.high, matrix));
    text += cost_line(stone, valuation, matrix);
    text += basis_line(matrix, valuation.market_level, style);
    text += ladder(valuation, matrix, style);
    text += budget(valuation, style);
    text += simulation_lines(valuation, matrix, style);
    text += warning_lines(warnings, style);
    text += caution_lines(cautions(stone, valuation.weight, matrix), style);
    return text;
}

std::string weighed_text(const Stone& stone,
                         const weight::Weight& weight,
                         const Diagnostics& warnings,
                         TextStyle style) {
    std::string text = stone.id || stone.type
                           ? title(stone, stone.type ? name_stone(stone).name : "stone", style)
                           : std::string();
    text += fmt::format("  {}\n", weight_text(weight));
    if (weight.estimate) {
        const weight::Estimate& estimate = *weight.estimate;
        text +=
            fmt::format("  from dimensions: {:.3f} ct, standard uncertainty {:.2g} ct "
                        "({:.0f} %)\n",
                        estimate.ct.value, estimate.ct.u, 100 * estimate.ct.u / estimate.ct.value);
        text +=
            fmt::format("  volume {:.4g} mm3; density {:.4g} g/cm3, {}\n", estimate.volume.value,
                        estimate.density.value, safe(estimate.density_source));
        text += heading(style, "What makes the estimate uncertain (share of variance)");
        std::vector<BarLine> lines;
        for (const weight::BudgetLine& line : estimate.budget) {
            lines.push_back({line.source, line.share});
        }
        std::stable_sort(lines.begin(), lines.end(),
                         [](const BarLine& a, const BarLine& b) { return a.share > b.share; });
        text += bars(lines);
    }
    if (const auto fit = weight::nearest_calibrated(stone, Carat{weight.ct.value})) {
        text +=
            fmt::format("\n  nearest calibrated size {:g} x {:g} mm: {} ({:+.2f} and {:+.2f} mm, "
                        "tolerance {:g})\n",
                        fit->length.value, fit->width.value, fit->fits ? "fits" : "does not fit",
                        fit->length_off.value, fit->width_off.value, fit->tolerance.value);
    }
    text += warning_lines(warnings, style);
    return text;
}

} // namespace trayworth::output
