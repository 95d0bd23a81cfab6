// Interpolation and look-up, against figures worked out by hand from the cells.
#include "core/uncertain.hpp"
#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "pricing/matrix.hpp"

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::pricing;
using doctest::Approx;

namespace {

void check_spread(const Spread& spread, double low, double likely, double high) {
    CHECK(spread.low() == Approx(low).epsilon(1e-12).scale(0));
    CHECK(std::exp(spread.log_middle) == Approx(likely).epsilon(1e-12).scale(0));
    CHECK(spread.high() == Approx(high).epsilon(1e-12).scale(0));
}

// Likely prices 200, 400 in the first row, 50, 100 in the second.
Grid grid() {
    Grid made;
    made.name = "by hand";
    made.pointer = "/grids/3";
    made.tones = {1, 3};
    made.brightness = {2, 4};
    made.cells = {Spread::between(100, 400), Spread::between(200, 800), Spread::between(50, 50),
                  Spread::between(100, 100)};
    return made;
}

Curve curve(bool log_spacing, const std::vector<double>& at, const std::vector<Spread>& factors) {
    Curve made;
    made.log_spacing = log_spacing;
    made.at = at;
    for (const double x : at) {
        made.places.push_back(log_spacing ? std::log(x) : x);
    }
    made.factors = factors;
    return made;
}

Matrix demonstration() {
    Diagnostics diagnostics;
    std::optional<Matrix> matrix =
        io::read_matrix(io::demonstration_matrix(), "demonstration", diagnostics);
    REQUIRE(matrix);
    return *matrix;
}

} // namespace

TEST_CASE("a spread's likely value is the geometric mean of its ends") {
    check_spread(Spread::between(50, 200), 50, 100, 200);
    check_spread(Spread::between(7, 7), 7, 7, 7);
    check_spread(Spread::between(0.5, 2), 0.5, 1, 2);
    CHECK(Spread::between(1, 1).is_one());
    CHECK_FALSE(Spread::between(0.5, 2).is_one());
    CHECK_FALSE(Spread::between(1.1, 1.1).is_one());
}

TEST_CASE("a place on an axis") {
    const std::vector<double> axis{1, 2, 5};
    const auto place = [&](double x) { return place_on(axis, x); };
    CHECK(place(2).below == 1);
    CHECK(place(2).above == 1);
    CHECK(place(2).weight_above == 0);
    CHECK(place(2.75).below == 1);
    CHECK(place(2.75).above == 2);
    CHECK(place(2.75).weight_above == Approx(0.25).epsilon(1e-15).scale(0));
    for (const double beyond : {5.0, 5.1, std::numeric_limits<double>::infinity()}) {
        CHECK(place(beyond).below == 2);
        CHECK(place(beyond).above == 2);
        CHECK(place(beyond).weight_above == 0);
    }
    for (const double before : {1.0, 0.9, -std::numeric_limits<double>::infinity()}) {
        CHECK(place(before).below == 0);
        CHECK(place(before).above == 0);
        CHECK(place(before).weight_above == 0);
    }
    CHECK(place_on({3}, 3).above == 0);
    CHECK(place_on({3}, 7).above == 0);
}

TEST_CASE("prices between the cells of a grid, in the logarithm") {
    const Grid made = grid();
    check_spread(made.price(1, 2), 100, 200, 400);
    check_spread(made.price(3, 4), 100, 100, 100);
    // Halfway between 200 and 400 is sqrt(200 x 400).
    check_spread(made.price(1, 3), std::sqrt(100 * 200.0), std::sqrt(200 * 400.0),
                 std::sqrt(400 * 800.0));
    // Halfway between [100, 400] and [50, 50]: likely 100, half-width half of ln 2.
    check_spread(made.price(2, 2), 100 / std::sqrt(2.0), 100, 100 * std::sqrt(2.0));
    // The middle of the four: likely (200 400 50 100)^(1/4) = 100 sqrt 2.
    check_spread(made.price(2, 3), 100, 100 * std::sqrt(2.0), 200);
    // A quarter of the way down, all the way left.
    check_spread(made.price(1.5, 2), std::pow(100, 0.75) * std::pow(50, 0.25),
                 std::pow(200, 0.75) * std::pow(50, 0.25),
                 std::pow(400, 0.75) * std::pow(50, 0.25));
    // Beyond the ends, the end.
    check_spread(made.price(0, 9), 200, 400, 800);
    check_spread(made.price(9, 0), 50, 50, 50);
}

TEST_CASE("the neighbours of a place and their weights, by hand") {
    const Grid made = grid();
    const Grid::Neighbours near = made.neighbours(1.5, 3.5); // a quarter down, three across
    CHECK(near[0].weight == Approx(0.75 * 0.25).epsilon(1e-15).scale(0));
    CHECK(near[1].weight == Approx(0.75 * 0.75).epsilon(1e-15).scale(0));
    CHECK(near[2].weight == Approx(0.25 * 0.25).epsilon(1e-15).scale(0));
    CHECK(near[3].weight == Approx(0.25 * 0.75).epsilon(1e-15).scale(0));
    double sum = 0;
    for (const Grid::Neighbour& one : made.neighbours(1, 2)) {
        sum += one.weight;
    }
    CHECK(sum == 1);
    CHECK(made.cell_pointer(1, 0) == "/grids/3/per_carat/1/0");
}

TEST_CASE("a cell that is not priced is not touched from a point beside it") {
    Grid made = grid();
    made.cells[1].reset();
    CHECK_FALSE(made.cell(0, 1));
    check_spread(made.price(1, 2), 100, 200, 400);
    check_spread(made.price(2, 2), 100 / std::sqrt(2.0), 100, 100 * std::sqrt(2.0));
    check_spread(made.price(3, 3), std::sqrt(5000.0), std::sqrt(5000.0), std::sqrt(5000.0));
}

TEST_CASE("factors between the points of a curve") {
    const Curve linear = curve(false, {0.5, 1}, {Spread::between(1, 4), Spread::between(1, 1)});
    check_spread(linear.factor(0.5), 1, 2, 4);
    check_spread(linear.factor(0.75), 1, std::sqrt(2.0), 2);
    check_spread(linear.factor(1), 1, 1, 1);
    check_spread(linear.factor(0), 1, 2, 4);
    check_spread(linear.factor(7), 1, 1, 1);

    const Curve logarithmic =
        curve(true, {1, 100}, {Spread::between(1, 1), Spread::between(4, 16)});
    // 10 is halfway from 1 to 100 in the logarithm: the square root of the factor 8.
    check_spread(logarithmic.factor(10), 2, std::sqrt(8.0), 4);
    // 1000^(1/2) = 10^1.5 is three quarters of the way.
    check_spread(logarithmic.factor(std::sqrt(1000.0)), std::pow(4, 0.75), std::pow(8, 0.75),
                 std::pow(16, 0.75));
    check_spread(logarithmic.factor(0.001), 1, 1, 1);
    check_spread(logarithmic.factor(0), 1, 1, 1);
    check_spread(logarithmic.factor(1e6), 4, 8, 16);
}

TEST_CASE("a straight line in both logarithms is a power") {
    const Curve square =
        curve(true, {1, 10, 1000},
              {Spread::between(1, 1), Spread::between(100, 100), Spread::between(1e6, 1e6)});
    for (const double x : {1.0, 1.7, 9.99, 10.0, 10.01, 123.0, 1000.0}) {
        CAPTURE(x);
        CHECK(std::exp(square.factor(x).log_middle) == Approx(x * x).epsilon(1e-12).scale(0));
    }
}

TEST_CASE("entries are found by their exact name") {
    const std::vector<Entry> entries{{"flash", Spread::between(1, 1)},
                                     {"broad flash", Spread::between(2, 2)}};
    REQUIRE(find(entries, "broad flash"));
    CHECK(find(entries, "broad flash")->spread.low() == Approx(2).epsilon(1e-12).scale(0));
    CHECK(find(entries, "Flash") == nullptr);
    CHECK(find(entries, "") == nullptr);
}

TEST_CASE("the grid of a stone, and the classes that have none") {
    const Matrix matrix = demonstration();
    using enum Transparency;
    const auto name = [&](StoneType type, Transparency transparency) {
        const Grid* found = matrix.grid_for(type, transparency);
        return found == nullptr ? std::string("(none)") : found->name;
    };
    CHECK(name(StoneType::solid, opaque) == "solid, opaque (black, dark and light opal)");
    for (const Transparency see_through : {transparent, translucent}) {
        CHECK(name(StoneType::solid, see_through) == "solid crystal");
    }
    for (const Transparency any : {transparent, translucent, opaque}) {
        CHECK(name(StoneType::boulder, any) == "boulder");
        CHECK(name(StoneType::matrix, any) == "matrix");
        CHECK(name(StoneType::doublet, any) == "doublet");
        CHECK(name(StoneType::triplet, any) == "triplet");
        // On purpose without a price per carat.
        CHECK(name(StoneType::mosaic, any) == "(none)");
        CHECK(name(StoneType::synthetic, any) == "(none)");
        CHECK(name(StoneType::imitation, any) == "(none)");
    }
}

TEST_CASE("amounts are shown to the step that their size asks for") {
    const Matrix matrix = demonstration();
    const auto shown = [&](double amount) {
        return grouped(matrix.rounded(to_money(amount, matrix.currency)), true);
    };
    CHECK(shown(0.42) == "0.40");
    CHECK(shown(9.98) == "10");
    CHECK(shown(10.49) == "10");
    CHECK(shown(99.49) == "99");
    CHECK(shown(99.5) == "100");
    CHECK(shown(100) == "100");
    CHECK(shown(102.49) == "100");
    CHECK(shown(102.5) == "105");
    CHECK(shown(499.99) == "500");
    CHECK(shown(504.99) == "500");
    CHECK(shown(505) == "510");
    CHECK(shown(1999.99) == "2,000");
    CHECK(shown(2024.99) == "2,000");
    CHECK(shown(2025) == "2,050");
    CHECK(shown(10049.99) == "10,000");
    CHECK(shown(10050) == "10,100");
    CHECK(shown(50249.99) == "50,000");
    CHECK(shown(50250) == "50,500");
}

TEST_CASE("market levels and the coverage of the matrix") {
    const Matrix matrix = demonstration();
    CHECK(matrix.invented);
    CHECK(matrix.market_level == "trade");
    REQUIRE(find(matrix.market_levels, "trade"));
    CHECK(find(matrix.market_levels, "trade")->spread.is_one());
    REQUIRE(find(matrix.market_levels, "retail"));
    check_spread(find(matrix.market_levels, "retail")->spread, 1.8, std::sqrt(1.8 * 2.4), 2.4);
    CHECK(matrix.coverage == 0.8);
    CHECK(matrix.coverage_factor == Approx(1.2815515655446004).epsilon(1e-12).scale(0));
}
