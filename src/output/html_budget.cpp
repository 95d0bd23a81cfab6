#include "output/html_budget.hpp"

#include "output/html_text.hpp"
#include "output/statement.hpp"

#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

std::string line(std::string_view source, double share) {
    const std::string percent = share < 0.005 ? "under 1 %" : fmt::format("{:.0f} %", 100 * share);
    return fmt::format(
        "<tr><th scope=\"row\"><div class=\"rung\"><div>{}</div><svg class=\"fall\" "
        "aria-hidden=\"true\"><rect class=\"share\" x=\"0\" y=\".67em\" width=\"{:.2f}%\" "
        "height=\".8em\"/></svg></div></th><td>{}</td></tr>\n",
        isolated(source), 100 * share, percent);
}

} // namespace

std::string budget_table(const std::vector<valuation::BudgetShare>& budget) {
    if (budget.empty()) {
        return {};
    }
    std::string text =
        "<table class=\"budget\"><caption>Shares of the variance: regrade or reweigh "
        "first what stands first.</caption>\n<thead><tr><th "
        "scope=\"col\">Source</th><th scope=\"col\">Share</th></tr></thead>\n"
        "<tbody>\n";
    double hidden = 0;
    for (const valuation::BudgetShare& share : budget) {
        if (share.share < least_share_shown) {
            hidden += share.share;
        } else {
            text += line(share.source, share.share);
        }
    }
    if (hidden > 0) {
        text += line("all others together", hidden);
    }
    return text + "</tbody></table>\n";
}

} // namespace trayworth::output
