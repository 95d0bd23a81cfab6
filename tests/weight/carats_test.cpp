#include "weight/carats.hpp"

#include <doctest/doctest.h>

using trayworth::Carat;
using namespace trayworth::weight;

TEST_CASE("the rounding rule's published examples") {
    // GIA's rule for diamonds; the examples are the French gem laboratory's, from opal reports.
    CHECK(rounded_points(Carat{0.9989}) == 99);
    CHECK(rounded_points(Carat{1.768}) == 176);
    CHECK(rounded_points(Carat{1.769}) == 177);
    CHECK(carats_text(Carat{0.9989}) == "0.99");
    CHECK(carats_text(Carat{1.768}) == "1.76");
    CHECK(carats_text(Carat{1.769}) == "1.77");
}

TEST_CASE(
    "every third decimal from 0 to 8 is dropped and 9 rounds up, whatever binary makes of it") {
    // Each decimal as its nearest double, up to 200 ct.
    for (int thousandths = 0; thousandths < 200000; ++thousandths) {
        const double weight = thousandths / 1000.0;
        const int expected = thousandths / 10 + (thousandths % 10 == 9 ? 1 : 0);
        CAPTURE(weight);
        REQUIRE(rounded_points(Carat{weight}) == expected);
    }
}

TEST_CASE("what lies between thousandths is dropped too") {
    CHECK(rounded_points(Carat{1.7689}) == 176);
    CHECK(rounded_points(Carat{1.7699}) == 177);
    CHECK(rounded_points(Carat{0.0089}) == 0);
    CHECK(rounded_points(Carat{0.999}) == 100);
}

TEST_CASE("carats as text have two decimals") {
    CHECK(carats_text(Carat{3.61}) == "3.61");
    CHECK(carats_text(Carat{0}) == "0.00");
    CHECK(carats_text(Carat{0.05}) == "0.05");
    CHECK(carats_text(Carat{12}) == "12.00");
    CHECK(carats_text(Carat{1234567.809}) == "1234567.81");
    CHECK(points_text(7) == "0.07");
}
