// Areas in closed form against numerical integration from the curves themselves, and against
// figures that need no integration.
#include "near.hpp"
#include "shapes.hpp"
#include "weight/outline.hpp"
#include "weight/outline_curve.hpp"

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::weight;
using doctest::Approx;
using std::numbers::pi;
using test::near;

namespace {

struct Case {
    Outline outline;
    double length;
    double width;
    double form;
};

const double reuleaux = (pi - std::numbers::sqrt3) / 2;

const std::vector<Case> cases{
    {Outline::round, 12, 12, 0},
    {Outline::oval, 12.1, 9.9, 0},
    {Outline::square, 9, 9, 0},
    {Outline::rectangle, 14, 8, 0},
    {Outline::cushion, 12, 10, 2},
    {Outline::cushion, 12, 10, 2.5},
    {Outline::cushion, 15, 8, 3.25},
    {Outline::cushion, 10, 10, 4},
    {Outline::octagon, 14, 10, 0.15},
    {Outline::octagon, 10, 10, 1 - 1 / std::numbers::sqrt2},
    {Outline::octagon, 8, 11, 0.2},
    {Outline::marquise, 14, 7, 0},
    {Outline::marquise, 12, 4, 0.3},
    {Outline::marquise, 12, 6, -0.3},
    {Outline::marquise, 8, 8, 0.2},
    {Outline::pear, 12, 7.3, 0},
    {Outline::pear, 12, 8, 1.0 / 3},
    {Outline::pear, 14, 7, -1.0 / 3},
    {Outline::pear, 9, 9, 0},
    {Outline::heart, 10, 10, 0},
    {Outline::heart, 11, 10, 0.25},
    {Outline::heart, 10, 9, -0.25},
    {Outline::heart, 8, 10, 0},
    {Outline::heart, 5, 10, 0},
    {Outline::heart, 5, 10, -0.3},
    {Outline::triangle, 9, 10, 0.5},
    {Outline::triangle, 10, 10, reuleaux},
    {Outline::triangle, 9, 11, reuleaux},
};

} // namespace

TEST_CASE("outline areas agree with numerical integration from the edge") {
    for (const Case& c : cases) {
        CAPTURE(outline_names[static_cast<std::size_t>(c.outline)]);
        CAPTURE(c.length);
        CAPTURE(c.width);
        CAPTURE(c.form);
        const auto shape = test::shape_of(c.outline, c.length, c.width, c.form);
        const double numerical = test::numerical_area(shape, 2 * (c.length + c.width));
        CHECK(outline_area(c.outline, c.length, c.width, c.form) == near(numerical, 1e-7));
    }
}

TEST_CASE("every outline but the freeform one is among the cases integrated") {
    for (std::size_t i = 0; i < outline_names.size(); ++i) {
        const auto outline = static_cast<Outline>(i);
        const bool integrated = std::any_of(cases.begin(), cases.end(),
                                            [&](const Case& c) { return c.outline == outline; });
        CAPTURE(outline_names[i]);
        CHECK(integrated == (outline != Outline::freeform));
    }
}

TEST_CASE("areas that need no integration") {
    CHECK(outline_area(Outline::round, 10, 10, 0) == near(25 * pi, 1e-15));
    CHECK(outline_area(Outline::rectangle, 14, 8, 0) == 112);
    CHECK(outline_area(Outline::square, 9, 9, 0) == 81);
    // Regular octagon of width d: 2 (sqrt(2) - 1) d^2, elementary geometry.
    CHECK(outline_area(Outline::octagon, 10, 10,
                       outline_form(Outline::octagon).value +
                           outline_form(Outline::octagon).half_width()) ==
          near(200 * (std::numbers::sqrt2 - 1), 1e-12));
    // Lame curve with n = 4: A = L W G(5/4)^2 / G(3/2) = 0.92703733865 L W.
    CHECK(outline_area(Outline::cushion, 1, 1, 4) == near(0.92703733865, 1e-10));
    CHECK(outline_area(Outline::cushion, 12, 10, 2) == near(30 * pi, 1e-14));
    // The vesica piscis proper, two circles through one another's centres: width r, length
    // sqrt(3) r, area (2 pi / 3 - sqrt(3) / 2) r^2.
    CHECK(outline_area(Outline::marquise, std::numbers::sqrt3, 1, 0) ==
          near(2 * pi / 3 - std::numbers::sqrt3 / 2, 1e-14));
    // The Reuleaux triangle of width 1: 0.70477 (Blaschke and Lebesgue's least area).
    const Uncertain triangle = outline_form(Outline::triangle);
    CHECK(triangle.value + triangle.half_width() == near(0.7047709230, 1e-9));
    CHECK(triangle.value - triangle.half_width() == near(0.5, 1e-12));
    CHECK(outline_area(Outline::freeform, 10, 8, 0.7) == near(56, 1e-15));
}

TEST_CASE("a square or rectangle has no form, neither its area nor its edge") {
    for (const double form : {0.0, 0.2, 0.7, 2.0}) {
        CAPTURE(form);
        CHECK(outline_area(Outline::rectangle, 14, 8, form) == 112);
        CHECK(area_of(outline_polygon(Outline::rectangle, 14, 8, form)) == 112);
        CHECK(area_of(outline_polygon(Outline::square, 9, 9, form)) == 81);
    }
}

TEST_CASE(
    "a marquise or pear may be measured either way round, and at equal sides both are discs") {
    for (const Outline outline : {Outline::marquise, Outline::pear}) {
        CHECK(outline_area(outline, 7, 12, 0.1) == outline_area(outline, 12, 7, 0.1));
        for (const double form : {0.0, 0.3}) {
            CHECK(outline_area(outline, 8, 8, form) == near(16 * pi, 1e-12));
            CHECK(outline_area(outline, 8 + 1e-9, 8, form) == near(16 * pi, 1e-8));
        }
    }
}

TEST_CASE("a very slim vesica has two thirds of its box, without loss of figures") {
    // Parabola's limit of the circular segment, 2/3 + 2/15 q^2.
    for (const double q : {1e-7, 1e-5, 0.9e-3, 1.1e-3, 1e-2}) {
        CAPTURE(q);
        CHECK(outline_area(Outline::marquise, 1, q, 0) / q ==
              near(2.0 / 3 + 2.0 / 15 * q * q, 1e-8));
    }
}

TEST_CASE("the forms are the documented ranges") {
    const auto check = [](Outline outline, double low, double high) {
        const Uncertain form = outline_form(outline);
        CAPTURE(outline_names[static_cast<std::size_t>(outline)]);
        CHECK(form.value - form.half_width() == Approx(low).epsilon(1e-12));
        CHECK(form.value + form.half_width() == Approx(high).epsilon(1e-12));
    };
    check(Outline::cushion, 2.5, 4);
    check(Outline::octagon, 0.15, 1 - std::sqrt(0.5));
    check(Outline::pear, -1.0 / 3, 1.0 / 3);
    check(Outline::marquise, -1.0 / 3, 1.0 / 3);
    check(Outline::heart, -1.0 / 3, 1.0 / 3);
    check(Outline::freeform, 0.6, 0.95);
    for (const Outline fixed :
         {Outline::round, Outline::oval, Outline::square, Outline::rectangle}) {
        CHECK(outline_form(fixed).u == 0);
    }
}

TEST_CASE("property: areas grow with length and width and stay within the box") {
    std::mt19937_64 random(20180101);
    std::uniform_real_distribution<double> side(0.5, 60);
    std::uniform_real_distribution<double> part(-1, 1);
    for (int i = 0; i < 20000; ++i) {
        const auto outline = static_cast<Outline>(random() % outline_names.size());
        const double length = side(random);
        const double width = side(random);
        const Uncertain range = outline_form(outline);
        const double form = range.value + part(random) * range.half_width();
        const double area = outline_area(outline, length, width, form);
        CAPTURE(outline_names[static_cast<std::size_t>(outline)]);
        CAPTURE(length);
        CAPTURE(width);
        CAPTURE(form);
        REQUIRE(std::isfinite(area));
        REQUIRE(area > 0.4 * length * width);
        REQUIRE(area <= length * width * (1 + 1e-12));
        REQUIRE(outline_area(outline, length * 1.01, width, form) > area);
        REQUIRE(outline_area(outline, length, width * 1.01, form) > area);
        // Homogeneous of degree two: no millimetre is hidden in the form.
        REQUIRE(outline_area(outline, 3 * length, 3 * width, form) == near(9 * area, 1e-12));
    }
}

TEST_CASE("no length, no area") {
    for (std::size_t i = 0; i < outline_names.size(); ++i) {
        const auto outline = static_cast<Outline>(i);
        CHECK(outline_area(outline, 0, 5, outline_form(outline).value) == 0);
        CHECK(outline_area(outline, 5, -1, outline_form(outline).value) == 0);
    }
}

TEST_CASE("outlines are found by name and no other") {
    CHECK(outline_from("oval") == Outline::oval);
    CHECK(outline_from("freeform") == Outline::freeform);
    CHECK_FALSE(outline_from("Oval"));
    CHECK_FALSE(outline_from(""));
}
