// What R says of the same numbers is in reference.py; here is what can be said by hand.
#include "fitting/support.hpp"

#include <limits>

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;

namespace {

fitting::EstimateOptions plain() {
    fitting::EstimateOptions options;
    options.huber = std::numeric_limits<double>::infinity();
    options.shrink = false;
    options.prior_weight = 0;
    options.tolerance = 1e-12;
    return options;
}

fitting::Estimate estimate(const Ledger& ledger, const fitting::EstimateOptions& options = {}) {
    return fitting::estimate(ledger.all(), ledger.subject.numbers,
                             ledger.subject.matrix.coverage_factor, options);
}

} // namespace

TEST_CASE("sales of one cell move it by the mean of their logarithms") {
    Ledger ledger;
    for (const double log_ratio : {0.1, 0.2, 0.6}) {
        ledger.add({.ratio = std::exp(log_ratio)});
    }
    const fitting::Estimate found = estimate(ledger, plain());
    const std::size_t cell = ledger.index("/grids/0/per_carat/0/1");
    CHECK(found.converged);
    CHECK(found.corrections[cell] == Approx(0.3));
    CHECK(found.sales[cell] == 3);
    // s of 0.1, 0.2, 0.6 about their mean is sqrt(0.07); of the mean, over sqrt 3
    CHECK(found.residual_deviation == Approx(std::sqrt(0.07)));
    CHECK(found.standard_errors[cell] == Approx(std::sqrt(0.07 / 3)));
    for (std::size_t i = 0; i < found.corrections.size(); ++i) {
        CHECK((i == cell || found.corrections[i] == 0));
    }
}

TEST_CASE("few sales move a number little, many move it firmly") {
    double before = 0;
    for (const int times : {1, 4, 16, 64, 256}) {
        Ledger ledger;
        ledger.add({.ratio = 1.5}, times);
        const double moved = estimate(ledger).corrections[ledger.index("/grids/0/per_carat/0/1")];
        CHECK(moved > before);
        CHECK(moved < std::log(1.5));
        before = moved;
    }
    CHECK(before > 0.97 * std::log(1.5));
}

TEST_CASE("a sale that is far off counts little") {
    Ledger ledger;
    for (int i = 0; i < 30; ++i) {
        ledger.add({.ratio = std::exp(0.2 + 0.01 * (i % 7 - 3))});
    }
    ledger.add({.ratio = 100});
    const std::size_t cell = ledger.index("/grids/0/per_carat/0/1");
    fitting::EstimateOptions options = plain();
    const fitting::Estimate squares = estimate(ledger, options);
    options.huber = fitting::usual_huber;
    const fitting::Estimate robust = estimate(ledger, options);
    CHECK(robust.corrections[cell] == Approx(0.2).epsilon(0.05));
    CHECK(squares.corrections[cell] == Approx(0.2 + (std::log(100) - 0.2) / 31).epsilon(0.02));
    CHECK(robust.odd == 1);
}

TEST_CASE("a stone that did not sell says that it is worth less, and no more") {
    const auto moved = [](double asked) {
        Ledger ledger;
        ledger.add({.ratio = 1.1}, 10);
        ledger.add({.ratio = 0.9}, 10);
        ledger.add({.ratio = asked, .unsold = true}, 10);
        return estimate(ledger).corrections[ledger.index("/grids/0/per_carat/0/1")];
    };
    CHECK(moved(0.6) < -0.1);          // asked low, and still nobody paid
    CHECK(moved(1.0) < moved(1.5));    //
    CHECK(std::abs(moved(20)) < 0.01); // asked a fancy price: that says nothing
}

TEST_CASE("a trend is by the year before the last sale") {
    Ledger ledger;
    for (int year = 0; year < 5; ++year) {
        for (const double tone_grade : {2.0, 3.0}) {
            ledger.add({.ratio = std::exp(0.3 - 0.07 * year),
                        .grade = tone_grade,
                        .days = static_cast<int>(std::lround(365.2425 * year))});
        }
    }
    fitting::EstimateOptions options = plain();
    options.trend = true;
    const fitting::Estimate found = estimate(ledger, options);
    REQUIRE(found.trend);
    CHECK(found.trend->per_year == Approx(0.07).epsilon(1e-3));
    CHECK(found.corrections[ledger.index("/grids/0/per_carat/0/1")] == Approx(0.3).epsilon(1e-3));
}

TEST_CASE("a residual that is left out is that of the fit without the sale") {
    Ledger ledger;
    int i = 0;
    for (const std::string_view pattern :
         {"flash", "straw", "moss", "straw", "moss", "flash", "straw"}) {
        ledger.add({.ratio = std::exp(0.13 * (++i % 4) - 0.2),
                    .tone = 1 + i % 2,
                    .pattern = std::string(pattern)});
    }
    const fitting::Estimate whole = estimate(ledger, plain());
    for (std::size_t out = 0; out < ledger.sales.size(); ++out) {
        Ledger others;
        others.sales = ledger.sales;
        others.sales.erase(others.sales.begin() + static_cast<std::ptrdiff_t>(out));
        const fitting::Estimate without = estimate(others, plain());
        const fitting::Observation& sale = ledger.sales[out];
        REQUIRE(whole.left_out[out]);
        CHECK(*whole.left_out[out] ==
              Approx(sale.log_ratio() - fitting::log_change(sale, without.corrections))
                  .epsilon(1e-6)
                  .scale(0.01));
    }
}

TEST_CASE("numbers that no sale tells apart are named") {
    Ledger ledger;
    ledger.add({.ratio = 1.2, .tone = 1, .pattern = "straw"}, 3);
    ledger.add({.ratio = 0.9, .tone = 2, .pattern = "moss", .fault = "minor"}, 3);
    const fitting::Estimate found = estimate(ledger);
    const auto has = [&](std::string_view a, std::string_view b) {
        const std::pair wanted{ledger.index(a), ledger.index(b)};
        return std::find(found.together.begin(), found.together.end(), wanted) !=
               found.together.end();
    };
    CHECK(has("/grids/0/per_carat/0/1", "/factors/0/values/straw"));
    CHECK(has("/factors/0/values/moss", "/factors/1/values/crack/face/minor"));
    CHECK_FALSE(has("/factors/0/values/straw", "/factors/0/values/moss"));
    Ledger apart;
    apart.add({.ratio = 1.2, .tone = 1, .pattern = "straw"}, 3);
    apart.add({.ratio = 1.2, .tone = 1}, 3);
    apart.add({.ratio = 0.9, .tone = 2, .pattern = "moss"}, 3);
    apart.add({.ratio = 0.9, .tone = 2}, 3);
    const fitting::Estimate told = estimate(apart);
    CHECK(told.together.empty());
    CHECK(told.tied_tables.empty());
}

TEST_CASE("tables that can move against each other are named") {
    // Every stone has a pattern that is not held: all prices up and all patterns down, unnoticed.
    Ledger ledger;
    for (const int tone : {1, 2}) {
        for (const std::string_view pattern : {"straw", "moss"}) {
            ledger.add({.ratio = 1.1, .tone = tone, .pattern = std::string(pattern)}, 2);
        }
    }
    const fitting::Estimate found = estimate(ledger);
    CHECK(found.together.empty());
    CHECK((found.tied_tables == std::vector<std::string>{"solid", "pattern"}));
}
