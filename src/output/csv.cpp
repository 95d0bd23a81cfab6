#include "output/csv.hpp"

#include "core/money.hpp"
#include "output/csv_row.hpp"
#include "output/statement.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::array<std::string_view, 25> columns{
    "id",        "name",           "weight_ct", "basis",    "low",          "likely",  "high",
    "outer_low", "outer_high",     "coverage",  "currency", "market_level", "matrix",  "as_of",
    "invented",  "purpose",        "warnings",  "error",    "message",      "pointer", "line",
    "column",    "converted_from", "rate",      "rate_date"};

// The row, with the columns that are left empty.
std::string line_of(CsvRow& row) {
    row.empty(columns.size() - row.filled());
    return row.line();
}

} // namespace

std::string csv_header() {
    CsvRow row;
    for (const std::string_view column : columns) {
        row.own(column);
    }
    return row.line();
}

std::string csv_valued(const Stone& stone,
                       const valuation::Valuation& valuation,
                       const pricing::Matrix& matrix,
                       const Diagnostics& warnings) {
    const auto money = [&matrix](double amount) {
        return plain(to_money(amount, matrix.currency));
    };
    std::string codes;
    for (const Diagnostic& warning : warnings) {
        codes += codes.empty() ? "" : " ";
        codes += name_of(warning.code);
    }
    CsvRow row;
    row.text(stone.id.value_or(""))
        .text(valuation.nomenclature.name)
        .own(fmt::format("{}", valuation.weight.ct.value))
        .own(name_of(valuation.weight.basis))
        .own(money(valuation.range.low))
        .own(money(valuation.likely))
        .own(money(valuation.range.high))
        .own(money(valuation.outer.low))
        .own(money(valuation.outer.high))
        .own(fmt::format("{}", matrix.coverage))
        .own(matrix.currency.code)
        .text(valuation.market_level)
        .text(matrix.name)
        .text(matrix.as_of)
        .own(matrix.invented ? "yes" : "no")
        .own(fmt::format("estimate for {}; not an appraisal", purpose))
        .own(codes);
    if (matrix.conversion) {
        constexpr auto before = std::find(columns.begin(), columns.end(), "converted_from") -
                                std::find(columns.begin(), columns.end(), "error");
        row.empty(static_cast<std::size_t>(before))
            .own(matrix.conversion->from.code)
            .own(fmt::format("{}", matrix.conversion->rate.figures.likely))
            .own(matrix.conversion->date);
    }
    return line_of(row);
}

std::string csv_refused(const std::optional<std::string>& id, const Diagnostics& diagnostics) {
    const auto error =
        std::find_if(diagnostics.begin(), diagnostics.end(), [](const Diagnostic& diagnostic) {
            return diagnostic.severity == Severity::error;
        });
    constexpr auto named = std::find(columns.begin(), columns.end(), "error");
    CsvRow row;
    row.text(id.value_or(""))
        .empty(static_cast<std::size_t>(named - columns.begin()) - 1)
        .own(name_of(error->code))
        .text(error->message)
        .text(error->pointer);
    if (error->position) {
        row.own(fmt::format("{}", error->position->line))
            .own(fmt::format("{}", error->position->column));
    }
    return line_of(row);
}

} // namespace trayworth::output
