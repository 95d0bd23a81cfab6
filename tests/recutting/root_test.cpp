#include "recutting/root.hpp"

#include <cmath>
#include <numbers>

#include <doctest/doctest.h>

using trayworth::recutting::crossing_between;
using trayworth::recutting::first_crossing;

namespace {

template<class F>
double root(double a, double b, F f, int* evaluations = nullptr) {
    return crossing_between(a, b, f(a), f(b), 1e-13, [&](double x) {
        if (evaluations != nullptr) {
            ++*evaluations;
        }
        return f(x);
    });
}

template<class F>
auto crossing(double end, F f, std::size_t steps = 100) {
    return first_crossing(end, steps, 1e-12, [&](double x) { return std::optional<double>(f(x)); });
}

} // namespace

TEST_CASE("roots that are known in closed form") {
    int evaluations = 0;
    CHECK(std::abs(root(
                       0, 2, [](double x) { return 2 - x * x; }, &evaluations) -
                   std::numbers::sqrt2) < 1e-12);
    CHECK(evaluations < 15);
    CHECK(std::abs(root(0, 1, [](double x) { return std::cos(x) - x; }) - 0.7390851332151607) <
          1e-12); // the Dottie number
    CHECK(std::abs(root(0, 3, [](double x) { return std::exp(-x) - 0.5; }) - std::numbers::ln2) <
          1e-12);
    // Flat at its root: still a change of sign.
    CHECK(std::abs(root(-1, 1.5, [](double x) { return -x * x * x; })) < 1e-4);
}

TEST_CASE("what is given back is on the side that gains") {
    for (double target = 0.1; target < 1; target += 0.07) {
        const auto f = [target](double x) { return target - x * (1 + x); };
        CHECK(f(root(0, 1, f)) >= 0);
    }
}

TEST_CASE("a jump is a root") {
    const double at = root(0, 1, [](double x) { return x <= 0.3 ? 5.0 : -2.0; });
    CHECK(at <= 0.3);
    CHECK(at > 0.3 - 1e-9);
}

TEST_CASE("the first crossing of several, from no loss on") {
    // Zero at 0.25, 0.5 and 0.75.
    const auto wave = [](double x) { return (0.25 - x) * (0.5 - x) * (0.75 - x); };
    CHECK(std::abs(*crossing(1, wave).at - 0.25) < 1e-9);
    // Gains at first, then loses: the gain does not end the search.
    const auto hump = [](double x) { return 1 + 3 * x - 8 * x * x; };
    CHECK(std::abs(*crossing(1, hump).at - (3 + std::sqrt(41.0)) / 16) < 1e-9);
}

TEST_CASE("ends of the search") {
    CHECK(*crossing(1, [](double) { return -1.0; }).at == 0);
    CHECK(*crossing(1, [](double) { return 0.0; }).at == 0);
    const auto none = crossing(1, [](double) { return 1.0; });
    CHECK_FALSE(none.at);
    CHECK(none.reach == 1);
    // Beyond 0.42 there is no value.
    const auto cut = first_crossing(
        1, 10, 1e-12, [](double x) { return x > 0.42 ? std::nullopt : std::optional(1.0); });
    CHECK_FALSE(cut.at);
    CHECK(cut.reach == doctest::Approx(0.4).epsilon(1e-12));
}
