#include "output/html_card.hpp"

#include "output/html_axis.hpp"
#include "output/html_budget.hpp"
#include "output/html_drawing.hpp"
#include "output/html_reasons.hpp"
#include "output/html_text.hpp"
#include "output/statement.hpp"
#include "output/text_parts.hpp"

#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

std::string heading(const std::optional<std::string>& id, std::string_view name) {
    return "<h2>" + element("span", "id", id ? isolated(*id) : "(no id)") + " " +
           element("span", "name", isolated(name)) + "</h2>\n";
}

std::string section(std::string_view name, std::string_view title, const std::string& content) {
    return fmt::format("<section class=\"{}\"><h3>{}</h3>\n{}</section>\n", name, title, content);
}

// ---- the head

std::string headline(const valuation::Valuation& valuation, const pricing::Matrix& matrix) {
    const MoneyAxis axis(valuation.outer.low, valuation.outer.high, matrix.currency, 5);
    const std::string range =
        fmt::format("<p class=\"range\"><span class=\"currency\">{}</span> {} to {}</p>\n",
                    matrix.currency.code, rounded(valuation.range.low, matrix),
                    rounded(valuation.range.high, matrix));
    const std::string likely =
        fmt::format("<p class=\"likely\">likely <strong>{}</strong>, at {:.3g} % coverage{}; outer "
                    "limits {} to "
                    "{}</p>\n",
                    rounded(valuation.likely, matrix), 100 * matrix.coverage,
                    matrix.invented ? ", by invented prices" : "",
                    rounded(valuation.outer.low, matrix), rounded(valuation.outer.high, matrix));
    return "<div class=\"headline\">" + range + likely + "<div class=\"axis\">" +
           axis.strip(valuation.range, valuation.likely, &valuation.outer) + axis.labels() +
           "</div></div>\n";
}

// ---- the stone as it was recorded

std::string fact(std::string_view name, const std::string& html) {
    return html.empty() ? html : fmt::format("<dt>{}</dt><dd>{}</dd>", name, html);
}

std::string listed(const std::optional<std::vector<std::string>>& words) {
    if (!words) {
        return {};
    }
    std::string text;
    for (const std::string& word : *words) {
        text += (text.empty() ? "" : ", ") + isolated(word);
    }
    return text.empty() ? "none known" : text;
}

std::string
facts(const Stone& stone, const valuation::Valuation& valuation, const pricing::Matrix& matrix) {
    return "<dl>" + fact("Weight", weight_text(valuation.weight)) +
           fact("Size", size_text(stone.dimensions_mm)) +
           fact("Treatments", listed(stone.treatments)) +
           fact("Cost", escaped(cost_text(stone, valuation, matrix))) +
           fact("Notes", stone.notes ? isolated(*stone.notes) : "") + "</dl>\n";
}

// ---- what has to be said beside the figures

std::string paragraphs(std::string_view name, const std::vector<std::string>& sentences) {
    std::string text;
    for (const std::string& sentence : sentences) {
        text += "<p>" + isolated(sentence) + "</p>\n";
    }
    return text.empty() ? text : fmt::format("<div class=\"{}\">{}</div>\n", name, text);
}

// Those that hold for this stone and not for every value by the matrix.
std::vector<std::string>
own_cautions(const Stone& stone, const weight::Weight& weight, const pricing::Matrix& matrix) {
    std::vector<std::string> all = cautions(stone, weight, matrix);
    const auto common = static_cast<std::ptrdiff_t>(cautions(matrix).size());
    return {all.begin() + common, all.end()};
}

std::string diagnostic(const Diagnostic& d) {
    std::string text = "<li><p>" + isolated(d.message) + " " + isolated(d.hint) + "</p>";
    std::string where = escaped(d.pointer);
    if (d.position) {
        where += fmt::format("{}line {}, column {}", where.empty() ? "" : ", ", d.position->line,
                             d.position->column);
    }
    return text +
           element("p", "aside",
                   fmt::format("{}{}{}", name_of(d.code), where.empty() ? "" : ", at ", where)) +
           "</li>";
}

std::string diagnostic_list(const Diagnostics& diagnostics) {
    std::string text = "<ul>";
    for (const Diagnostic& d : diagnostics) {
        text += diagnostic(d);
    }
    return text + "</ul>\n";
}

std::string simulation(const valuation::Valuation& valuation, const pricing::Matrix& matrix) {
    if (!valuation.simulation) {
        return {};
    }
    const valuation::Simulation& s = *valuation.simulation;
    const auto line = [&](std::string_view name, double low, double likely, double high, double u) {
        return fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td>"
                           "<td>{:.4f}</td></tr>\n",
                           name, exact_money(low, matrix), exact_money(likely, matrix),
                           exact_money(high, matrix), u);
    };
    const std::string table =
        fmt::format("<table><caption>{} trials, seed {}</caption>\n<thead><tr><th "
                    "scope=\"col\">Method</th><th scope=\"col\">Low</th><th "
                    "scope=\"col\">Likely</th><th scope=\"col\">High</th><th scope=\"col\">u of "
                    "ln</th></tr></thead>\n<tbody>\n",
                    s.trials, s.seed) +
        line("by the reasons (JCGM 100)", valuation.range.low, valuation.likely,
             valuation.range.high, valuation.u) +
        line("simulated (JCGM 101)", s.range.low, s.likely, s.range.high, s.u) +
        "</tbody></table>\n";
    return section("simulation", "Confirmed by simulation", table);
}

} // namespace

std::string html_valued(const Stone& stone,
                        const valuation::Valuation& valuation,
                        const pricing::Matrix& matrix,
                        const Diagnostics& warnings) {
    std::vector<std::string> straddles;
    for (const std::string& sentence : valuation.nomenclature.straddles) {
        straddles.push_back("Named for both: " + sentence);
    }
    std::string text = "<header>\n" + heading(stone.id, valuation.nomenclature.name) +
                       paragraphs("straddles", straddles) + headline(valuation, matrix) +
                       "</header>\n" +
                       paragraphs("cautions", own_cautions(stone, valuation.weight, matrix));
    if (!warnings.empty()) {
        text += section("warnings", "Warnings", diagnostic_list(warnings));
    }
    text += "<div class=\"columns\">\n<div>\n" +
            section("seen", "The stone", drawing_figure(stone) + facts(stone, valuation, matrix)) +
            section("faulty", "Faults", fault_list(stone));
    if (!valuation.budget.empty()) {
        text += section("wide", "What makes the range wide", budget_table(valuation.budget));
    }
    return text + "</div>\n<div>\n" +
           section("reckoned", "How it is reckoned", reasons_table(valuation, matrix)) +
           simulation(valuation, matrix) + "</div>\n</div>\n";
}

std::string html_refused(const std::optional<std::string>& id, const Diagnostics& diagnostics) {
    return "<header>\n" + heading(id, "refused, not valued") + "</header>\n" +
           section("warnings", "What is wrong, and how to mend it", diagnostic_list(diagnostics));
}

} // namespace trayworth::output
