// A year: stock is repriced once a year at the least (common practice, no source).
#include "pricing/dated.hpp"

#include "core/date.hpp"

#include <string>

namespace trayworth::pricing {
namespace {

// A 29 February of a year without one is the day after the 28th.
std::chrono::sys_days a_year_after(std::chrono::year_month_day date) {
    return std::chrono::sys_days{date + std::chrono::years{1}};
}

} // namespace

void check_date(const Matrix& matrix, std::chrono::year_month_day on, Diagnostics& diagnostics) {
    const std::optional<std::chrono::year_month_day> as_of = date_from(matrix.as_of);
    if (!as_of) {
        return; // a matrix that was read has a date
    }
    const std::chrono::sys_days day{on};
    const auto days = (day - std::chrono::sys_days{*as_of}).count();
    const auto counted = [](auto number) {
        return std::to_string(number) + (number == 1 ? " day" : " days");
    };
    const auto warn = [&](std::string message, std::string hint) {
        diagnostics.push_back(
            {Code::matrix_dated, Severity::warning, "/as_of", std::move(message), std::move(hint)});
    };
    if (days < 0) {
        warn("The matrix is as of " + matrix.as_of + ", " + counted(-days) +
                 " after the day that the values are for.",
             "Use the matrix that was in force on that day, or correct the day.");
    } else if (day > a_year_after(*as_of)) {
        warn("The matrix is as of " + matrix.as_of + ", " + counted(days) +
                 " before the day that the values are for.",
             "Go over its prices and bring \"as_of\" up to date.");
    }
}

} // namespace trayworth::pricing
