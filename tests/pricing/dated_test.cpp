#include "pricing/dated.hpp"

#include <string>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace std::chrono_literals;

namespace {

std::string said(const std::string& as_of, std::chrono::year_month_day on) {
    pricing::Matrix matrix;
    matrix.as_of = as_of;
    Diagnostics found;
    pricing::check_date(matrix, on, found);
    if (found.empty()) {
        return {};
    }
    CHECK(found.size() == 1);
    CHECK(found[0].code == Code::matrix_dated);
    CHECK(found[0].severity == Severity::warning);
    CHECK(found[0].pointer == "/as_of");
    return found[0].message + " " + found[0].hint;
}

} // namespace

TEST_CASE("a matrix serves its day and the year after it") {
    CHECK(said("2025-11-01", 2025y / 11 / 1).empty());
    CHECK(said("2025-11-01", 2026y / 11 / 1).empty());
    CHECK(
        said("2025-11-01", 2026y / 11 / 2) ==
        "The matrix is as of 2025-11-01, 366 days before the day that the values are for. Go over "
        "its prices and bring \"as_of\" up to date.");
    CHECK(said("2025-11-01", 2025y / 10 / 31) ==
          "The matrix is as of 2025-11-01, 1 day after the day that the values are for. Use the "
          "matrix that was in force on that day, or correct the day.");
    CHECK(said("2024-02-29", 2025y / 3 / 1).empty());
    CHECK_FALSE(said("2024-02-29", 2025y / 3 / 2).empty());
}
