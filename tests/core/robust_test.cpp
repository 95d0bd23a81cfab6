#include "core/robust.hpp"

#include <cmath>
#include <optional>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;

TEST_CASE("robust: median and robust deviation") {
    CHECK(median({3, 1, 2}) == 2);
    CHECK(median({4, 1, 3, 2}) == 2.5);
    CHECK(median({7}) == 7);
    CHECK(robust_deviation({5, 5, 5}) == 0);
    // Distances from the median 3: 2, 1, 0, 1, 97; their median is 1.
    CHECK(robust_deviation({1, 2, 3, 4, 100}) == doctest::Approx(1.4826).epsilon(1e-12).scale(0));
}

TEST_CASE("robust: the median polish of a published table") {
    // Infant deaths by father's schooling, Velleman and Hoaglin, Applications, Basics, and
    // Computing of Exploratory Data Analysis, 1981, chapter 8 (from memory; overall 8, rows 6 -1 0
    // 2 -8, columns 0 -1 0, and the sums close).
    const std::vector<double> table{14, 15, 14, 7, 4, 7, 8, 2, 10, 15, 9, 10, 0, 2, 0};
    const std::vector<double> rows{6, -1, 0, 2, -8};
    const std::vector<double> columns{0, -1, 0};
    const auto residuals = median_polish_residuals({table.begin(), table.end()}, 3);
    double sum = 0;
    for (std::size_t i = 0; i < table.size(); ++i) {
        CAPTURE(i);
        REQUIRE(residuals[i]);
        CHECK(*residuals[i] == table[i] - (8 + rows[i / 3] + columns[i % 3]));
        sum += std::abs(*residuals[i]);
    }
    CHECK(sum == 19);
}

TEST_CASE("robust: one wrong value stands out alone, and gaps stay gaps") {
    std::vector<std::optional<double>> table;
    for (int row = 0; row < 4; ++row) {
        for (int column = 0; column < 5; ++column) {
            table.emplace_back(10 * row + column);
        }
    }
    *table[7] += 100;
    table[12].reset();
    const auto residuals = median_polish_residuals(table, 5);
    for (std::size_t i = 0; i < table.size(); ++i) {
        CAPTURE(i);
        if (i == 12) {
            CHECK_FALSE(residuals[i]);
        } else {
            CHECK(*residuals[i] == (i == 7 ? 100 : 0));
        }
    }
}
