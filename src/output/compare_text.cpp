#include "output/compare.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

class CompareText {
public:
    CompareText(const CompareReport& report, bool in_full, TextStyle style)
        : report_(report), matrix_(report.b.matrix), in_full_(in_full), style_(style),
          name_width_(
              std::max(least_name_width, style.width - indent - id_width - numbers_width - 2)) {}

    [[nodiscard]] std::string text() const {
        std::string text = side("A", report_.a) + side("B", report_.b) + "\n";
        text += paint(style_, faint, row("stone", "", "under A", "under B", "B - A", "change"));
        for (const ComparedStone& stone : report_.stones) {
            text += lines(stone);
        }
        text += total() + steps();
        return text + caution_lines(cautions_of(report_), style_);
    }

private:
    static constexpr std::size_t id_width = 10;
    static constexpr std::size_t money_width = 12;
    static constexpr std::size_t per_cent_width = 9;
    static constexpr std::size_t numbers_width = 3 * money_width + per_cent_width;
    static constexpr std::size_t least_name_width = 18;
    static constexpr std::size_t longest_bar = 24;
    static constexpr std::size_t mentioned_causes = 3;

    [[nodiscard]] std::string side(std::string_view letter, const CompareSide& side) const {
        std::string line =
            basis_line(side.matrix, side.level.name, {style_.width - indent, style_.colour});
        return "  " + paint(style_, strong, letter) + line;
    }

    [[nodiscard]] std::string row(std::string_view id,
                                  std::string_view name,
                                  std::string_view a,
                                  std::string_view b,
                                  std::string_view change,
                                  std::string_view share) const {
        std::string text = std::string(indent, ' ') + left(fitted(id, id_width - 1), id_width) +
                           left(fitted(name, name_width_), name_width_) + right(a, money_width) +
                           right(b, money_width) + right(change, money_width) +
                           right(share, per_cent_width);
        return text.substr(0, text.find_last_not_of(' ') + 1) + "\n";
    }

    [[nodiscard]] std::string aside(std::string_view sentence, std::size_t deep = 6) const {
        return std::string(deep, ' ') +
               paint(style_, faint, wrapped(sentence, style_.width - deep, deep)) + "\n";
    }

    [[nodiscard]] std::string lines(const ComparedStone& stone) const {
        const valuation::Compared& comparison = stone.comparison;
        const auto amount = [this](const std::optional<valuation::Valuation>& valuation) {
            return valuation ? exact_money(valuation->likely, matrix_) : std::string("refused");
        };
        const bool both = standing(stone) == Standing::both;
        std::string text =
            row(stone.id.value_or("(no id)"), stone.name, amount(comparison.a),
                amount(comparison.b), both ? signed_amount(comparison.change, matrix_) : "",
                both ? per_cent_text(comparison.log_change) : "");
        if (both) {
            return text + (in_full_ ? all_causes(comparison) : main_causes(comparison));
        }
        if (!comparison.a) {
            text += refusal("A", why_refused(stone, comparison.a_diagnostics));
        }
        if (!comparison.b) {
            text += refusal("B", why_refused(stone, comparison.b_diagnostics));
        }
        return text;
    }

    [[nodiscard]] std::string refusal(std::string_view letter, const Diagnostic* why) const {
        return aside(
            fmt::format("refused under {}: {} [{}]", letter, why->message, name_of(why->code)));
    }

    [[nodiscard]] std::string main_causes(const valuation::Compared& comparison) const {
        std::string text;
        for (std::size_t i = 0; i < comparison.causes.size() && i < mentioned_causes; ++i) {
            const valuation::Cause& cause = comparison.causes[i];
            text += fmt::format("{}{} {}", i == 0 ? "" : ", ", cause.step,
                                signed_amount(cause.change, matrix_));
        }
        if (comparison.causes.size() > mentioned_causes) {
            text += fmt::format(", and {} more", comparison.causes.size() - mentioned_causes);
        }
        return aside(text.empty() ? "nothing changed" : text);
    }

    [[nodiscard]] std::string all_causes(const valuation::Compared& comparison) const {
        if (comparison.causes.empty()) {
            return aside("nothing changed");
        }
        std::string text;
        for (const valuation::Cause& cause : comparison.causes) {
            text += aside(fmt::format("{}: {} -> {}, ln {:+.6f}, {}", cause_text(cause),
                                      factor(cause.a), factor(cause.b), cause.log_change,
                                      signed_amount(cause.change, matrix_)));
            if (cause.cells.empty()) {
                text += place("A", cause.a) + place("B", cause.b);
            }
            for (const valuation::CellChange& cell : cause.cells) {
                text += aside(fmt::format("{:.4g} of {} -> {}, {}, ln {:+.6f}: {}{}", cell.b.weight,
                                          span(cell.a), span(cell.b), cell.b.at, cell.log_change,
                                          cell.b.pointer + in_file(cell.b.file), from_both(cell)),
                              10);
            }
        }
        return text;
    }

    static std::string from_both(const valuation::CellChange& cell) {
        return cell.a.pointer == cell.b.pointer && cell.a.file == cell.b.file
                   ? ""
                   : " (A: " + cell.a.pointer + in_file(cell.a.file) + ")";
    }

    static std::string factor(const std::optional<valuation::Reason>& reason) {
        return reason ? fmt::format("{}", reason->likely) : "none";
    }

    static std::string span(const valuation::CellUsed& cell) {
        return fmt::format("[{:.6g}, {:.6g}]", cell.low, cell.high);
    }

    [[nodiscard]] std::string place(std::string_view letter,
                                    const std::optional<valuation::Reason>& reason) const {
        if (!reason) {
            return aside(fmt::format("{} has no such factor for this stone", letter), 10);
        }
        if (reason->row.cells.empty()) {
            return aside(fmt::format("{}: [{:.6g}, {:.6g}] at {}{}", letter, reason->low,
                                     reason->high, reason->row.matrix_pointer,
                                     in_file(reason->row.file)),
                         10);
        }
        std::string text;
        for (const valuation::CellUsed& cell : reason->row.cells) {
            text += aside(fmt::format("{}: {:.4g} of {}, {}: {}{}", letter, cell.weight, span(cell),
                                      cell.at, cell.pointer, in_file(cell.file)),
                          10);
        }
        return text;
    }

    [[nodiscard]] std::string total() const {
        const valuation::ComparedTotal& total = report_.total;
        std::string text;
        if (total.both > 0) {
            text += paint(style_, strong,
                          row(fmt::format("{}", total.both),
                              total.both == 1 ? "stone under both" : "stones under both",
                              exact_money(total.a, matrix_), exact_money(total.b, matrix_),
                              signed_amount(total.b - total.a, matrix_),
                              per_cent_text(std::log(total.b / total.a))));
        }
        const auto left_out = [&](std::size_t number, std::string_view where) {
            if (number > 0) {
                text += aside(fmt::format("{} {} {}; not in the sum", number,
                                          number == 1 ? "record is" : "records are", where),
                              indent);
            }
        };
        left_out(total.only_a, "valued under A only");
        left_out(total.only_b, "valued under B only");
        left_out(total.neither, "valued under neither");
        return "\n" + text;
    }

    [[nodiscard]] std::string steps() const {
        const std::vector<valuation::StepTotal>& steps = report_.total.steps;
        if (steps.empty()) {
            return {};
        }
        std::string text =
            "\n" + paint(style_, strong, "What the change is made of") + "\n" +
            aside("Each stone's change is shared out in proportion to the change of the logarithm "
                  "of each factor, so that the parts add up to the whole.",
                  indent);
        const std::size_t label = style_.width - indent - 2 - 12 - money_width - 1 - longest_bar;
        const double largest = std::abs(steps.front().change);
        for (const valuation::StepTotal& step : steps) {
            const auto length = static_cast<std::size_t>(
                largest > 0 ? std::lround(std::abs(step.change) / largest * longest_bar) : 0);
            std::string bar;
            for (std::size_t i = 0; i < std::max<std::size_t>(length, 1); ++i) {
                bar += "\xE2\x96\x88";
            }
            text += fmt::format("  {}{:>12} {} {}\n", left(fitted(step.step, label), label),
                                fmt::format("{} stone{}", step.stones, step.stones == 1 ? "" : "s"),
                                right(signed_amount(step.change, matrix_), money_width), bar);
        }
        return text;
    }

    const CompareReport& report_;
    const pricing::Matrix& matrix_; // of the currency
    bool in_full_;
    TextStyle style_;
    std::size_t name_width_;
};

} // namespace

Standing standing(const ComparedStone& stone) {
    const bool a = stone.comparison.a.has_value();
    const bool b = stone.comparison.b.has_value();
    return a && b ? Standing::both
           : a    ? Standing::only_a
           : b    ? Standing::only_b
                  : Standing::neither;
}

const Diagnostic* why_refused(const ComparedStone& stone, const Diagnostics& under) {
    const Diagnostics& all = stone.refused.empty() ? under : stone.refused;
    const auto error = std::find_if(all.begin(), all.end(), [](const Diagnostic& diagnostic) {
        return diagnostic.severity == Severity::error;
    });
    return &*error;
}

std::vector<std::string> cautions_of(const CompareReport& report) {
    std::vector<std::string> sentences = cautions(report.a.matrix);
    for (std::string& sentence : cautions(report.b.matrix)) {
        if (std::find(sentences.begin(), sentences.end(), sentence) == sentences.end()) {
            sentences.insert(sentences.begin(), std::move(sentence));
        }
    }
    return sentences;
}

std::string cause_text(const valuation::Cause& cause) {
    const std::string& read = cause.row().read;
    return read.empty() ? cause.step : cause.step + ": " + read;
}

std::string signed_amount(double change, const pricing::Matrix& matrix) {
    Money money = to_money(std::abs(change), matrix.currency);
    return (money.minor == 0 ? "" : change < 0 ? "-" : "+") + grouped(money);
}

void sort_by_change(std::vector<ComparedStone>& stones) {
    std::stable_sort(
        stones.begin(), stones.end(), [](const ComparedStone& a, const ComparedStone& b) {
            const Standing of_a = standing(a);
            const Standing of_b = standing(b);
            return of_a != of_b ? of_a < of_b
                                : std::abs(a.comparison.change) > std::abs(b.comparison.change);
        });
}

std::string compare_text(const CompareReport& report, bool in_full, TextStyle style) {
    return CompareText(report, in_full, style).text();
}

} // namespace trayworth::output
