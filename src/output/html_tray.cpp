#include "output/html_tray.hpp"

#include "output/html_axis.hpp"
#include "output/html_text.hpp"
#include "output/text_parts.hpp"
#include "weight/carats.hpp"

#include <algorithm>
#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// The stone's id, leading to its card.
std::string link(const TrayRow& row) {
    return fmt::format("<a href=\"#stone-{}\">{}</a>", row.number,
                       row.id ? isolated(*row.id) : "(no id)");
}

std::string carats(const TrayRow& row) {
    return (row.estimated ? "~" : "") + weight::carats_text(Carat{row.carats});
}

// ---- one axis

MoneyAxis axis_of(const std::vector<TrayRow>& rows, const Currency& currency) {
    double low = 0;
    double high = 0;
    for (const TrayRow& row : rows) {
        if (!row.refused) {
            low = low == 0 ? row.low : std::min(low, row.low);
            high = std::max(high, row.high);
        }
    }
    return {low, high, currency};
}

std::string ranges(const std::vector<TrayRow>& rows, const pricing::Matrix& matrix) {
    const MoneyAxis axis = axis_of(rows, matrix.currency);
    const std::string scale = "<li class=\"scale\" aria-hidden=\"true\"><span></span>" +
                              element("div", "axis", axis.labels()) + "</li>\n";
    std::string text = "<section><h3>Every range on one axis</h3>\n<p class=\"aside\">" +
                       matrix.currency.code +
                       ", equal ratios equally far apart. The bar is the range, the stroke the "
                       "likely value.</p>\n<ul class=\"ranges\">\n" +
                       scale;
    for (const TrayRow& row : rows) {
        if (!row.refused) {
            text += "<li>" + link(row) +
                    element("span", "spoken",
                            fmt::format(": {} to {}, likely {}", rounded(row.low, matrix),
                                        rounded(row.high, matrix), rounded(row.likely, matrix))) +
                    axis.strip({row.low, row.high}, row.likely) + "</li>\n";
        }
    }
    return text + scale + "</ul></section>\n";
}

// ---- the table

std::string cell(std::string_view html) {
    return fmt::format("<td>{}</td>", html);
}

std::string row_line(const TrayRow& row, const pricing::Matrix& matrix) {
    const std::string head =
        fmt::format("<tr><th scope=\"row\">{}{}", link(row),
                    row.refused ? ""
                                : " " + element("span", "read", isolated(row.name)) +
                                      (row.warned ? " " + element("span", "flag", "has warnings")
                                                  : std::string()));
    if (row.refused) {
        return head +
               "</th><td colspan=\"4\" class=\"refused\">refused: " + isolated(*row.refused) +
               "</td></tr>\n";
    }
    return head + "</th>" + cell(carats(row)) + cell(rounded(row.low, matrix)) +
           cell("<strong>" + rounded(row.likely, matrix) + "</strong>") +
           cell(rounded(row.high, matrix)) + "</tr>\n";
}

std::string sum_line(const std::vector<TrayRow>& rows,
                     const valuation::Total& total,
                     const pricing::Matrix& matrix) {
    if (total.stones == 0) {
        return {};
    }
    TrayRow sum;
    for (const TrayRow& row : rows) {
        sum.carats += row.carats;
        sum.estimated = sum.estimated || row.estimated;
    }
    return "<tfoot><tr><th scope=\"row\">sum</th>" + cell(carats(sum)) +
           cell(rounded(total.low, matrix)) +
           cell("<strong>" + rounded(total.likely, matrix) + "</strong>") +
           cell(rounded(total.high, matrix)) + "</tr></tfoot>\n";
}

std::string table(const std::vector<TrayRow>& rows,
                  const valuation::Total& total,
                  const pricing::Matrix& matrix) {
    const bool estimated =
        std::any_of(rows.begin(), rows.end(), [](const TrayRow& row) { return row.estimated; });
    std::string text = fmt::format(
        "<section><h3>Table</h3>\n<table class=\"stones\"><caption>{}, at {:.3g} % coverage{}"
        "</caption>\n<thead><tr><th scope=\"col\">Stone</th><th scope=\"col\">ct</th><th "
        "scope=\"col\">Low</th><th scope=\"col\">Likely</th><th scope=\"col\">High</th></tr>"
        "</thead>\n<tbody>\n",
        matrix.currency.code, 100 * matrix.coverage,
        estimated ? "; ~ marks a weight that is estimated, not weighed" : "");
    for (const TrayRow& row : rows) {
        text += row_line(row, matrix);
    }
    return text + "</tbody>\n" + sum_line(rows, total, matrix) + "</table></section>\n";
}

} // namespace

std::string html_tray(const TraySummary& tray, const pricing::Matrix& matrix) {
    std::string text = "<section class=\"tray\" id=\"tray\"><h2>The tray as a whole</h2>\n<p>" +
                       isolated(total_sentences(tray.total, tray.refused, matrix)) + "</p>\n";
    if (tray.left_out > 0) {
        text += "<p>" + left_out_sentence(tray.left_out) + "</p>\n";
    }
    if (tray.rows == nullptr) {
        return text + "<p>There are too many stones for a table and an axis on one page.</p>\n"
                      "</section>\n";
    }
    if (tray.total.stones > 0) {
        text += ranges(*tray.rows, matrix);
    }
    if (!tray.rows->empty()) {
        text += table(*tray.rows, tray.total, matrix);
    }
    return text + "</section>\n";
}

} // namespace trayworth::output
