#include "output/compare.hpp"
#include "output/html_page.hpp"
#include "output/html_style.hpp"
#include "output/html_text.hpp"
#include "output/statement.hpp"
#include "output/text_parts.hpp"

#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

std::string_view class_of(double change) {
    return change < 0 ? "down" : "up";
}

std::string change_cell(std::string_view text, std::string_view more = "") {
    return fmt::format("<td class=\"number{}{}\">{}</td>", more.empty() ? "" : " ", more,
                       escaped(text));
}

class ComparePage {
public:
    explicit ComparePage(const CompareReport& report) : report_(report), matrix_(report.b.matrix) {}

    [[nodiscard]] std::string text() const {
        const std::string title =
            fmt::format("{} and {}", report_.a.matrix.name, report_.b.matrix.name);
        std::string text = html_head(title, std::string(report_style).append(compare_style)) +
                           "<body>\n<main>\n<h1>" + isolated(title) + "</h1>\n";
        text += side("A", report_.a) + side("B", report_.b);
        text += total() + steps() + stones();
        text += "<h2>What these figures are</h2>\n";
        for (const std::string& sentence : cautions_of(report_)) {
            text += "<p>" + isolated(sentence) + "</p>\n";
        }
        return text + "</main>\n</body>\n</html>\n";
    }

private:
    static std::string side(std::string_view letter, const CompareSide& side) {
        const std::string line = fmt::format("{}: \"{}\" as of {}, {} level{}", letter,
                                             side.matrix.name, side.matrix.as_of, side.level.name,
                                             side.matrix.invented ? ", with INVENTED prices" : "");
        return "<p>" + escaped(line) + "</p>\n";
    }

    [[nodiscard]] std::string total() const {
        const valuation::ComparedTotal& total = report_.total;
        std::string text;
        if (total.both > 0) {
            text =
                fmt::format("<p><strong>{} {} under A, {} {} under B: <span class=\"{}\">{} "
                            "({})</span></strong>, {} valued under both.</p>\n",
                            escaped(matrix_.currency.code), exact_money(total.a, matrix_),
                            escaped(matrix_.currency.code), exact_money(total.b, matrix_),
                            class_of(total.b - total.a), signed_amount(total.b - total.a, matrix_),
                            per_cent_text(std::log(total.b / total.a)),
                            total.both == 1 ? "1 stone" : fmt::format("{} stones", total.both));
        }
        const std::size_t others = total.only_a + total.only_b + total.neither;
        if (others > 0) {
            text += fmt::format("<p>Not in these sums: {} valued under A only, {} under B only, {} "
                                "under neither.</p>\n",
                                total.only_a, total.only_b, total.neither);
        }
        return text;
    }

    [[nodiscard]] std::string steps() const {
        const std::vector<valuation::StepTotal>& steps = report_.total.steps;
        if (steps.empty()) {
            return "<p>Nothing changed.</p>\n";
        }
        std::string text =
            "<h2>What the change is made of</h2>\n<p class=\"soft\">Each stone's "
            "change is shared out in proportion to the change of the logarithm of "
            "each factor, so that the parts add up to the whole.</p>\n<div "
            "class=\"wide\"><table>\n<thead><tr><th scope=\"col\">step</th><th scope=\"col\" "
            "class=\"number\">stones</th><th scope=\"col\" class=\"number\">change</th>"
            "<td></td></tr></thead>\n<tbody>\n";
        const double largest = std::abs(steps.front().change);
        for (const valuation::StepTotal& step : steps) {
            constexpr double longest = 16; // em
            text += fmt::format(
                "<tr><td>{}</td>{}{}<td><span class=\"bar {}\" "
                "style=\"width:{:.2f}em\"></span></td></tr>\n",
                escaped(step.step), change_cell(fmt::format("{}", step.stones)),
                change_cell(signed_amount(step.change, matrix_), class_of(step.change)),
                class_of(step.change), largest > 0 ? longest * std::abs(step.change) / largest : 0);
        }
        return text + "</tbody>\n</table></div>\n";
    }

    [[nodiscard]] std::string stones() const {
        std::string text = "<h2>Stone by stone</h2>\n<div class=\"wide\"><table>\n<thead><tr><th "
                           "scope=\"col\">stone"
                           "</th><th scope=\"col\" class=\"number\">under A</th><th scope=\"col\" "
                           "class=\"number\">"
                           "under B</th><th scope=\"col\" class=\"number\">B \xE2\x88\x92 "
                           "A</th><th scope=\"col\" class=\"number\">"
                           "change</th></tr></thead>\n<tbody>\n";
        for (const ComparedStone& stone : report_.stones) {
            const valuation::Compared& comparison = stone.comparison;
            const bool both = standing(stone) == Standing::both;
            const auto amount = [this](const std::optional<valuation::Valuation>& valuation) {
                return valuation ? exact_money(valuation->likely, matrix_) : "refused";
            };
            text += fmt::format(
                "<tr><td>{} {}{}</td>{}{}{}{}</tr>\n", escaped(stone.id.value_or("(no id)")),
                escaped(stone.name), both ? causes(comparison) : refusals(stone),
                change_cell(amount(comparison.a)), change_cell(amount(comparison.b)),
                change_cell(both ? signed_amount(comparison.change, matrix_) : "",
                            both ? class_of(comparison.change) : ""),
                change_cell(both ? per_cent_text(comparison.log_change) : ""));
        }
        return text + "</tbody>\n</table></div>\n";
    }

    static std::string refusals(const ComparedStone& stone) {
        std::string text;
        const auto add = [&](std::string_view letter, const Diagnostics& under) {
            text += fmt::format("<div class=\"soft\">refused under {}: {}</div>", letter,
                                escaped(why_refused(stone, under)->message));
        };
        if (!stone.comparison.a) {
            add("A", stone.comparison.a_diagnostics);
        }
        if (!stone.comparison.b) {
            add("B", stone.comparison.b_diagnostics);
        }
        return text;
    }

    [[nodiscard]] std::string causes(const valuation::Compared& comparison) const {
        if (comparison.causes.empty()) {
            return "<div class=\"soft\">nothing changed</div>";
        }
        std::string text =
            "<details><summary class=\"soft\">why</summary><table><thead>"
            "<tr><th scope=\"col\">step</th><th scope=\"col\" class=\"number\">A</th>"
            "<th scope=\"col\" class=\"number\">B</th><th scope=\"col\" class=\"number\">ln</th>"
            "<th scope=\"col\" class=\"number\">money</th></tr></thead><tbody>";
        for (const valuation::Cause& cause : comparison.causes) {
            const auto factor = [](const std::optional<valuation::Reason>& reason) {
                return reason ? fmt::format("{}", reason->likely) : std::string("none");
            };
            text += fmt::format(
                "<tr><td>{}{}</td>{}{}{}{}</tr>", escaped(cause_text(cause)), places(cause),
                change_cell(factor(cause.a)), change_cell(factor(cause.b)),
                change_cell(fmt::format("{:+.6f}", cause.log_change)),
                change_cell(signed_amount(cause.change, matrix_), class_of(cause.change)));
        }
        return text + "</tbody></table></details>";
    }

    static std::string places(const valuation::Cause& cause) {
        std::string text;
        const auto add = [&](std::string_view letter,
                             const std::optional<valuation::Reason>& reason) {
            if (!reason) {
                return;
            }
            if (reason->row.cells.empty()) {
                text +=
                    fmt::format("<br><code>{}: {}</code>", letter,
                                escaped(reason->row.matrix_pointer + in_file(reason->row.file)));
            }
            for (const valuation::CellUsed& cell : reason->row.cells) {
                text += fmt::format("<br><code>{}: {:.4g} of [{:.6g}, {:.6g}], {}: {}</code>",
                                    letter, cell.weight, cell.low, cell.high, escaped(cell.at),
                                    escaped(cell.pointer + in_file(cell.file)));
            }
        };
        add("A", cause.a);
        add("B", cause.b);
        return text;
    }

    const CompareReport& report_;
    const pricing::Matrix& matrix_; // of the currency
};

} // namespace

std::string compare_html(const CompareReport& report) {
    return ComparePage(report).text();
}

} // namespace trayworth::output
