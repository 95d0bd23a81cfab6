#include "valuation/compare.hpp"
#include "valuation/support.hpp"

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

using namespace trayworth;
using doctest::Approx;

namespace {

valuation::Compared
compared(const Stone& stone, const pricing::Matrix& a, const pricing::Matrix& b) {
    return valuation::compare(stone, {a, *pricing::find(a.market_levels, a.market_level)},
                              {b, *pricing::find(b.market_levels, b.market_level)});
}

const std::string two_by_two = R"([{"name": "g", "type": ["solid"],
    "transparency": ["transparent", "translucent", "opaque"], "body_tone": ["N2", "N3"],
    "brightness": [3, 4], "per_carat": [[{}, {}], [{}, {}]]}])";

std::string grid_of(double a, double b, double c, double d) {
    std::string text = two_by_two;
    for (const double price : {a, b, c, d}) {
        text.replace(text.find("{}"), 2, fmt::format("{}", price));
    }
    return text;
}

const std::string polish = R"([{"name": "polish", "kind": "category", "field": "/cut/polish",
    "if_absent": 1, "values": {"good": VALUE}}])";

pricing::Matrix matrix(const std::string& grids, const std::string& factors) {
    test::Tiny tiny;
    tiny.grids = grids;
    tiny.factors = factors;
    return tiny.read();
}

std::string polish_at(const std::string& value) {
    std::string text = polish;
    return text.replace(text.find("VALUE"), 5, value);
}

} // namespace

TEST_CASE("the logarithmic mean") {
    CHECK(valuation::logarithmic_mean(3, 3) == 3);
    CHECK(valuation::logarithmic_mean(1, std::exp(1)) ==
          Approx(std::exp(1) - 1).epsilon(1e-15).scale(0));
    // Near each other, where the quotient of two differences would have lost its digits, it is
    // between the geometric and the arithmetic mean.
    const double b = 100 * (1 + 1e-12);
    CHECK(valuation::logarithmic_mean(100, b) >= 100);
    CHECK(valuation::logarithmic_mean(100, b) <= b);
}

TEST_CASE("a cell between its neighbours has its part by weight, reckoned by hand") {
    Stone stone = test::plain_stone();
    stone.body_tone = Range{2, 3}; // half of either row
    const auto a = matrix(grid_of(100, 1, 100, 1), "[]");
    const auto b = matrix(grid_of(200, 1, 100, 1), "[]");
    const auto found = compared(stone, a, b);
    REQUIRE(found.causes.size() == 1);
    CHECK(found.causes[0].step == "price per carat");
    // sqrt(200 x 100) = 141.4214 against 100.
    CHECK(found.log_change == Approx(std::log(1.414214)).epsilon(1e-9).scale(0));
    REQUIRE(found.causes[0].cells.size() == 1);
    CHECK(found.causes[0].cells[0].b.pointer == "/grids/0/per_carat/0/0");
    CHECK(found.causes[0].cells[0].log_change == Approx(found.log_change).epsilon(1e-12).scale(0));
    CHECK(found.change == Approx(2 * 41.4214).epsilon(1e-9).scale(0));
}

TEST_CASE("cells that cancel out have no part of what rounding leaves of a term") {
    Stone stone = test::plain_stone();
    stone.body_tone = Range{2, 3};
    // sqrt(50 x 200.0001999) = 100.0000499... and sqrt(100 x 100.00010005) = 100.0000500...
    const auto a = matrix(grid_of(50, 1, 200.0001999, 1), "[]");
    const auto b = matrix(grid_of(100, 1, 100.00010005, 1), "[]");
    const auto found = compared(stone, a, b);
    REQUIRE(found.causes.size() == 1);
    CHECK(found.causes[0].log_change == Approx(1e-6).epsilon(1e-5).scale(0));
    CHECK(found.causes[0].cells.empty());
}

TEST_CASE("means of other cells are not taken apart") {
    Stone stone = test::plain_stone();
    stone.body_tone = Range{3, 3};
    const auto grid = [](const char* tones, const char* cells) {
        return fmt::format(R"([{{"name": "g", "type": ["solid"], "transparency": ["transparent",
            "translucent", "opaque"], "body_tone": {}, "brightness": [3], "per_carat": {}}}])",
                           tones, cells);
    };
    const auto wide = matrix(grid(R"(["N2", "N4"])", "[[200], [100]]"), "[]");
    const auto whole = matrix(grid(R"(["N2", "N3", "N4"])", "[[200], [150], [100]]"), "[]");
    for (const auto& found : {compared(stone, wide, whole), compared(stone, whole, wide)}) {
        REQUIRE(found.causes.size() == 1);
        CHECK(found.causes[0].cells.empty());
    }
}

TEST_CASE("steps are sorted by the size of what they bring, equal ones as they came") {
    valuation::ComparedTotal total;
    total.steps = {{"brightness", 1, 5}, {"pattern", 1, -5}, {"faults", 1, -7}, {"tone", 1, 5}};
    total.sort_steps();
    std::vector<std::string> names;
    for (const valuation::StepTotal& step : total.steps) {
        names.push_back(step.step);
    }
    CHECK(names == std::vector<std::string>{"faults", "brightness", "pattern", "tone"});
}

TEST_CASE("a term that only one matrix has stands on its own") {
    Stone stone = test::plain_stone();
    stone.cut.polish = test::word("good");
    const auto a = matrix(grid_of(100, 1, 100, 1), "[]");
    const auto b = matrix(grid_of(100, 1, 100, 1), polish_at("0.8"));
    const auto there = compared(stone, a, b);
    REQUIRE(there.causes.size() == 1);
    CHECK_FALSE(there.causes[0].a);
    CHECK(there.causes[0].log_change == Approx(std::log(0.8)).epsilon(1e-15).scale(0));
    CHECK(there.causes[0].change == Approx(-40).epsilon(1e-12).scale(0));
    const auto back = compared(stone, b, a);
    CHECK_FALSE(back.causes[0].b);
    CHECK(back.causes[0].change == Approx(40).epsilon(1e-12).scale(0));
}

TEST_CASE("what one matrix refuses is no cause") {
    Stone stone = test::plain_stone();
    stone.cut.polish = test::word("poor");
    const auto a = matrix(grid_of(100, 1, 100, 1), "[]");
    const auto b = matrix(grid_of(100, 1, 100, 1), polish_at("0.8"));
    const auto found = compared(stone, a, b);
    CHECK(found.a);
    CHECK_FALSE(found.b);
    REQUIRE(has_errors(found.b_diagnostics));
    CHECK(found.b_diagnostics[0].pointer == "/cut/polish");
    CHECK(found.causes.empty());
    valuation::ComparedTotal total;
    total.add(found);
    CHECK(total.only_a == 1);
    CHECK(total.a == 0);
}

TEST_CASE("causes, their cells and a tray's steps add up, on random matrices") {
    std::mt19937_64 random(7396);
    std::uniform_real_distribution<double> price(20, 900);
    std::uniform_real_distribution<double> factor(0.3, 3);
    std::uniform_int_distribution<int> tone(2, 3);
    valuation::ComparedTotal total;
    double change = 0;
    std::size_t with_cells = 0;
    for (int trial = 0; trial < 200; ++trial) {
        const auto random_matrix = [&] {
            return matrix(grid_of(price(random), price(random), price(random), price(random)),
                          trial % 3 == 0 ? "[]" : polish_at(fmt::format("{}", factor(random))));
        };
        const auto a = random_matrix();
        const auto b = random_matrix();
        Stone stone = test::plain_stone(test::reading(factor(random), 0.001));
        const int one = tone(random);
        stone.body_tone = Range{one, std::max(one, tone(random))};
        stone.brightness = Brightness{Range{3.25, 3.75}, 5, 5};
        stone.cut.polish = test::word("good");
        const auto found = compared(stone, a, b);
        REQUIRE(found.a);
        REQUIRE(found.b);
        double logs = 0;
        double money = 0;
        for (const valuation::Cause& cause : found.causes) {
            logs += cause.log_change;
            money += cause.change;
            double cells = 0;
            for (const valuation::CellChange& cell : cause.cells) {
                cells += cell.log_change;
            }
            if (!cause.cells.empty()) {
                ++with_cells;
                CHECK(cells == Approx(cause.log_change).epsilon(1e-12).scale(0));
            }
        }
        CHECK(std::abs(logs - std::log(found.b->likely / found.a->likely)) < 1e-9);
        CHECK(std::abs(money - (found.b->likely - found.a->likely)) <
              1e-9 * (found.a->likely + found.b->likely));
        change += found.b->likely - found.a->likely;
        total.add(found);
    }
    double steps = 0;
    for (const valuation::StepTotal& step : total.steps) {
        steps += step.change;
    }
    CHECK(total.both == 200);
    CHECK(with_cells == 200);
    CHECK(std::abs(steps - change) < 1e-9 * (total.a + total.b));
}
