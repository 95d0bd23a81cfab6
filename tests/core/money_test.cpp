#include "core/money.hpp"

#include <cmath>
#include <cstdlib>
#include <string>

#include <doctest/doctest.h>

using namespace trayworth;

namespace {

Currency currency(std::string_view code) {
    const std::optional<Currency> found = currency_from(code);
    REQUIRE(found);
    return *found;
}

std::string written(double amount, std::string_view code) {
    return plain(to_money(amount, currency(code)));
}

} // namespace

TEST_CASE("minor units of ISO 4217") {
    // The list of active codes, from memory.
    for (const char* code : {"JPY", "KRW", "VND", "CLP", "ISK", "XPF"}) {
        CAPTURE(code);
        CHECK(currency(code).minor_digits == 0);
    }
    for (const char* code : {"AUD", "USD", "EUR", "GBP", "INR", "THB", "ZAR", "MXN", "HKD"}) {
        CAPTURE(code);
        CHECK(currency(code).minor_digits == 2);
    }
    for (const char* code : {"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"}) {
        CAPTURE(code);
        CHECK(currency(code).minor_digits == 3);
    }
    CHECK(currency("AUD").code == "AUD");
}

TEST_CASE("what is no active code is no currency") {
    // Withdrawn (DEM, NLG, HRK), a metal, a code for tests, and slips of the pen.
    for (const char* code : {"", "aud", "AU", "AUDS", "AU$", "DEM", "NLG", "HRK", "XAU", "XTS",
                             "XXX", "ZZZ", "\xc2\xa3"}) {
        CAPTURE(code);
        CHECK_FALSE(currency_from(code));
    }
}

TEST_CASE("an amount becomes money to the nearest minor unit") {
    CHECK(written(1630.5, "AUD") == "1630.50");
    CHECK(written(1630.5, "JPY") == "1631");
    CHECK(written(1630.5, "KWD") == "1630.500");
    CHECK(written(0.004, "AUD") == "0.00");
    CHECK(written(0.005, "AUD") == "0.01");
    CHECK(written(0.4999, "JPY") == "0");
    CHECK(written(0.0005, "TND") == "0.001");
    CHECK(written(-0.004, "AUD") == "0.00"); // no minus before nothing
    CHECK(written(7.0 / 3, "AUD") == "2.33");
    CHECK(written(7.0 / 3, "BHD") == "2.333");
}

TEST_CASE("halves go away from zero, whatever binary makes of them") {
    // The usual traps: none of these has an exact binary form.
    CHECK(written(2.675, "AUD") == "2.68");
    CHECK(written(1.005, "AUD") == "1.01");
    CHECK(written(-2.675, "AUD") == "-2.68");
    CHECK(written(0.285, "AUD") == "0.29");
    // Every half up to 1 000.00, as its nearest double, both signs.
    const Currency cents = currency("AUD");
    const Currency mils = currency("KWD");
    for (std::int64_t unit = 0; unit < 100'000; ++unit) {
        const double half = static_cast<double>(10 * unit + 5) / 1000;
        CAPTURE(half);
        REQUIRE(to_money(half, cents).minor == unit + 1);
        REQUIRE(to_money(-half, cents).minor == -(unit + 1));
        REQUIRE(to_money(static_cast<double>(10 * unit + 5) / 10000, mils).minor == unit + 1);
    }
    // A little less than a half is no half.
    for (std::int64_t unit = 0; unit < 100'000; ++unit) {
        const double less = (static_cast<double>(10 * unit + 5) - 1e-6) / 1000;
        CAPTURE(less);
        REQUIRE(to_money(less, cents).minor == unit);
    }
}

TEST_CASE("large amounts keep their minor units") {
    CHECK(written(largest_amount, "AUD") == "1000000000000.00");
    CHECK(written(-largest_amount, "KWD") == "-1000000000000.000");
    CHECK(written(999999999999.99, "AUD") == "999999999999.99");
    CHECK(written(999999999999.999, "KWD") == "999999999999.999");
}

TEST_CASE("an amount that no money holds becomes the largest, and can be rounded") {
    CHECK(to_money(1e300, currency("AUD")).minor >= 9'200'000'000'000'000'000);
    CHECK(to_money(-1e300, currency("KWD")).minor <= -9'200'000'000'000'000'000);
    CHECK(plain(to_nearest(to_money(1e300, currency("KWD")), 1e9)) == "9200000000000000.000");
}

TEST_CASE("money to the nearest step, halves away from zero") {
    const auto stepped = [](double amount, double step, std::string_view code = "AUD") {
        return plain(to_nearest(to_money(amount, currency(code)), step));
    };
    CHECK(stepped(1632.49, 5) == "1630.00");
    CHECK(stepped(1632.50, 5) == "1635.00");
    CHECK(stepped(-1632.49, 5) == "-1630.00");
    CHECK(stepped(-1632.50, 5) == "-1635.00");
    CHECK(stepped(1630, 5) == "1630.00");
    CHECK(stepped(24.99, 50) == "0.00");
    CHECK(stepped(25, 50) == "50.00");
    CHECK(stepped(-25, 50) == "-50.00");
    // The Swiss and the Australian five-cent coin.
    CHECK(stepped(1.02, 0.05, "CHF") == "1.00");
    CHECK(stepped(1.03, 0.05, "CHF") == "1.05");
    CHECK(stepped(-1.03, 0.05, "CHF") == "-1.05");
    CHECK(stepped(1250, 500, "JPY") == "1500");
    CHECK(stepped(1249, 500, "JPY") == "1000");
    CHECK(stepped(1.2345, 0.005, "KWD") == "1.235");
    // A step finer than the minor unit is the minor unit.
    CHECK(stepped(12.34, 0.001) == "12.34");
}

TEST_CASE("every step of 3 minor units is the nearest multiple") {
    for (int minor = -100; minor <= 100; ++minor) {
        const std::int64_t found = to_nearest(Money{minor, 2}, 0.03).minor;
        CAPTURE(minor);
        CHECK(found % 3 == 0);
        CHECK(std::abs(found - minor) <= 1);
    }
}

TEST_CASE("digits are grouped in threes before the point") {
    CHECK(grouped({0, 2}) == "0.00");
    CHECK(grouped({5, 2}) == "0.05");
    CHECK(grouped({-5, 2}) == "-0.05");
    CHECK(grouped({99999, 2}) == "999.99");
    CHECK(grouped({100000, 2}) == "1,000.00");
    CHECK(grouped({-100000, 2}) == "-1,000.00");
    CHECK(grouped({-99999, 2}) == "-999.99");
    CHECK(grouped({123456789, 2}) == "1,234,567.89");
    CHECK(grouped({123456789, 0}) == "123,456,789");
    CHECK(grouped({123456789, 3}) == "123,456.789");
    CHECK(grouped({100000000000000, 2}) == "1,000,000,000,000.00");
}

TEST_CASE("whole amounts are shown whole on request, others are not cut") {
    CHECK(grouped({163000, 2}, true) == "1,630");
    CHECK(grouped({163050, 2}, true) == "1,630.50");
    CHECK(grouped({163001, 2}, true) == "1,630.01");
    CHECK(grouped({0, 2}, true) == "0");
    CHECK(grouped({163000, 0}, true) == "163,000");
    CHECK(grouped({163000, 3}, true) == "163");
    CHECK(plain({163000, 2}) == "1630.00");
    CHECK(plain({7, 3}) == "0.007");
}
