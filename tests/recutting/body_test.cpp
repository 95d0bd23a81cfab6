#include "recutting/body.hpp"
#include "valuation/support.hpp"
#include "weight/shapes.hpp"
#include "weight/weigh.hpp"

#include <cmath>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::recutting;
using namespace trayworth::test;

namespace {

Stone measured(std::string_view outline, std::string_view back = "") {
    Stone stone;
    stone.cut.outline = std::string(outline);
    if (!back.empty()) {
        stone.cut.back = std::string(back);
    }
    stone.density = reading(2.1, 0);
    Dimensions& mm = stone.dimensions_mm;
    mm.length = reading(12.4, 0.02);
    mm.width = reading(outline == "round" || outline == "square" ? 12.4 : 9.1, 0.02);
    mm.depth = reading(4.3, 0.02);
    return stone;
}

double estimated_volume(const Stone& stone) {
    Diagnostics diagnostics;
    const std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
    REQUIRE(weight);
    REQUIRE(weight->estimate);
    return weight->estimate->volume.value;
}

Body body(const Stone& stone) {
    const std::optional<Measures> measures = measures_of(stone);
    REQUIRE(measures);
    return body_of(*measures);
}

} // namespace

TEST_CASE("a body has the volume that the weight model gives the stone, whatever is known of it") {
    for (const std::string_view outline : weight::outline_names) {
        for (const std::string_view back : {"", "flat", "convex", "double"}) {
            CAPTURE(outline);
            CAPTURE(back);
            const Stone only_depth = measured(outline, back);
            Stone wall = only_depth;
            wall.dimensions_mm.wall = reading(1.1, 0.02);
            Stone dome = only_depth;
            dome.dimensions_mm.dome = reading(2.9, 0.02);
            Stone dome_word = only_depth;
            dome_word.cut.dome = word("medium");
            std::vector<Stone> stones{only_depth, wall, dome, dome_word};
            if (back != "flat") {
                Stone back_height = only_depth;
                back_height.dimensions_mm.back = reading(0.7, 0.02);
                Stone parts = back_height;
                parts.dimensions_mm.dome = reading(2.5, 0.02);
                Stone all = parts;
                all.dimensions_mm.wall = reading(1.1, 0.02);
                stones.insert(stones.end(), {back_height, parts, all});
            }
            for (const Stone& stone : stones) {
                const Body found = body(stone);
                CHECK(found.volume() ==
                      doctest::Approx(estimated_volume(stone)).epsilon(1e-12).scale(0));
                CHECK(found.depth() == doctest::Approx(4.3).epsilon(1e-12).scale(0));
                CHECK(found.wall >= 0);
                CHECK(found.dome > 0);
            }
        }
    }
}

TEST_CASE("a measured area counts, and shrinks with the outline") {
    Stone stone = measured("oval", "flat");
    stone.cut.area_mm2 = reading(80, 0.1);
    const Body whole = body(stone);
    CHECK(whole.area() == doctest::Approx(80).epsilon(1e-12).scale(0));
    CHECK(whole.volume() == doctest::Approx(estimated_volume(stone)).epsilon(1e-12).scale(0));
    const Body less = taken_off(whole, Way::outline, 0.5);
    CHECK(less.area() == doctest::Approx(80 * (11.4 * 8.1) / (12.4 * 9.1)).epsilon(1e-12).scale(0));
}

TEST_CASE("off a flat back goes area times depth while there is a wall") {
    Stone stone = measured("pear", "flat");
    stone.dimensions_mm.wall = reading(1.2, 0);
    const Body whole = body(stone);
    for (const double mm : {0.1, 0.5, 1.2}) {
        const Body less = taken_off(whole, Way::back, mm);
        CHECK(whole.volume() - less.volume() ==
              doctest::Approx(whole.area() * mm).epsilon(1e-12).scale(0));
        CHECK(less.depth() == doctest::Approx(4.3 - mm).epsilon(1e-12).scale(0));
        CHECK(less.length == whole.length);
    }
}

// Past the wall the back goes into the dome: the volume above the cut is integrated here over the
// heights of z = h sqrt(1 - r^2), whose section at z has the area A (1 - (z / h)^2).
TEST_CASE("past the wall, what is left is the dome above the cut") {
    Stone stone = measured("cushion", "flat");
    stone.dimensions_mm.wall = reading(1.0, 0);
    const Body whole = body(stone);
    for (const double into_dome : {0.2, 1.0, 2.5, 3.2}) {
        CAPTURE(into_dome);
        const Body less = taken_off(whole, Way::back, 1.0 + into_dome);
        const double above = integral(
            [&](double z) { return whole.area() * (1 - (z / 3.3) * (z / 3.3)); }, into_dome, 3.3);
        CHECK(less.volume() == doctest::Approx(above).epsilon(1e-8).scale(0));
        CHECK(less.area() == doctest::Approx(whole.area() * (1 - into_dome * into_dome / 3.3 / 3.3))
                                 .epsilon(1e-9)
                                 .scale(0));
        CHECK(less.depth() == doctest::Approx(3.3 - into_dome).epsilon(1e-9).scale(0));
    }
    CHECK(most(whole, Way::back) < 4.3);
    CHECK(taken_off(whole, Way::back, most(whole, Way::back)).volume() > 0);
}

TEST_CASE("a convex back goes first, the dome alone when it goes off the face") {
    Stone stone = measured("oval", "convex");
    stone.dimensions_mm.dome = reading(2.4, 0);
    stone.dimensions_mm.back = reading(0.9, 0);
    const Body whole = body(stone);
    CHECK(whole.wall == doctest::Approx(1.0).epsilon(1e-12));
    const Body back = taken_off(whole, Way::back, 0.6);
    CHECK(back.back == doctest::Approx(0.3).epsilon(1e-12));
    CHECK(back.wall == whole.wall);
    const Body wall = taken_off(whole, Way::back, 1.4);
    CHECK(wall.back == 0);
    CHECK(wall.wall == doctest::Approx(0.5).epsilon(1e-12));
    const Body face = taken_off(whole, Way::face, 0.6);
    CHECK(face.dome == doctest::Approx(1.8).epsilon(1e-12));
    CHECK(whole.volume() - face.volume() ==
          doctest::Approx(2.0 / 3.0 * whole.area() * 0.6).epsilon(1e-12).scale(0));
}

TEST_CASE("the record of what is left has its measures and its part of the scale's weight") {
    Stone stone = measured("oval", "flat");
    stone.dimensions_mm.wall = reading(1.2, 0.02);
    stone.weight_ct = reading(3.5, 0.004);
    const Body whole = body(stone);
    const Body less = taken_off(whole, Way::back, 0.4);
    const Stone left = record_of(stone, stone.weight_ct->uncertain(), whole, less);
    const double ratio = less.volume() / whole.volume();
    CHECK(left.weight_ct->middle() == doctest::Approx(3.5 * ratio).epsilon(1e-12).scale(0));
    CHECK(*left.weight_ct->standard_uncertainty ==
          doctest::Approx(0.004 * ratio).epsilon(1e-12).scale(0));
    CHECK(left.dimensions_mm.depth->middle() == doctest::Approx(3.9).epsilon(1e-12).scale(0));
    CHECK(left.dimensions_mm.wall->middle() == doctest::Approx(0.8).epsilon(1e-12).scale(0));
    CHECK(left.dimensions_mm.length->middle() == 12.4);
    // The weight model itself finds the same proportion.
    CHECK(estimated_volume(left) / estimated_volume(stone) ==
          doctest::Approx(ratio).epsilon(1e-9).scale(0));
}

TEST_CASE("no body without an outline, or a measure") {
    CHECK_FALSE(measures_of(Stone{}));
    Stone stone = measured("oval");
    stone.dimensions_mm.depth.reset();
    CHECK_FALSE(measures_of(stone));
    stone = measured("trillion");
    CHECK_FALSE(measures_of(stone));
    stone = measured("oval");
    stone.dimensions_mm.width.reset();
    CHECK_FALSE(measures_of(stone));
    stone = measured("round");
    stone.dimensions_mm.width.reset();
    CHECK(measures_of(stone));
}
