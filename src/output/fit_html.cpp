// Plots in SVG user units: a square of 100 with logarithmic axes, y upwards turned down.
#include "core/decimal.hpp"
#include "output/fit.hpp"
#include "output/html_axis.hpp"
#include "output/html_page.hpp"
#include "output/html_style.hpp"
#include "output/html_text.hpp"
#include "output/matrix_parts.hpp"
#include "output/statement.hpp"
#include "output/text_parts.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::size_t most_points = 4000; // of a ledger that has more, every n-th

std::string number_cell(std::string_view text) {
    return fmt::format("<td class=\"number\">{}</td>", escaped(text));
}

std::string column_heads(std::string_view first, std::initializer_list<std::string_view> others) {
    std::string text = fmt::format("<thead><tr><th scope=\"col\">{}</th>", escaped(first));
    for (const std::string_view other : others) {
        text += fmt::format("<th scope=\"col\" class=\"number\">{}</th>", escaped(other));
    }
    return text + "</tr></thead>\n";
}

class FitPage {
public:
    explicit FitPage(const FitReport& report) : report_(report), matrix_(report.matrix) {}

    [[nodiscard]] std::string text() const {
        const std::string title =
            (report_.with_changes ? "Fit to sales: " : "Tested against sales: ") + matrix_.name;
        std::string text = html_head(title, std::string(report_style).append(fit_style));
        text += fmt::format("<body{}>\n<main>\n<h1>{}</h1>\n",
                            matrix_.invented ? " class=\"invented\"" : "", isolated(title));
        text += "<p>" + escaped(basis()) + "</p>\n";
        text += quality() + plots() + breakdowns();
        if (report_.with_changes) {
            text += result();
        }
        text += "<h2>What these figures are</h2>\n";
        for (const std::string& sentence : cautions(matrix_)) {
            text += "<p>" + isolated(sentence) + "</p>\n";
        }
        return text + "</main>\n</body>\n</html>\n";
    }

private:
    [[nodiscard]] std::string basis() const {
        return fmt::format("{} and {} unsold, {} to {}; {} refused. Matrix as of {}, {} level, "
                           "ranges at {}.",
                           counted(report_.assessment.sales.size(), "sale"),
                           grouped(report_.assessment.unsold), day_text(report_.first),
                           day_text(report_.last), counted(report_.refused, "record"),
                           matrix_.as_of, matrix_.market_level, share_text(matrix_.coverage));
    }

    static std::string row(std::string_view name, const fitting::Quality& quality) {
        return fmt::format(
            "<tr><th scope=\"row\">{}</th>{}{}{}{}{}</tr>\n", isolated(name),
            number_cell(fmt::format("{}", quality.sales)),
            number_cell(per_cent_text(quality.bias_log)),
            number_cell(share_text(quality.median_ape)), number_cell(share_text(quality.coverage)),
            number_cell(quality.rank_correlation ? fmt::format("{:.3f}", *quality.rank_correlation)
                                                 : "none"));
    }

    static std::string table(std::string_view first, const std::string& rows) {
        return "<div class=\"wide\" tabindex=\"0\"><table>\n" +
               column_heads(first, {"sales", "bias", "median error", "inside the range",
                                    "rank correlation"}) +
               "<tbody>\n" + rows + "</tbody>\n</table></div>\n";
    }

    [[nodiscard]] std::string quality() const {
        const fitting::Assessment& assessment = report_.assessment;
        std::string rows;
        if (assessment.quality) {
            rows += row("the present matrix, all sales", *assessment.quality);
        }
        const auto both = [&](std::string_view how, const auto& tried) {
            if (tried) {
                rows += row(fmt::format("{}: present", how), tried->before);
                rows += row(fmt::format("{}: fitted", how), tried->after);
            }
        };
        both("in ten folds", assessment.by_folds);
        both("the last fifth by date", assessment.by_time);
        std::string text = "<h2>How good it is</h2>\n" + table("matrix", rows);
        text +=
            "<p class=\"soft\">Bias: by how much stones sold above what the matrix says, on "
            "average. Error: the distance of price and likely value over the price; the median. "
            "Folds and the last fifth are foretold from the other sales alone.</p>\n";
        if (assessment.unsold > 0) {
            text += fmt::format("<p>Of {} unsold, {} had been asked for less than their likely "
                                "value.</p>\n",
                                counted(assessment.unsold, "stone"), assessment.unsold_below);
        }
        return text;
    }

    // ---- plots

    static constexpr double side = 100;

    [[nodiscard]] std::string plots() const {
        if (report_.assessment.sales.empty()) {
            return {};
        }
        return "<div class=\"plots\">\n" + sold_plot() + coverage_plot() + "</div>\n";
    }

    static std::string square() {
        return fmt::format("<rect class=\"frame\" width=\"{0}\" height=\"{0}\"/><line "
                           "class=\"same\" x1=\"0\" y1=\"{0}\" x2=\"{0}\" y2=\"0\"/>",
                           side);
    }

    static std::string svg(std::string_view described, std::string_view content) {
        return fmt::format("<svg viewBox=\"-16 -4 126 122\" role=\"img\"><title>{}</title>{}</svg>",
                           escaped(described), content);
    }

    [[nodiscard]] std::string sold_plot() const {
        const std::vector<fitting::Foretold>& sales = report_.assessment.sales;
        double low = sales.front().log_price;
        double high = low;
        for (const fitting::Foretold& sale : sales) {
            low = std::min({low, sale.log_value, sale.log_price});
            high = std::max({high, sale.log_value, sale.log_price});
        }
        constexpr std::size_t ticks = 4;
        const MoneyAxis axis(std::exp(low), std::exp(high), matrix_.currency, ticks);
        std::string drawn = square();
        for (const MoneyAxis::Tick& tick : axis.ticks()) {
            drawn += fmt::format("<line class=\"tick\" x1=\"{0:.1f}\" y1=\"0\" x2=\"{0:.1f}\" "
                                 "y2=\"{1}\"/><line class=\"tick\" x1=\"0\" y1=\"{2:.1f}\" "
                                 "x2=\"{1}\" y2=\"{2:.1f}\"/><text x=\"{0:.1f}\" y=\"105\" "
                                 "class=\"under\">{3}</text><text x=\"-2\" y=\"{4:.1f}\" "
                                 "class=\"beside\">{3}</text>",
                                 tick.place, side, side - tick.place, escaped(tick.label),
                                 side - tick.place + 1.5);
        }
        const std::size_t step = (sales.size() + most_points - 1) / most_points;
        for (std::size_t i = 0; i < sales.size(); i += step) {
            drawn += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\".9\"/>",
                                 axis.place(std::exp(sales[i].log_value)),
                                 side - axis.place(std::exp(sales[i].log_price)));
        }
        drawn += "<text x=\"50\" y=\"113\" class=\"under\">likely value</text>";
        return figure("Sold against foretold",
                      fmt::format("Price paid, upwards, over the likely value, in {}, both "
                                  "logarithmic. On the line they are the same.{}",
                                  matrix_.currency.code,
                                  step > 1 ? fmt::format(" One sale in {} is drawn.", step) : ""),
                      svg("Price paid over likely value of each sale", drawn));
    }

    [[nodiscard]] std::string coverage_plot() const {
        std::string drawn = square();
        std::string line;
        for (int tick = 0; tick <= 100; tick += 20) {
            drawn += fmt::format("<text x=\"{0}\" y=\"105\" class=\"under\">{0} %</text><text "
                                 "x=\"-2\" y=\"{1}\" class=\"beside\">{0} %</text>",
                                 tick, side - tick + 1.5);
        }
        for (const fitting::CoveragePoint& point : report_.assessment.calibration) {
            const double x = side * point.stated;
            const double y = side - side * point.found;
            line += fmt::format("{:.1f},{:.1f} ", x, y);
            drawn += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"1.4\"/>", x, y);
        }
        drawn += fmt::format("<polyline class=\"found\" points=\"{}\"/>", line);
        drawn += "<text x=\"50\" y=\"113\" class=\"under\">stated</text>";
        return figure("Inside, against stated",
                      "The share of sales inside the range, upwards, over the share that the range "
                      "states. Below the line the ranges are too narrow, above it too wide.",
                      svg("Share of sales inside a range over the share it states", drawn));
    }

    static std::string
    figure(std::string_view title, std::string_view words, const std::string& drawing) {
        return fmt::format("<figure><h2>{}</h2>\n{}<figcaption class=\"soft\">{}</figcaption>"
                           "</figure>\n",
                           title, drawing, escaped(words));
    }

    [[nodiscard]] std::string breakdowns() const {
        std::string text;
        for (const fitting::Breakdown& breakdown : report_.assessment.breakdowns) {
            std::string rows;
            for (const fitting::Group& group : breakdown.groups) {
                rows += row(group.name, group.quality);
            }
            text += "<h2>By " + escaped(breakdown.by) + "</h2>\n" + table(breakdown.by, rows);
        }
        return text;
    }

    // ---- what the sales say

    [[nodiscard]] std::string result() const {
        const fitting::Proposal& proposal = report_.proposal;
        std::string text = "<h2>What the sales say</h2>\n";
        for (const std::string& remark : remarks_of(report_)) {
            text += "<p>" + isolated(remark) + "</p>\n";
        }
        text += "<div class=\"wide\" tabindex=\"0\"><table>\n" +
                column_heads("number", {"sales", "was", "now", "change", "standard error"}) +
                "<tbody>\n";
        std::string table;
        for (const fitting::Change& change : proposal.changes) {
            const fitting::Number& number = report_.numbers[change.number];
            if (number.table != table) {
                table = number.table;
                text += "<tr><th colspan=\"6\" scope=\"rowgroup\" class=\"group\">" +
                        isolated(table) + "</th></tr>\n";
            }
            text += fmt::format(
                "<tr><th scope=\"row\">{}{}</th>{}{}{}{}{}</tr>\n", isolated(number.name),
                change.by_order  ? " <span class=\"soft\">by order</span>"
                : change.bounded ? " <span class=\"soft\">at most</span>"
                                 : "",
                number_cell(fmt::format("{}", change.sales)),
                number_cell(range_text(change.before)), number_cell(range_text(change.now)),
                number_cell(per_cent_text(change.now.log_middle - change.before.log_middle)),
                number_cell(change.sales > 0 ? share_text(change.standard_error) : "none"));
        }
        text += "</tbody>\n</table></div>\n";
        text += untouched("Not moved, since no sale used them", proposal.unsold);
        return text + untouched("Held at 1, which others are measured against", proposal.held);
    }

    [[nodiscard]] std::string untouched(std::string_view why,
                                        const std::vector<std::size_t>& indices) const {
        if (indices.empty()) {
            return {};
        }
        std::string text = fmt::format("<h2>{}</h2>\n<dl>\n", why);
        for (const NamedTable& table : by_table(report_.numbers, indices)) {
            text += fmt::format("<dt>{}</dt><dd>{}</dd>\n", isolated(table.table),
                                isolated(fmt::format("{}", fmt::join(table.names, "; "))));
        }
        return text + "</dl>\n";
    }

    const FitReport& report_;
    const pricing::Matrix& matrix_;
};

} // namespace

std::string fit_html(const FitReport& report) {
    return FitPage(report).text();
}

} // namespace trayworth::output
