#include "output/csv.hpp"

#include "core/csv_field.hpp"
#include "core/money.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::array<std::string_view, 22> columns{
    "id",      "name",      "weight_ct",  "basis",    "low",      "likely",
    "high",    "outer_low", "outer_high", "coverage", "currency", "market_level",
    "matrix",  "as_of",     "invented",   "purpose",  "warnings", "error",
    "message", "pointer",   "line",       "column"};

// An apostrophe where a cell would begin with a formula: in front, and after a semicolon, which
// parts the cells where a comma is the decimal sign.
std::string without_formulas(std::string_view text) {
    std::string result(opens_formula(text) ? "'" : "");
    for (std::size_t i = 0; i < text.size(); ++i) {
        result += text[i];
        if (text[i] == ';' && opens_formula(text.substr(i + 1))) {
            result += '\'';
        }
    }
    return result;
}

// A row, filled column by column. Those that are left are empty.
class Row {
public:
    // Of the program's own making: a number, a word.
    Row& own(std::string_view field) {
        row_ += first_ ? "" : ",";
        row_ += csv_field(field);
        first_ = false;
        ++filled_;
        return *this;
    }
    // From a record or a matrix.
    Row& text(std::string_view field) { return own(without_formulas(safe(field))); }
    Row& empty(std::size_t fields) {
        for (std::size_t i = 0; i < fields; ++i) {
            own("");
        }
        return *this;
    }
    std::string line() {
        empty(columns.size() - filled_);
        return row_ + "\r\n";
    }

private:
    std::string row_;
    std::size_t filled_ = 0;
    bool first_ = true;
};

} // namespace

std::string csv_text(std::string_view text) {
    return csv_field(without_formulas(safe(text)));
}

std::string csv_header() {
    Row row;
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
    return Row()
        .text(stone.id.value_or(""))
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
        .own(codes)
        .line();
}

std::string csv_refused(const std::optional<std::string>& id, const Diagnostics& diagnostics) {
    const auto error =
        std::find_if(diagnostics.begin(), diagnostics.end(), [](const Diagnostic& diagnostic) {
            return diagnostic.severity == Severity::error;
        });
    constexpr auto named = std::find(columns.begin(), columns.end(), "error");
    Row row;
    row.text(id.value_or(""))
        .empty(static_cast<std::size_t>(named - columns.begin()) - 1)
        .own(name_of(error->code))
        .text(error->message)
        .text(error->pointer);
    if (error->position) {
        row.own(fmt::format("{}", error->position->line))
            .own(fmt::format("{}", error->position->column));
    }
    return row.line();
}

} // namespace trayworth::output
