#include "core/uncertain.hpp"

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using doctest::Approx;

TEST_CASE("coverage factors of the normal distribution, as the handbooks print them") {
    // JCGM 100:2008, table G.1, to its printed digits.
    struct Row {
        double coverage;
        double k;
        double last_digit;
    };
    const std::vector<Row> table{{0.6827, 1, 0.001}, {0.90, 1.645, 0.001}, {0.95, 1.960, 0.001},
                                 {0.9545, 2, 0.001}, {0.99, 2.576, 0.001}, {0.9973, 3, 0.001}};
    for (const Row& row : table) {
        CAPTURE(row.coverage);
        CHECK(std::abs(coverage_factor(row.coverage) - row.k) <= row.last_digit / 2);
    }
    // Normal quantiles to 16 digits, from memory.
    CHECK(coverage_factor(0.5) == Approx(0.6744897501960817).epsilon(1e-14).scale(0));
    CHECK(coverage_factor(0.8) == Approx(1.2815515655446004).epsilon(1e-14).scale(0));
    CHECK(coverage_factor(0.9) == Approx(1.6448536269514722).epsilon(1e-14).scale(0));
    CHECK(coverage_factor(0.95) == Approx(1.9599639845400545).epsilon(1e-14).scale(0));
    CHECK(coverage_factor(0.99) == Approx(2.5758293035489004).epsilon(1e-13).scale(0));
}

TEST_CASE("the coverage of the coverage factor is the coverage") {
    for (int percent = 1; percent <= 99; ++percent) {
        const double p = percent / 100.0;
        CAPTURE(p);
        CHECK(std::erf(coverage_factor(p) / std::sqrt(2.0)) == Approx(p).epsilon(1e-13).scale(0));
    }
}

TEST_CASE("rectangular limits: the example of JCGM 100, 4.3.7") {
    // Half-width 0.40e-6 per degree: u = 0.23e-6 (the guide's two digits).
    const Uncertain alpha = rectangular(16.52e-6 - 0.40e-6, 16.52e-6 + 0.40e-6);
    CHECK(alpha.value == Approx(16.52e-6).epsilon(1e-12).scale(0));
    CHECK(alpha.u == Approx(0.40e-6 / std::sqrt(3.0)).epsilon(1e-9).scale(0));
    CHECK(std::llround(alpha.u * 1e8) == 23);
    CHECK(alpha.half_width() == Approx(0.40e-6).epsilon(1e-9).scale(0));
    CHECK(alpha.distribution == Distribution::rectangular);
}

TEST_CASE("a display's last digit: JCGM 100, F.2.2.1") {
    // A resolution of 1 gives u = 0.29.
    const Uncertain shown = Reading{.low = 7, .high = 7, .resolution = 1}.uncertain();
    CHECK(shown.value == 7);
    CHECK(shown.u == Approx(1 / std::sqrt(12.0)).epsilon(1e-15).scale(0));
    CHECK(std::llround(shown.u * 100) == 29);
    CHECK(shown.distribution == Distribution::rectangular);
}

TEST_CASE("which uncertainty of a reading counts") {
    Reading reading{.low = 3.61, .high = 3.61, .resolution = 0.01};
    reading.standard_uncertainty = 0.005;
    CHECK(reading.uncertain().u == 0.005);
    CHECK(reading.uncertain().value == 3.61);
    CHECK(reading.uncertain().distribution == Distribution::normal);
    // Limits say more than a standard uncertainty beside them.
    reading.low = 3.59;
    reading.high = 3.63;
    CHECK(reading.uncertain().u == Approx(0.02 / std::sqrt(3.0)).epsilon(1e-12).scale(0));
    CHECK(reading.uncertain().distribution == Distribution::rectangular);
    CHECK(reading.middle() == Approx(3.61).epsilon(1e-15).scale(0));
}

TEST_CASE("the resolution is one unit of the last decimal that was written") {
    const std::vector<std::pair<std::string, double>> numbers{
        {"12", 1},       {"12.1", 0.1},   {"12.10", 0.01},  {"0.5", 0.1}, {"100", 1},
        {"1e2", 100},    {"1E+2", 100},   {"1.5e-3", 1e-4}, {"0.1e1", 1}, {"12.345e2", 0.1},
        {"-3.20", 0.01}, {"1.500e+3", 1}, {"2.", 1}};
    for (const auto& number : numbers) {
        CAPTURE(number.first);
        CHECK(resolution_of(number.first) == Approx(number.second).epsilon(1e-14).scale(0));
    }
}

TEST_CASE("a number or two from the command line") {
    const std::optional<Reading> one = reading_from("12.10");
    REQUIRE(one);
    CHECK(one->low == 12.1);
    CHECK(one->high == 12.1);
    CHECK(one->resolution == Approx(0.01).epsilon(1e-12).scale(0));
    CHECK_FALSE(one->standard_uncertainty);

    const std::optional<Reading> two = reading_from("2.06-2.14");
    REQUIRE(two);
    CHECK(two->low == 2.06);
    CHECK(two->high == 2.14);
    CHECK(two->uncertain().value == Approx(2.10).epsilon(1e-12).scale(0));
    CHECK(reading_from("2-2"));

    for (const char* text : {"", "0", "-1", "-", "2-", "-2", "2.14-2.06", "1-2-3", "1,5", "1e5",
                             "0x10", "nan", "inf", "1-inf", " 1", "1 ", "1mm", "+1", "0-1"}) {
        CAPTURE(text);
        CHECK_FALSE(reading_from(text));
    }
}
