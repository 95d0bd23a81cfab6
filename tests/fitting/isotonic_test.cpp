#include "fitting/isotonic.hpp"

#include <algorithm>
#include <random>

#include <doctest/doctest.h>

using namespace trayworth;
using fitting::Chain;
using fitting::isotonic;
using fitting::ordered_within;

namespace {

// max over j <= i of min over k >= i of the weighted mean from j to k: T. Robertson, F. T. Wright,
// R. L. Dykstra, Order Restricted Statistical Inference, 1988, theorem 1.4.4 (from memory).
double
min_max(const std::vector<double>& values, const std::vector<double>& weights, std::size_t i) {
    double most = -1e300;
    for (std::size_t j = 0; j <= i; ++j) {
        double least = 1e300;
        for (std::size_t k = i; k < values.size(); ++k) {
            double sum = 0;
            double weight = 0;
            for (std::size_t at = j; at <= k; ++at) {
                sum += weights[at] * values[at];
                weight += weights[at];
            }
            least = std::min(least, sum / weight);
        }
        most = std::max(most, least);
    }
    return most;
}

double squares(const std::vector<double>& a,
               const std::vector<double>& b,
               const std::vector<double>& weights) {
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        sum += weights[i] * (a[i] - b[i]) * (a[i] - b[i]);
    }
    return sum;
}

} // namespace

TEST_CASE("neighbours that descend meet at their weighted mean") {
    CHECK(isotonic(std::vector{1.0, 3.0, 2.0, 4.0}, std::vector{1.0, 1.0, 1.0, 1.0}) ==
          std::vector{1.0, 2.5, 2.5, 4.0});
    const std::vector<double> pooled = isotonic(std::vector{3.0, 0.0}, std::vector{2.0, 1.0});
    CHECK(pooled == std::vector{2.0, 2.0});
    CHECK(isotonic(std::vector<double>{}, std::vector<double>{}).empty());
}

TEST_CASE("isotonic regression is the max-min of means") {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> value(-1, 1);
    std::uniform_real_distribution<double> weight(0.1, 5);
    for (int round = 0; round < 50; ++round) {
        std::vector<double> values(12);
        std::vector<double> weights(12);
        std::generate(values.begin(), values.end(), [&] { return value(random); });
        std::generate(weights.begin(), weights.end(), [&] { return weight(random); });
        const std::vector<double> found = isotonic(values, weights);
        for (std::size_t i = 0; i < values.size(); ++i) {
            CHECK(found[i] == doctest::Approx(min_max(values, weights, i)).epsilon(1e-12).scale(1));
        }
    }
}

TEST_CASE("orders of a grid hold together, and nothing feasible is nearer") {
    constexpr std::size_t rows = 3;
    constexpr std::size_t columns = 4;
    std::vector<Chain> chains;
    for (std::size_t row = 0; row < rows; ++row) {
        chains.push_back({row * columns, row * columns + 1, row * columns + 2, row * columns + 3});
    }
    for (std::size_t column = 0; column < columns; ++column) {
        chains.push_back({column, columns + column, 2 * columns + column});
    }
    std::mt19937_64 random(5);
    std::uniform_real_distribution<double> value(-1, 1);
    std::uniform_real_distribution<double> weight(0.1, 5);
    const std::vector<Range<double>> limits(rows * columns, Range<double>{-0.5, 0.4});
    const auto feasible = [&](const std::vector<double>& x) {
        return std::all_of(chains.begin(), chains.end(),
                           [&](const Chain& chain) {
                               return std::is_sorted(chain.begin(), chain.end(),
                                                     [&](std::size_t a, std::size_t b) {
                                                         return x[a] < x[b] - 1e-10;
                                                     });
                           }) &&
               std::all_of(x.begin(), x.end(),
                           [](double one) { return one >= -0.5 && one <= 0.4; });
    };
    for (int round = 0; round < 20; ++round) {
        std::vector<double> wanted(rows * columns);
        std::vector<double> weights(rows * columns);
        std::generate(wanted.begin(), wanted.end(), [&] { return value(random); });
        std::generate(weights.begin(), weights.end(), [&] { return weight(random); });
        const std::vector<double> found = ordered_within(wanted, weights, limits, chains);
        REQUIRE(feasible(found));
        // Between the solution and any feasible point the distance grows from the first step on.
        for (int trial = 0; trial < 50; ++trial) {
            std::vector<double> other(rows * columns);
            std::generate(other.begin(), other.end(), [&] { return value(random); });
            other = ordered_within(other, weights, limits, chains);
            for (std::size_t i = 0; i < other.size(); ++i) {
                other[i] = found[i] + 1e-3 * (other[i] - found[i]);
            }
            CHECK(squares(other, wanted, weights) >= squares(found, wanted, weights) - 1e-12);
        }
    }
}

TEST_CASE("what is within its limits and in order stays") {
    const std::vector<double> values{1, 2, 3};
    CHECK(ordered_within(values, std::vector{1.0, 1.0, 1.0},
                         std::vector{Range<double>{0, 9}, Range<double>{2, 2}, Range<double>{0, 9}},
                         std::vector<Chain>{{0, 1, 2}}) == values);
    // A number that is fixed does not give way.
    const std::vector<double> met = ordered_within(
        {3, 2}, std::vector{1.0, 1.0}, std::vector{Range<double>{-9, 9}, Range<double>{2, 2}},
        std::vector<Chain>{{0, 1}});
    CHECK(met[0] == doctest::Approx(2).epsilon(1e-9));
    CHECK(met[1] == 2);
}
