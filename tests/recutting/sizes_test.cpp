#include "recutting/placement.hpp"
#include "recutting/sizes.hpp"
#include "valuation/support.hpp"
#include "weight/calibrated.hpp"
#include "weight/shapes.hpp"

#include <cmath>
#include <numbers>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::recutting;
using namespace trayworth::test;
using weight::Outline;

namespace {

weight::Polygon polygon(Outline outline, double length, double width) {
    return weight::outline_polygon(outline, length, width, weight::outline_form(outline).value);
}

std::optional<Placement> placed(Outline outline, double length, double width, double a, double b) {
    const weight::Polygon edge = polygon(outline, length, width);
    return place_ellipse(edge, weight::centroid_of(edge), a, b);
}

Terms by_demonstration() {
    const pricing::Matrix& matrix = demonstration();
    return {matrix, *pricing::find(matrix.market_levels, matrix.market_level), 400, 1};
}

Sizes sizes_in(const Stone& stone, const Terms& terms) {
    Diagnostics diagnostics;
    const std::optional<Subject> now = subject_of(stone, terms, diagnostics);
    REQUIRE(now);
    CommonDraws draws(terms.trials, terms.seed);
    return calibrated_sizes_in(*now, terms, draws);
}

} // namespace

TEST_CASE("what fits, against what is known in closed form") {
    // An ellipse in an ellipse, both upright: when neither measure is larger.
    CHECK(placed(Outline::oval, 10.24, 8.12, 10, 8));
    CHECK(placed(Outline::oval, 10, 8, 10, 8));
    CHECK_FALSE(placed(Outline::oval, 10.24, 7.98, 10, 8));
    CHECK_FALSE(placed(Outline::oval, 9.98, 8.12, 10, 8));
    // Turned by a quarter it fits a box that was measured the other way round.
    CHECK(placed(Outline::oval, 8.12, 10.24, 10, 8)->turned == 90);
    // An ellipse of axes a and b at 45 degrees reaches sqrt((a^2 + b^2) / 8) to either side, which
    // in a square of side s is s / 2 at most.
    const double a = 12;
    const double b = std::sqrt(2 * 100.0 - a * a);
    CHECK(placed(Outline::square, 10, 10, a, b - 0.01)->turned == 45);
    CHECK_FALSE(placed(Outline::square, 10, 10, a, b + 0.01));
    // The inscribed circle of an isosceles triangle of base W and height L has the radius
    // area / half the perimeter.
    const weight::Polygon triangle = weight::outline_polygon(Outline::triangle, 12, 10, 0.5);
    const double radius = 60.0 / (5 + 13); // sides 13, 13, 10
    const weight::Point centroid = weight::centroid_of(triangle);
    CHECK(place_ellipse(triangle, centroid, 2 * radius - 0.01, 2 * radius - 0.01));
    CHECK_FALSE(place_ellipse(triangle, centroid, 2 * radius + 0.01, 2 * radius + 0.01));
    // In a pear a circle as wide as its head, about the head's centre.
    CHECK(placed(Outline::pear, 13, 9, 9, 9));
    CHECK_FALSE(placed(Outline::pear, 13, 9, 9.02, 9.02));
}

TEST_CASE("wherever an ellipse is placed, all of it is inside: by the shapes of another drawing") {
    int placements = 0;
    for (const Outline outline :
         {Outline::oval, Outline::round, Outline::cushion, Outline::square, Outline::rectangle,
          Outline::octagon, Outline::pear, Outline::marquise, Outline::heart}) {
        const double length = 14.3;
        const double width = outline == Outline::round || outline == Outline::square ? 14.3 : 11.2;
        const Shape shape = shape_of(outline, length, width, weight::outline_form(outline).value);
        for (const Outline target : {Outline::oval, Outline::round}) {
            for (const weight::CalibratedSize& size : weight::calibrated_sizes(target)) {
                const auto found = placed(outline, length, width, size.length, size.width);
                if (!found) {
                    continue;
                }
                ++placements;
                const double turned = found->turned * std::numbers::pi / 180;
                for (int i = 0; i < 360; ++i) {
                    // 0.2 % of leeway for the slack of the fit and the polygon's chords.
                    const double x = 0.998 * size.length / 2 * std::cos(i * std::numbers::pi / 180);
                    const double y = 0.998 * size.width / 2 * std::sin(i * std::numbers::pi / 180);
                    CAPTURE(static_cast<int>(outline));
                    CAPTURE(size.length);
                    CAPTURE(i);
                    REQUIRE(shape.inside(
                        found->centre.x + x * std::cos(turned) - y * std::sin(turned),
                        found->centre.y + x * std::sin(turned) + y * std::cos(turned)));
                }
            }
        }
    }
    CHECK(placements > 90);
}

TEST_CASE("the outline's polygon has the area of its closed form") {
    for (const std::string_view name : weight::outline_names) {
        const Outline outline = *weight::outline_from(name);
        if (outline == Outline::freeform) {
            continue; // a coefficient, not a curve
        }
        const Uncertain form = weight::outline_form(outline);
        for (const double f :
             {form.value - form.half_width(), form.value, form.value + form.half_width()}) {
            for (const auto& size : {std::pair(13.0, 9.0), {9.0, 13.0}, {10.0, 10.0}}) {
                const auto [length, width] = size;
                CAPTURE(name);
                CAPTURE(f);
                CAPTURE(size.first);
                const weight::Polygon edge =
                    weight::outline_polygon(outline, length, width, f, 1000);
                const auto [low, high] =
                    std::minmax_element(edge.begin(), edge.end(),
                                        [](weight::Point a, weight::Point b) { return a.y < b.y; });
                CHECK(high->y - low->y == doctest::Approx(width).epsilon(1e-9).scale(0));
                CHECK(weight::area_of(edge) ==
                      doctest::Approx(weight::outline_area(outline, length, width, f))
                          .epsilon(2e-5)
                          .scale(0));
            }
        }
    }
}

TEST_CASE("an oval recut to a smaller oval under its crown keeps its depth") {
    const Terms terms = by_demonstration();
    const Stone stone = stones_in("first-stone.json").front(); // 10.24 x 8.12 x 3.68, 1.86 ct
    const Sizes sizes = sizes_in(stone, terms);
    REQUIRE(sizes.measured);
    REQUIRE_FALSE(sizes.options.empty());
    const SizeOption& best = sizes.options.front();
    CHECK(best.length == 10);
    CHECK(best.width == 8);
    CHECK(best.outline == Outline::oval);
    CHECK(best.depth == doctest::Approx(3.68).epsilon(1e-9).scale(0));
    CHECK(std::hypot(best.placement.centre.x, best.placement.centre.y) < 1e-6);
    // Same heights over a smaller area: the weight goes with the area.
    CHECK(best.ct == doctest::Approx(1.86 * 80 / (10.24 * 8.12)).epsilon(1e-6).scale(0));
    for (const SizeOption& option : sizes.options) {
        CHECK(option.length <= 10.24);
        CHECK(option.width <= 8.12);
        CHECK(
            option.must_bring.likely ==
            doctest::Approx(value_of(stone, demonstration())->likely - option.value).epsilon(1e-6));
        CHECK(option.must_bring.low <= option.must_bring.likely);
        CHECK(option.must_bring.high >= option.must_bring.likely);
    }
    // Re-valued as a record of its own.
    Stone recut = stone;
    recut.dimensions_mm.length = reading(10, 0);
    recut.dimensions_mm.width = reading(8, 0);
    recut.dimensions_mm.wall.reset();
    recut.weight_ct = reading(best.ct, 0.005);
    CHECK(value_of(recut, demonstration())->likely ==
          doctest::Approx(best.value).epsilon(1e-6).scale(0));
}

TEST_CASE("off the crown the depth that remains is less") {
    const Terms terms = by_demonstration();
    Stone stone = stones_in("first-stone.json").front();
    stone.cut.outline = "pear";
    stone.dimensions_mm.length = reading(14, 0.02);
    stone.dimensions_mm.width = reading(8.2, 0.02);
    const Sizes sizes = sizes_in(stone, terms);
    REQUIRE_FALSE(sizes.options.empty());
    for (const SizeOption& option : sizes.options) {
        CHECK(option.depth <= 3.68 + 1e-9);
        CHECK(option.depth > 0.80); // the wall stays
        CHECK(option.ct < 1.86);
    }
    // An 8 mm round sits in the head, away from the centroid.
    const auto round = std::find_if(sizes.options.begin(), sizes.options.end(), [](const auto& o) {
        return o.outline == Outline::round && o.length == 8;
    });
    REQUIRE(round != sizes.options.end());
    CHECK(round->placement.centre.x > 1);
    CHECK(round->placement.centre.x < 1.5);
    // The highest dome over it that is nowhere above the old one, by another drawing of the pear.
    Shape pear = shape_of(Outline::pear, 14, 8.2, 0);
    pear.centre = weight::centroid_of(polygon(Outline::pear, 14, 8.2)).x;
    double part = 1;
    for (int ray = 0; ray < 48; ++ray) {
        const double angle = 2 * std::numbers::pi * ray / 48;
        for (int step = 0; step < 16; ++step) {
            const double r = step / 16.0;
            const double x = round->placement.centre.x + 4 * r * std::cos(angle) - pear.centre;
            const double y = 4 * r * std::sin(angle);
            const double gauge = std::hypot(x, y) / edge(pear, std::atan2(y, x), 20);
            part = std::min(part, std::sqrt((1 - gauge * gauge) / (1 - r * r)));
        }
    }
    CHECK(round->depth == doctest::Approx(0.80 + 2.88 * part).epsilon(1e-4).scale(0));
    CHECK(round->depth < 3.66);
}

TEST_CASE("a stone without measures has no sizes, a freeform is said to be taken for an ellipse") {
    const Terms terms = by_demonstration();
    Stone stone = stones_in("first-stone.json").front();
    stone.cut.outline = "freeform";
    CHECK(sizes_in(stone, terms).freeform);
    stone.dimensions_mm.length.reset();
    CHECK_FALSE(sizes_in(stone, terms).measured);
}
