#include "output/html_text.hpp"
#include "output/sensitivity.hpp"
#include "output/sensitivity_parts.hpp"
#include "output/text_parts.hpp"

#include <cmath>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// One side of a row: a bar from the middle outwards for each step, and its words below it.
class SwingCells {
public:
    SwingCells(const valuation::Sensitivity& sensitivity, const pricing::Matrix& matrix)
        : sensitivity_(sensitivity), matrix_(matrix), largest_(largest_change(sensitivity)) {}

    [[nodiscard]] std::string cell(std::string_view name,
                                   const std::vector<const valuation::Step*>& steps) const {
        std::string text;
        for (const valuation::Step* step : steps) {
            text += bar(name, std::abs(*step->likely - sensitivity_.valuation.likely)) +
                    isolated(step_words(*step, sensitivity_, matrix_));
        }
        return fmt::format("<td class=\"{}\">{}</td>", name, text);
    }

private:
    [[nodiscard]] std::string bar(std::string_view name, double change) const {
        const double length = largest_ > 0 ? 100 * change / largest_ : 0;
        return fmt::format("<svg aria-hidden=\"true\"><rect class=\"{}\" x=\"{:.2f}%\" y=\"0\" "
                           "width=\"{:.2f}%\" height=\"100%\"/></svg>",
                           name, name == "down" ? 100 - length : 0, length);
    }

    const valuation::Sensitivity& sensitivity_;
    const pricing::Matrix& matrix_;
    double largest_;
};

} // namespace

std::string html_sensitivity(const valuation::Sensitivity& sensitivity,
                             const pricing::Matrix& matrix) {
    const SwingCells cells(sensitivity, matrix);
    std::string text = fmt::format(
        "<section class=\"swings\"><h3>What one step of each grade is worth</h3>\n<table "
        "class=\"swing\"><caption>The stone with one field changed, valued again: by how much "
        "{} {} likely would change, the largest first.</caption>\n<thead><tr><th "
        "scope=\"col\">As graded</th><th scope=\"col\">Cheaper</th><th "
        "scope=\"col\">Dearer</th></tr></thead>\n<tbody>\n",
        matrix.currency.code, exact_money(sensitivity.valuation.likely, matrix));
    for (const valuation::Axis& axis : sensitivity.axes) {
        const Sides sides = sides_of(axis, sensitivity);
        std::string head = element("span", "step", isolated(axis.name)) + " " +
                           element("span", "read", isolated(axis.read));
        for (const std::string& sentence : sides.not_priced) {
            head += element("span", "aside", isolated(sentence));
        }
        text += fmt::format("<tr><th scope=\"row\">{}</th>{}{}</tr>\n", head,
                            cells.cell("down", sides.cheaper), cells.cell("up", sides.dearer));
    }
    return text + "</tbody></table></section>\n";
}

} // namespace trayworth::output
