#include "core/decimal.hpp"
#include "output/fit.hpp"
#include "output/text_parts.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// What an earlier fit's sentence, the last of a provenance, is known by.
constexpr std::string_view fitted_to = " Fitted to ";
constexpr std::string_view method = ": penalised least squares on the logarithm of the price with "
                                    "Huber weights, variances by restricted maximum likelihood. ";

std::string sales_words(const FitReport& report) {
    std::string text = counted(report.assessment.sales.size(), "sale");
    if (report.assessment.unsold > 0) {
        text += fmt::format(" and {} unsold", grouped(report.assessment.unsold));
    }
    return text + fmt::format(" of {} to {}", day_text(report.first), day_text(report.last));
}

} // namespace

std::string day_text(std::chrono::sys_days day) {
    const std::chrono::year_month_day date(day);
    return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

std::string share_text(double share) {
    return fmt::format("{:.1f} %", 100 * share);
}

std::string both_names(const fitting::Numbers& numbers, std::size_t a, std::size_t b) {
    return fmt::format("\"{}\" ({}) and \"{}\" ({})", numbers[a].name, numbers[a].table,
                       numbers[b].name, numbers[b].table);
}

std::vector<NamedTable> by_table(const fitting::Numbers& numbers,
                                 const std::vector<std::size_t>& indices) {
    std::vector<NamedTable> tables;
    for (const std::size_t i : indices) {
        if (tables.empty() || tables.back().table != numbers[i].table) {
            tables.push_back({numbers[i].table, {}});
        }
        tables.back().names.push_back(numbers[i].name);
    }
    return tables;
}

// An earlier fit's sentence gives way to this one's.
std::string provenance_of(const FitReport& report) {
    const fitting::Proposal& proposal = report.proposal;
    std::string text = report.matrix.provenance;
    if (const std::size_t by = text.find(method); by != std::string::npos) {
        text.resize(std::min(text.rfind(fitted_to, by), text.size()));
    }
    return text + fmt::format("{}{}{}{} changed; {} that no sale used and {} held at 1 are as they "
                              "were.",
                              fitted_to, sales_words(report), method,
                              counted(proposal.changes.size(), "number"), proposal.unsold.size(),
                              proposal.held.size());
}

std::vector<std::string> remarks_of(const FitReport& report) {
    const fitting::Proposal& proposal = report.proposal;
    const fitting::Estimate& estimate = proposal.estimate;
    std::vector<std::string> remarks;
    if (proposal.widening) {
        remarks.push_back(fmt::format(
            "So that {} of the sales lie inside, every [low, high] that sales used is {:.3g} times "
            "as wide in logarithms.",
            share_text(report.matrix.coverage), *proposal.widening));
    }
    if (proposal.half_width) {
        remarks.push_back(fmt::format(
            "The matrix states single numbers: so that {} of the sales lie inside, every price "
            "that "
            "sales used gets a [low, high], the price divided and multiplied by {:.3g}.",
            share_text(report.matrix.coverage), std::exp(*proposal.half_width)));
    }
    if (estimate.trend) {
        remarks.push_back(
            fmt::format("Prices move by {} a year (standard error {}); the matrix is as of {}.",
                        per_cent_text(estimate.trend->per_year),
                        share_text(estimate.trend->standard_error), day_text(estimate.reference)));
    }
    if (estimate.odd > 0) {
        remarks.push_back(fmt::format("{} of the sales {} far off and counted less than half.",
                                      estimate.odd, estimate.odd == 1 ? "is" : "are"));
    }
    for (const auto& [a, b] : estimate.together) {
        remarks.push_back(fmt::format("{} were sold together only, so no sale tells one from the "
                                      "other; they share what they owe.",
                                      both_names(report.numbers, a, b)));
    }
    if (!estimate.tied_tables.empty()) {
        remarks.push_back(fmt::format(
            "These tables can rise and fall against each other without any sale noticing: {}. How "
            "what they owe is shared among them is the present matrix's word, not the sales'.",
            fmt::join(estimate.tied_tables, "; ")));
    }
    if (!estimate.converged) {
        remarks.emplace_back("The estimate had not settled after its last round.");
    }
    return remarks;
}

} // namespace trayworth::output
