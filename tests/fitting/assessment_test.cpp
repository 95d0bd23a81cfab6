#include "fitting/assessment.hpp"
#include "fitting/support.hpp"

#include <random>

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;
using fitting::Foretold;

namespace {

Foretold foretold(double value, double price, double u = 0.2) {
    return {std::log(value), std::log(price), u};
}

Ledger scattered(double deviation, int count, unsigned seed, double truth = 1) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> scatter(0, deviation);
    Ledger ledger;
    for (int i = 0; i < count; ++i) {
        ledger.add({.ratio = (i % 2 == 0 ? truth : 1) * std::exp(scatter(random)),
                    .tone = 1 + i % 2,
                    .grade = 2.0 + (i / 2) % 2,
                    .unsold = i % 10 == 9,
                    .days = (i * 37) % 700});
    }
    return ledger;
}

fitting::Assessment cut(const Ledger& ledger, std::size_t threads) {
    const fitting::Proposal proposal = ledger.propose();
    fitting::Assessment found = fitting::assess(ledger.sales, ledger.subject);
    fitting::cut_up(found, ledger.sales, ledger.subject, {}, proposal.estimate, threads);
    return found;
}

} // namespace

TEST_CASE("bias, error, coverage and ranks by hand") {
    // ln ratios: ln 2, 0, -ln 2, ln 1.25; errors over the price: 1/2, 0, 1, 1/5
    const std::vector<Foretold> sales{foretold(100, 200, 1), foretold(300, 300), foretold(80, 40),
                                      foretold(400, 500)};
    const fitting::Quality found = fitting::quality(sales, 1.2);
    CHECK(found.sales == 4);
    CHECK(found.bias_log == Approx(std::log(1.25) / 4));
    CHECK(found.median_ape == Approx(0.35));
    CHECK(found.coverage == Approx(0.75)); // 0.69 <= 1.2; 0 <= 0.24; 0.69 > 0.24; 0.223 <= 0.24
    CHECK(*found.rank_correlation == Approx(1));
    CHECK_FALSE(fitting::quality(std::vector{foretold(1, 1)}, 1).rank_correlation.has_value());
}

TEST_CASE("Spearman's rank correlation, ties at their mean rank") {
    // One minus 6 sum d^2 / (n (n^2 - 1)), without ties: d = 1, 1, 1, 1, 0 gives 0.8.
    const std::vector<Foretold> five{foretold(1, 2), foretold(2, 1), foretold(3, 4), foretold(4, 3),
                                     foretold(5, 5)};
    CHECK(*fitting::quality(five, 1).rank_correlation == Approx(0.8));
    // Ranks 1, 2.5, 2.5, 4 against 1, 2, 3, 4: 4.5 / sqrt(4.5 x 5).
    const std::vector<Foretold> tied{foretold(1, 1), foretold(2, 2), foretold(2, 3),
                                     foretold(3, 4)};
    CHECK(*fitting::quality(tied, 1).rank_correlation == Approx(4.5 / std::sqrt(22.5)));
}

TEST_CASE("a table is no better where it has nothing to learn, and better where it has") {
    const fitting::Assessment known = cut(scattered(0.2, 400, 3), 1);
    REQUIRE(known.by_folds);
    REQUIRE(known.by_time);
    CHECK(known.by_folds->before.median_ape ==
          Approx(known.by_folds->after.median_ape).epsilon(0.05));
    const fitting::Assessment off = cut(scattered(0.2, 400, 3, 1.8), 1);
    CHECK(off.no_better() == nullptr);
    CHECK(off.by_folds->after.median_ape < 0.75 * off.by_folds->before.median_ape);
    CHECK(off.by_folds->after.coverage == Approx(0.8).epsilon(0.06));
    CHECK(off.by_folds->before.coverage < 0.7);
    CHECK(off.by_folds->before.sales == 360); // the unsold are not foretold
    CHECK(off.by_time->before.sales < 100);
    CHECK(off.unsold == 40);
}

TEST_CASE("the number of threads changes nothing") {
    const Ledger ledger = scattered(0.2, 120, 4, 1.3);
    const fitting::Assessment one = cut(ledger, 1);
    const fitting::Assessment many = cut(ledger, 5);
    CHECK(one.by_folds->after.median_ape == many.by_folds->after.median_ape);
    CHECK(one.by_folds->after.bias_log == many.by_folds->after.bias_log);
    CHECK(one.by_time->after.bias_log == many.by_time->after.bias_log);
}

TEST_CASE("few sales are not cut up") {
    const fitting::Assessment found = cut(scattered(0.2, 19, 5), 2);
    CHECK(found.quality);
    CHECK_FALSE(found.by_folds);
    CHECK(found.no_better() == nullptr);
}

TEST_CASE("sales are told by class, tone, brightness, size and year") {
    Ledger ledger;
    ledger.add({.ratio = 1.1, .tone = 1});
    ledger.add({.ratio = 1.2, .tone = 2, .days = 400});
    ledger.add({.ratio = 1.3, .tone = 2, .grade = 2, .unsold = true});
    const fitting::Assessment found = fitting::assess(ledger.sales, ledger.subject);
    std::string told;
    for (const fitting::Breakdown& breakdown : found.breakdowns) {
        told += breakdown.by + ":";
        for (const fitting::Group& group : breakdown.groups) {
            told += " " + group.name + " (" + std::to_string(group.quality.sales) + ")";
        }
        told += "\n";
    }
    CHECK(told == "class: solid (2)\n"
                  "body tone: N1 (1) N2 (1)\n"
                  "brightness: 3 (2)\n"
                  "size: 2 to 5 ct (2)\n"
                  "year: 2025 (1) 2026 (1)\n");
    CHECK(found.unsold == 1);
    CHECK(found.unsold_below == 0);
}
