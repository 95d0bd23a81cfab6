// The Monte Carlo method against closed forms, and the linear rule against the Monte Carlo method.
#include "support.hpp"

#include <numbers>
#include <random>

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;
using std::numbers::sqrt3;
using valuation::Simulation;

namespace {

// ln V is the sum of rectangular inputs, of half-width `halves[i]` each: words between e^-a, e^a.
struct Sum {
    pricing::Matrix matrix;
    Stone stone;
};
Sum sum_of(const std::vector<double>& halves) {
    const std::vector<std::string> fields{
        "/play_of_colour/pattern", "/play_of_colour/directionality", "/cut/dome", "/cut/polish"};
    Tiny tiny;
    tiny.factors = "[";
    for (std::size_t i = 0; i < halves.size(); ++i) {
        tiny.factors += (i == 0 ? "" : ",") + (R"({"name": ")" + fields[i]) +
                        R"(", "kind": "category", "field": ")" + fields[i] +
                        R"(", "values": {"low": )" + std::to_string(std::exp(-halves[i])) +
                        R"(, "high": )" + std::to_string(std::exp(halves[i])) + "}}";
    }
    tiny.factors += "]";
    Stone stone = plain_stone(reading(1, 1e-12));
    const Words both = words("low", "high");
    stone.play_of_colour->pattern = both;
    stone.play_of_colour->directionality = both;
    stone.cut.dome = both;
    stone.cut.polish = both;
    return {tiny.read(), stone};
}

Simulation run(const Sum& sum, std::size_t trials, std::uint64_t seed) {
    return valuation::simulate(model_of(sum.stone, sum.matrix), 0.95, trials, seed);
}

// E[max(0, x - U)] for U the sum of three independent uniform [0, 1]: the integral of its
// distribution function, by the formula of Irwin and Hall.
double beyond(double x) {
    double value = 0;
    const double signed_choices[] = {1, -3, 3, -1};
    for (int k = 0; k <= 3; ++k) {
        value += signed_choices[k] * std::pow(std::max(0.0, x - k), 4) / 24;
    }
    return value;
}

} // namespace

TEST_CASE("four equal rectangular inputs: JCGM 101, 9.2.3") {
    // Inputs R(-sqrt 3, sqrt 3), here a tenth of that so that V stays a price. The guide: u = 2.0,
    // 95 % +-3.88, exactly 2 sqrt 3 (2 - 0.6^(1/4)); the Gaussian rule gives +-3.92.
    const double scale = 0.1;
    const Sum sum = sum_of({scale * sqrt3, scale * sqrt3, scale * sqrt3, scale * sqrt3});
    const double exact = 2 * sqrt3 * (2 - std::pow(0.6, 0.25));
    CHECK(std::llround(exact * 100) == 388);
    // Sampling error of a quantile: sqrt(p (1-p) / M) / density. The density of the sum at the end
    // is t^3 / (12 sqrt 3) with t = 0.6^(1/4).
    const std::size_t trials = 1'000'000;
    const double density = std::pow(0.6, 0.75) / (12 * sqrt3);
    const double error = std::sqrt(0.025 * 0.975 / static_cast<double>(trials)) / density;
    CHECK(error < 0.005); // so that five of them tell 3.88 from 3.92
    for (const std::uint64_t seed : {1U, 2U, 20261101U}) {
        const Simulation found = run(sum, trials, seed);
        CAPTURE(seed);
        CHECK(std::abs(std::log(found.range.high) / scale - exact) < 5 * error);
        CHECK(std::abs(std::log(found.range.low) / scale + exact) < 5 * error);
        CHECK(std::abs(found.u / scale - 2) < 5 * 2 / std::sqrt(2e6));
        CHECK(std::abs(std::log(found.likely) / scale) < 5 * 2.5 / std::sqrt(1e6));
    }
    const Outcome linear = value_of(sum.stone, sum.matrix);
    CHECK(linear->u / scale == Approx(2).epsilon(1e-5).scale(0));
    CHECK(std::log(linear->range.high) / scale == Approx(3.919928).epsilon(1e-4).scale(0));
    CHECK(std::log(linear->outer.high) / scale == Approx(4 * sqrt3).epsilon(1e-4).scale(0));
}

TEST_CASE("one rectangular input ten times wider: JCGM 101, 9.2.4") {
    // The guide: u = 10.1, 95 % +-17.0; the Gaussian rule gives +-19.9. The exact end y solves
    // E[max(0, 10 sqrt 3 - y + S)] = 0.025 x 20 sqrt 3 for S the sum of the three narrow ones.
    const double scale = 0.05;
    const Sum sum = sum_of({10 * scale * sqrt3, scale * sqrt3, scale * sqrt3, scale * sqrt3});
    double low = 10;
    double high = 22;
    for (int i = 0; i < 60; ++i) {
        const double y = (low + high) / 2;
        const double tail = 2 * sqrt3 * beyond((10 * sqrt3 - y) / (2 * sqrt3) + 1.5);
        (tail / (20 * sqrt3) > 0.025 ? low : high) = y;
    }
    const double exact = low;
    CHECK(std::llround(exact * 10) == 170);
    // The density there is that of the wide input, times the share of S beyond: 1/40 at the least.
    const std::size_t trials = 400'000;
    const double error = std::sqrt(0.025 * 0.975 / static_cast<double>(trials)) * 60;
    for (const std::uint64_t seed : {1U, 2U, 3U}) {
        const Simulation found = run(sum, trials, seed);
        CAPTURE(seed);
        CHECK(std::abs(std::log(found.range.high) / scale - exact) < 5 * error);
        CHECK(std::abs(std::log(found.range.low) / scale + exact) < 5 * error);
        CHECK(std::abs(found.u / scale - std::sqrt(103.0)) < 0.05);
    }
    const Outcome linear = value_of(sum.stone, sum.matrix);
    CHECK(std::log(linear->range.high) / scale == Approx(19.89123).epsilon(1e-4).scale(0));
}

TEST_CASE("a normal input alone has the quantiles of the normal distribution") {
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"], "body_tone": ["N2"], "brightness": [3],
                      "per_carat": [[[50, 200]]]}])";
    const std::size_t trials = 400'000;
    for (const auto& [coverage, text] : {std::pair{0.8, "0.8"}, std::pair{0.95, "0.95"}}) {
        tiny.coverage = text;
        const pricing::Matrix matrix = tiny.read();
        const double k = matrix.coverage_factor;
        const double u = std::log(2.0) / k;
        const double density = std::exp(-k * k / 2) / std::sqrt(2 * 3.141592653589793);
        const double p = (1 - coverage) / 2;
        const double error = u * std::sqrt(p * (1 - p) / static_cast<double>(trials)) / density;
        for (const std::uint64_t seed : {1U, 99U}) {
            const Simulation found = valuation::simulate(
                model_of(plain_stone(reading(1, 1e-12)), matrix), coverage, trials, seed);
            CHECK(std::abs(std::log(found.range.low / 50)) < 5 * error);
            CHECK(std::abs(std::log(found.range.high / 200)) < 5 * error);
            CHECK(found.u == Approx(u).epsilon(5 / std::sqrt(8e5)).scale(0));
        }
    }
}

TEST_CASE("the interval is the one of JCGM 101, 7.7, to the very draw") {
    // Of ten sorted draws y_1 to y_10, q = p M of them: [y_r, y_(r+q)] with r = (M - q) / 2, or
    // (M - q + 1) / 2 when that is no whole number. So p = 0.9: y_1 to y_10; 0.8: y_1 to y_9; 0.7:
    // y_2 to y_9; 0.6: y_2 to y_8; 0.5: y_3 to y_8.
    const pricing::Matrix matrix = Tiny{}.read();
    const valuation::Model model = model_of(plain_stone(limits(1, 3)), matrix);
    const auto at = [&](double coverage) {
        return valuation::simulate(model, coverage, 10, 42).range;
    };
    CHECK(at(0.9).low == at(0.8).low);
    CHECK(at(0.8).low < at(0.7).low);
    CHECK(at(0.7).low == at(0.6).low);
    CHECK(at(0.6).low < at(0.5).low);
    CHECK(at(0.9).high > at(0.8).high);
    CHECK(at(0.8).high == at(0.7).high);
    CHECK(at(0.7).high > at(0.6).high);
    CHECK(at(0.6).high == at(0.5).high);
    // p so near 1 that q is M leaves the least and the greatest draw.
    CHECK(at(0.99).low == at(0.9).low);
    CHECK(at(0.99).high == at(0.9).high);
    // The median of an even number of draws lies between the middle two.
    const double median = valuation::simulate(model, 0.1, 10, 42).likely;
    CHECK(at(0.1).low <= median); // y_5 to y_6
    CHECK(at(0.1).high >= median);
    CHECK(median == Approx(std::sqrt(at(0.1).low * at(0.1).high)).epsilon(1e-12).scale(0));
    // Odd numbers of draws, and the fewest.
    for (const std::size_t trials : {2U, 3U, 11U, 101U}) {
        const Simulation found = valuation::simulate(model, 0.8, trials, 42);
        CHECK(found.range.low <= found.likely);
        CHECK(found.likely <= found.range.high);
    }
}

TEST_CASE("the same seed gives the same bytes, another seed other draws") {
    const Stone stone = stones_in("first-stone.json").front();
    const Simulation first = *value_of(stone, demonstration(), {}, 5000, 7)->simulation;
    const Simulation again = *value_of(stone, demonstration(), {}, 5000, 7)->simulation;
    const Simulation other = *value_of(stone, demonstration(), {}, 5000, 8)->simulation;
    CHECK(first.likely == again.likely);
    CHECK(first.range.low == again.range.low);
    CHECK(first.range.high == again.range.high);
    CHECK(first.u == again.u);
    CHECK(first.likely != other.likely);
    CHECK(first.range.low != other.range.low);
    CHECK(first.u != other.u);
    CHECK(first.seed == 7);
    CHECK(first.trials == 5000);
    // Nothing but the simulation depends on the seed.
    CHECK(value_of(stone, demonstration())->likely ==
          value_of(stone, demonstration(), {}, 100, 3)->likely);
    CHECK_FALSE(value_of(stone, demonstration())->simulation);
}

TEST_CASE("the simulation stays within the outer limits of what ends") {
    // Only rectangular inputs: no draw can leave the limits, the interactions of the grid included.
    Tiny tiny;
    tiny.coverage = "0.99";
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"], "body_tone": ["N2", "N4"],
                      "brightness": [2, 3], "per_carat": [[100, 900], [90, 95]]}])";
    Stone stone = plain_stone(limits(1.9, 2.1));
    stone.body_tone = Range{2, 4};
    stone.brightness->grade = Range{2.0, 3.0};
    const Outcome found = value_of(stone, tiny.read(), {}, 20'000, 1);
    CHECK(found->outer.low == Approx(1.9 * 90).epsilon(1e-6).scale(0));
    CHECK(found->outer.high == Approx(2.1 * 900).epsilon(1e-6).scale(0));
    CHECK(found->simulation->range.low > found->outer.low);
    CHECK(found->simulation->range.high < found->outer.high);
}
