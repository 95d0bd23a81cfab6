#include "core/date.hpp"

#include <doctest/doctest.h>

using namespace trayworth;
using namespace std::chrono_literals;

TEST_CASE("dates of the Gregorian calendar, as ISO 8601 writes them") {
    CHECK(date_from("2026-11-01") == 2026y / 11 / 1);
    // ISO 8601-1:2019, 4.2.1: a centurial year is a leap year when it divides by four hundred.
    CHECK(date_from("2000-02-29").has_value());
    CHECK(date_from("2024-02-29").has_value());
    for (const std::string_view none :
         {"1900-02-29", "2026-02-29", "2026-13-01", "2026-00-01", "2026-04-31", "2026-01-00", "",
          "2026-1-01", "2026-11-1", "20261101", "2026/11/01", "2026-11-01T00:00", " 2026-11-01",
          "yyyy-mm-dd", "-026-11-01", "2026-+1-01"}) {
        CAPTURE(none);
        CHECK_FALSE(date_from(none).has_value());
    }
}
