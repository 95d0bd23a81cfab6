// Brightness between the scales in use. They are those that sellers state in print: 1 to 7 with 1
// the brightest, 1 to 5 either way round, and 0 to 5 with 0 for no play-of-colour, which has five
// grades above it and is the 1 to 5 scale again.
#include "core/grades.hpp"

#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using doctest::Approx;

namespace {

constexpr BrightnessScale seven_down{7, 1};
constexpr BrightnessScale five_down{5, 1};
constexpr BrightnessScale five_up{5, 5};

// One look, as each of the scales grades it; written out by hand from its relative position.
struct Look {
    double sevenths; // on seven_down
    double down;     // on five_down
    double up;       // on five_up
};
const std::vector<Look> looks{
    {7, 5, 1},              // dimmest
    {6, 13.0 / 3, 5.0 / 3}, // a sixth of the way
    {5.5, 4, 2},            // a quarter
    {5, 11.0 / 3, 7.0 / 3}, // a third
    {4, 3, 3},              // half
    {3, 7.0 / 3, 11.0 / 3}, // two thirds
    {2.5, 2, 4},            // three quarters
    {2, 5.0 / 3, 13.0 / 3}, // five sixths
    {1, 1, 5},              // brightest
};

} // namespace

TEST_CASE("one look on every pair of scales, both ways") {
    for (const Look& look : looks) {
        struct Graded {
            BrightnessScale scale;
            double grade;
        };
        const std::vector<Graded> graded{
            {seven_down, look.sevenths}, {five_down, look.down}, {five_up, look.up}};
        for (const Graded& from : graded) {
            for (const Graded& to : graded) {
                CAPTURE(from.scale.steps);
                CAPTURE(from.scale.brightest);
                CAPTURE(to.scale.steps);
                CAPTURE(to.scale.brightest);
                CAPTURE(from.grade);
                CHECK(map_brightness(from.grade, from.scale, to.scale) ==
                      Approx(to.grade).epsilon(1e-15).scale(0));
            }
        }
    }
}

TEST_CASE("the same 2 is brilliant to one seller and subdued to another") {
    CHECK(map_brightness(2, five_down, five_up) == 4);
    CHECK(map_brightness(2, five_up, five_up) == 2);
    CHECK(map_brightness(2, seven_down, five_up) > 4.3);
}

TEST_CASE("as many steps the other way round, and any scale onto itself, are exact") {
    for (int steps = fewest_brightness_steps; steps <= most_brightness_steps; ++steps) {
        const BrightnessScale up{steps, steps};
        const BrightnessScale down{steps, 1};
        for (int half = 2; half <= 2 * steps; ++half) {
            const double grade = half / 2.0;
            CAPTURE(steps);
            CAPTURE(grade);
            REQUIRE(map_brightness(grade, up, up) == grade);
            REQUIRE(map_brightness(grade, down, down) == grade);
            REQUIRE(map_brightness(grade, down, up) == steps + 1 - grade);
            REQUIRE(map_brightness(grade, up, down) == steps + 1 - grade);
        }
    }
}

TEST_CASE("ends map to ends whatever the steps") {
    for (int from = 2; from <= most_brightness_steps; ++from) {
        for (int to = 2; to <= most_brightness_steps; ++to) {
            REQUIRE(map_brightness(1, {from, 1}, {to, to}) == to);
            REQUIRE(map_brightness(from, {from, 1}, {to, to}) == 1);
            REQUIRE(map_brightness(from, {from, from}, {to, 1}) == 1);
            REQUIRE(map_brightness(1, {from, from}, {to, 1}) == to);
        }
    }
}

TEST_CASE("names of tones, types and transparencies are read and written alike") {
    for (int tone = darkest_tone; tone <= lightest_tone; ++tone) {
        CHECK(tone_from(tone_name(tone)) == tone);
    }
    CHECK_FALSE(tone_from("N0"));
    CHECK_FALSE(tone_from("N10"));
    CHECK_FALSE(tone_from("n1"));
    for (const auto& type : stone_types) {
        CHECK(name_of(type.value) == type.name);
    }
    for (const auto& transparency : transparencies) {
        CHECK(name_of(transparency.value) == transparency.name);
    }
}

TEST_CASE("what is natural and what is assembled") {
    // Gemmological Association of Australia, 1997: types 1 to 3 are natural; composites, synthetics
    // and imitations are classes apart.
    using enum StoneType;
    for (const StoneType type : {solid, boulder, matrix}) {
        CHECK(is_natural(type));
        CHECK_FALSE(is_composite(type));
    }
    for (const StoneType type : {doublet, triplet, mosaic}) {
        CHECK_FALSE(is_natural(type));
        CHECK(is_composite(type));
    }
    for (const StoneType type : {synthetic, imitation}) {
        CHECK_FALSE(is_natural(type));
        CHECK_FALSE(is_composite(type));
    }
}
