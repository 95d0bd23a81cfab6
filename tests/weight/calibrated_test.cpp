#include "weight/calibrated.hpp"

#include <array>
#include <utility>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::weight;
using doctest::Approx;

namespace {

CalibratedFit fit(Outline outline, double length, double width, double ct) {
    const auto found =
        nearest_calibrated(outline, Millimetre{length}, Millimetre{width}, Carat{ct});
    REQUIRE(found);
    return *found;
}

} // namespace

TEST_CASE("every calibrated oval is its own nearest size and fits") {
    // Common practice, no source.
    constexpr std::array<std::pair<double, double>, 15> sizes{{{6, 4},
                                                               {7, 5},
                                                               {8, 6},
                                                               {9, 7},
                                                               {10, 8},
                                                               {11, 9},
                                                               {12, 10},
                                                               {14, 10},
                                                               {14, 12},
                                                               {16, 12},
                                                               {18, 13},
                                                               {20, 15},
                                                               {25, 18},
                                                               {30, 22},
                                                               {40, 30}}};
    for (const auto& [length, width] : sizes) {
        const CalibratedFit exact = fit(Outline::oval, length, width, 2);
        CHECK(exact.length.value == length);
        CHECK(exact.width.value == width);
        CHECK(exact.length_off.value == 0);
        CHECK(exact.fits);
    }
}

TEST_CASE(
    "tolerance is 0.1 mm under 1 ct and 0.2 mm from there (International Gem Society chart)") {
    CHECK(fit(Outline::oval, 8.1, 6, 0.99).fits);
    CHECK_FALSE(fit(Outline::oval, 8.15, 6, 0.99).fits);
    CHECK(fit(Outline::oval, 8.15, 6, 1.0).fits);
    CHECK(fit(Outline::oval, 12.2, 9.8, 3).fits);
    CHECK_FALSE(fit(Outline::oval, 12.21, 10, 3).fits);
    CHECK_FALSE(fit(Outline::oval, 12, 9.79, 3).fits);
    // In binary 6 - 5.8 is a little more than 0.2, and 4 - 3.9 than 0.1.
    CHECK(fit(Outline::oval, 8, 5.8, 2).fits);
    CHECK(fit(Outline::oval, 6, 3.9, 0.5).fits);
    CHECK(fit(Outline::oval, 12, 10, 0.5).tolerance.value == 0.1);
    CHECK(fit(Outline::oval, 12, 10, 5).tolerance.value == 0.2);
}

TEST_CASE("how far off, in each direction, with its sign") {
    const CalibratedFit f = fit(Outline::oval, 12.6, 9.9, 3.61);
    CHECK(f.length.value == 12);
    CHECK(f.width.value == 10);
    CHECK(f.length_off.value == Approx(0.6).epsilon(1e-9));
    CHECK(f.width_off.value == Approx(-0.1).epsilon(1e-9));
    CHECK_FALSE(f.fits);
    // Given the other way round it is the same stone.
    CHECK(fit(Outline::oval, 9.9, 12.6, 3.61).length_off.value == f.length_off.value);
}

TEST_CASE("rounds by their diameter, out of round in either direction") {
    const CalibratedFit f = fit(Outline::round, 11.98, 12.06, 6.45);
    CHECK(f.length.value == 12);
    CHECK(f.fits);
    CHECK_FALSE(fit(Outline::round, 12.5, 12.5, 7).fits);
    CHECK(fit(Outline::round, 17.2, 17.2, 15).length.value == 18);
}

TEST_CASE("no calibrated sizes are known for other outlines") {
    for (std::size_t i = 0; i < outline_names.size(); ++i) {
        const auto outline = static_cast<Outline>(i);
        const bool listed = outline == Outline::round || outline == Outline::oval;
        CHECK(nearest_calibrated(outline, Millimetre{8}, Millimetre{6}, Carat{1}).has_value() ==
              listed);
    }
}

TEST_CASE("a stone's own measures are looked up, and none is made up") {
    Stone stone;
    stone.cut.outline = "oval";
    stone.dimensions_mm.length = Reading{8.05, 8.05, 0.01, {}};
    CHECK_FALSE(nearest_calibrated(stone, Carat{0.8})); // the width of an oval is not its length
    stone.dimensions_mm.width = Reading{6.03, 6.03, 0.01, {}};
    const auto oval = nearest_calibrated(stone, Carat{0.8});
    REQUIRE(oval);
    CHECK(oval->length.value == 8);
    CHECK(oval->width.value == 6);
    stone.cut.outline = "round";
    stone.dimensions_mm.width.reset();
    const auto round = nearest_calibrated(stone, Carat{0.8});
    REQUIRE(round);
    CHECK(round->width.value == 8);
    stone.cut.outline = "shield";
    CHECK_FALSE(nearest_calibrated(stone, Carat{0.8}));
    stone.cut.outline.reset();
    CHECK_FALSE(nearest_calibrated(stone, Carat{0.8}));
}
