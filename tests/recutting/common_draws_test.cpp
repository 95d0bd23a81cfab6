#include "recutting/common_draws.hpp"
#include "recutting/subject.hpp"
#include "valuation/support.hpp"

#include <cmath>
#include <numeric>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::recutting;
using namespace trayworth::test;

namespace {

constexpr std::size_t trials = 200'000;

double mean(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double variance(const std::vector<double>& values) {
    const double middle = mean(values);
    double sum = 0;
    for (const double x : values) {
        sum += (x - middle) * (x - middle);
    }
    return sum / static_cast<double>(values.size() - 1);
}

double covariance(const std::vector<double>& a, const std::vector<double>& b) {
    const double mean_a = mean(a);
    const double mean_b = mean(b);
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        sum += (a[i] - mean_a) * (b[i] - mean_b);
    }
    return sum / static_cast<double>(a.size() - 1);
}

} // namespace

TEST_CASE("draws of a source are the same whoever asks, and independent of another source's") {
    CommonDraws draws(trials, 7);
    const std::vector<double> a = draws.of("a", 0, normal(10, 2));
    const std::vector<double> again = draws.of("a", 0, normal(1, 0.5));
    const std::vector<double> flat = draws.of("a", 0, rectangular(0, 1));
    const std::vector<double> second = draws.of("a", 1, normal(10, 2));
    const std::vector<double> b = draws.of("b", 0, normal(10, 2));
    for (std::size_t i = 0; i < 100; ++i) {
        CHECK((a[i] - 10) / 2 == doctest::Approx((again[i] - 1) / 0.5).epsilon(1e-12));
        CHECK((a[i] > 10) == (flat[i] > 0.5));
    }
    const double independent = 5.0 / std::sqrt(static_cast<double>(trials)); // five sigma
    CHECK(std::abs(covariance(a, b) / 4) < independent);
    CHECK(std::abs(covariance(a, second) / 4) < independent);
    CHECK(mean(a) == doctest::Approx(10).epsilon(0.002));
    CHECK(std::sqrt(variance(a)) == doctest::Approx(2).epsilon(0.01));
    CHECK(mean(flat) == doctest::Approx(0.5).epsilon(0.005));
    CHECK(variance(flat) == doctest::Approx(1.0 / 12).epsilon(0.01)); // JCGM 100, 4.3.7

    CommonDraws other_order(trials, 7);
    CHECK(other_order.of("b", 0, normal(10, 2)) == b);
    CommonDraws other_seed(trials, 8);
    CHECK(other_seed.of("b", 0, normal(10, 2)) != b);
}

// Two readings of one stone whose values are lognormal and share a factor: V1 = a X Y, V2 = b X
// with ln X ~ N(0, s^2) from the grid, ln Y ~ N(0, t^2) from a factor that only the first has.
//   E V1 = a exp((s^2 + t^2) / 2), E V2 = b exp(s^2 / 2)
//   Var(V1 - V2) = E X^2 (a^2 E Y^2 - 2 a b E Y + b^2) - (E V1 - E V2)^2
//   P(V1 > V2) = Phi(ln(a / b) / t): X has no part in it
// (moments of the lognormal distribution: exp(n m + n^2 s^2 / 2)).
TEST_CASE("paired differences of lognormals against their closed form") {
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"],
                      "body_tone": ["N2"], "brightness": [3], "per_carat": [[[50, 200]]]}])";
    tiny.factors = R"([{"name": "pattern", "kind": "category",
                        "field": "/play_of_colour/pattern", "if_absent": 1,
                        "values": {"ribbon": [0.9, 1.4]}}])";
    const pricing::Matrix matrix = tiny.read();
    const Terms terms{matrix, *pricing::find(matrix.market_levels, "trade"), trials, 3};
    Stone plain = plain_stone(reading(2, 0));
    Stone ribbon = plain_stone(reading(1.9, 0));
    ribbon.play_of_colour->pattern = word("ribbon");
    Diagnostics diagnostics;
    const std::optional<Subject> first = subject_of(ribbon, terms, diagnostics);
    const std::optional<Subject> second = subject_of(plain, terms, diagnostics);
    REQUIRE(first);
    REQUIRE(second);
    CommonDraws draws(terms.trials, terms.seed);
    const std::vector<double> v1 = values_of(first->model, draws);
    const std::vector<double> v2 = values_of(second->model, draws);
    std::vector<double> difference(v1.size());
    double above = 0;
    for (std::size_t i = 0; i < v1.size(); ++i) {
        difference[i] = v1[i] - v2[i];
        above += v1[i] > v2[i] ? 1 : 0;
    }

    const double k = 1.959963984540054; // of 95 %
    const double s = std::log(4.0) / 2 / k;
    const double t = std::log(1.4 / 0.9) / 2 / k;
    const double a = 1.9 * 100 * std::sqrt(0.9 * 1.4);
    const double b = 2 * 100;
    const double mean_x = std::exp(s * s / 2);
    const double mean_y = std::exp(t * t / 2);
    const double expected = mean_x * (a * mean_y - b);
    const double var =
        std::exp(2 * s * s) * (a * a * std::exp(2 * t * t) - 2 * a * b * mean_y + b * b) -
        expected * expected;
    const double standard_error = std::sqrt(var / static_cast<double>(trials));
    CHECK(std::abs(mean(difference) - expected) < 5 * standard_error);
    CHECK(variance(difference) == doctest::Approx(var).epsilon(0.03).scale(0));
    const double phi = std::erfc(-std::log(a / b) / t / std::sqrt(2.0)) / 2;
    const double share = above / static_cast<double>(trials);
    CHECK(std::abs(share - phi) < 5 * std::sqrt(phi * (1 - phi) / static_cast<double>(trials)));
    // Drawn apart the difference would be far wider.
    CHECK(var < (variance(v1) + variance(v2)) / 5);
}

// With the shared factor alone, V1 - V2 = (a - b) X: its interval is that of X, to the last digit.
TEST_CASE("a difference that is all in common has the interval of what is common") {
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"],
                      "body_tone": ["N2"], "brightness": [3], "per_carat": [[[50, 200]]]}])";
    const pricing::Matrix matrix = tiny.read();
    const Terms terms{matrix, *pricing::find(matrix.market_levels, "trade"), trials, 3};
    Diagnostics diagnostics;
    const std::optional<Subject> heavy = subject_of(plain_stone(reading(3, 0)), terms, diagnostics);
    const std::optional<Subject> light = subject_of(plain_stone(reading(2, 0)), terms, diagnostics);
    REQUIRE(heavy);
    REQUIRE(light);
    CommonDraws draws(terms.trials, terms.seed);
    std::vector<double> difference = values_of(heavy->model, draws);
    const std::vector<double> v2 = values_of(light->model, draws);
    for (std::size_t i = 0; i < v2.size(); ++i) {
        difference[i] -= v2[i];
    }
    const Ranged range =
        ranged(heavy->valuation.likely - light->valuation.likely, difference, matrix.coverage);
    CHECK(range.likely == doctest::Approx(100).epsilon(1e-9));
    CHECK(range.low == doctest::Approx(50).epsilon(0.01).scale(0));
    CHECK(range.high == doctest::Approx(200).epsilon(0.01).scale(0));
    CHECK_FALSE(range.too_close());
}
