#include "fitting/support.hpp"

#include <random>

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;

namespace {

double middle(const pricing::Spread& spread) {
    return std::exp(spread.log_middle);
}

} // namespace

TEST_CASE("without evidence nothing moves") {
    Ledger ledger;
    ledger.add({.ratio = 1.5, .tone = 2, .grade = 2}, 40);
    const fitting::Proposal found = ledger.propose();
    REQUIRE(found.changes.size() == 1);
    CHECK(ledger.subject.numbers[found.changes[0].number].pointer == "/grids/0/per_carat/1/0");
    CHECK(found.changes[0].sales == 40);
    CHECK(found.held.size() == 1); // "flash"
    CHECK(found.unsold.size() == ledger.subject.numbers.size() - 2);
    for (std::size_t i = 0; i < found.spreads.size(); ++i) {
        const bool changed = i == found.changes[0].number;
        CHECK((changed ||
               found.spreads[i].log_middle == ledger.subject.numbers.spreads()[i].log_middle));
    }
}

TEST_CASE("sales that agree with the matrix leave its middles alone") {
    Ledger ledger;
    for (int i = 0; i < 200; ++i) {
        ledger.add(
            {.ratio = std::exp(0.25 * std::sin(i)), .tone = 1 + i % 2, .grade = 2.0 + (i / 2) % 2});
    }
    for (const fitting::Change& change : ledger.propose().changes) {
        CHECK(middle(change.now) / middle(change.before) == Approx(1).epsilon(0.03));
    }
}

TEST_CASE("no number changes by more than it may") {
    Ledger ledger;
    ledger.add({.ratio = 3, .tone = 1, .grade = 3}, 50);
    ledger.add({.ratio = 0.3, .tone = 2, .grade = 2}, 50);
    fitting::ProposalOptions options;
    options.most_change = 0.2;
    const fitting::Proposal found = ledger.propose(options);
    REQUIRE(found.changes.size() == 2);
    CHECK(middle(found.changes[0].now) / middle(found.changes[0].before) ==
          Approx(1.2).epsilon(0.003)); // and the rounding
    CHECK(middle(found.changes[1].now) / middle(found.changes[1].before) ==
          Approx(1 / 1.2).epsilon(0.003));
    CHECK(found.changes[0].bounded);
    CHECK(found.changes[1].bounded);
}

TEST_CASE("a darker and a brighter stone stay no cheaper, whatever the sales") {
    Ledger ledger;
    ledger.add({.ratio = 0.4, .tone = 1, .grade = 3}, 60); // below its neighbours
    ledger.add({.ratio = 1.6, .tone = 2, .grade = 3}, 20);
    const fitting::Proposal found = ledger.propose();
    const auto at = [&](std::string_view pointer) {
        return middle(found.spreads[ledger.index(pointer)]);
    };
    CHECK(at("/grids/0/per_carat/0/1") >= at("/grids/0/per_carat/1/1"));
    CHECK(at("/grids/0/per_carat/0/1") >= at("/grids/0/per_carat/0/0"));
    CHECK(at("/grids/0/per_carat/1/1") >= at("/grids/0/per_carat/1/0"));
    bool by_order = false;
    for (const fitting::Change& change : found.changes) {
        by_order = by_order || change.by_order;
    }
    CHECK(by_order);
    // Nothing is left out of order by rounding either.
    const pricing::Matrix matrix = fitting::with_spreads(small_matrix(), found.spreads);
    const fitting::Subject again(matrix);
    CHECK((again.orders == ledger.subject.orders));
}

TEST_CASE("an order that the matrix itself does not keep is not forced on it") {
    pricing::Matrix matrix = small_matrix();
    std::swap(matrix.grids[0].cells[1], matrix.grids[0].cells[3]); // N2 dearer than N1, at 3
    Ledger ledger(matrix);
    ledger.add({.ratio = 1, .tone = 1, .grade = 3}, 40);
    ledger.add({.ratio = 1.1, .tone = 2, .grade = 3}, 40);
    const fitting::Proposal found = ledger.propose();
    CHECK(middle(found.spreads[ledger.index("/grids/0/per_carat/1/1")]) >
          middle(found.spreads[ledger.index("/grids/0/per_carat/0/1")]));
}

TEST_CASE("a fault does not come to pay") {
    Ledger ledger;
    ledger.add({.ratio = 3, .fault = "minor"}, 100);
    ledger.add({.ratio = 1}, 100);
    const fitting::Proposal found = ledger.propose();
    const pricing::Spread& minor =
        found.spreads[ledger.index("/factors/1/values/crack/face/minor")];
    CHECK(minor.high() <= 1.0000001);
    CHECK(
        middle(minor) >
        middle(
            ledger.subject.numbers.spreads()[ledger.index("/factors/1/values/crack/face/minor")]));
}

TEST_CASE("the ranges come to hold as many sales as the matrix states") {
    std::mt19937_64 random(9);
    for (const double deviation : {0.08, 0.25, 0.6}) {
        std::normal_distribution<double> scatter(0, deviation);
        Ledger ledger;
        for (int i = 0; i < 1500; ++i) {
            ledger.add({.ratio = std::exp(scatter(random)),
                        .tone = 1 + i % 2,
                        .grade = 2.0 + (i / 2) % 2});
        }
        const fitting::Proposal found = ledger.propose();
        const fitting::Numbers& numbers = ledger.subject.numbers;
        std::vector<double> corrections;
        for (std::size_t i = 0; i < numbers.size(); ++i) {
            corrections.push_back(found.spreads[i].log_middle - numbers.spreads()[i].log_middle);
        }
        const double k = ledger.subject.matrix.coverage_factor;
        int inside = 0;
        for (const fitting::Observation& sale : ledger.sales) {
            const double residual = sale.log_ratio() - fitting::log_change(sale, corrections);
            const double u = std::sqrt(fitting::variance(sale, found.spreads, k));
            inside += std::abs(residual) <= k * u ? 1 : 0;
        }
        CAPTURE(deviation);
        CHECK(inside / 1500.0 == Approx(0.8).epsilon(0.02));
    }
}

TEST_CASE("a matrix of single numbers gets the ranges that its sales have") {
    std::mt19937_64 random(10);
    std::normal_distribution<double> scatter(0, 0.3);
    const pricing::Matrix matrix =
        Tiny{.coverage = "0.8",
             .grids = R"([{"name": "solid", "type": ["solid"], "transparency": ["opaque"],
                      "body_tone": ["N1"], "brightness": [3], "per_carat": [[100]]}])"}
            .read();
    Ledger ledger(matrix);
    for (int i = 0; i < 1000; ++i) {
        Stone stone = plain_stone();
        stone.body_tone = Range{1, 1};
        stone.sale = Sale{};
        stone.sale->price = 200 * std::exp(scatter(random));
        stone.sale->currency = "AUD";
        stone.sale->market_level = "trade";
        stone.sale->date = "2026-10-01";
        Diagnostics none;
        ledger.sales.push_back(
            *fitting::observe(stone, ledger.subject.matrix, ledger.subject.numbers, none));
    }
    const fitting::Proposal found = ledger.propose();
    const pricing::Spread& price = found.spreads[ledger.index("/grids/0/per_carat/0/0")];
    CHECK_FALSE(found.widening);
    // k 0.3 to either side
    CHECK(price.log_half == Approx(matrix.coverage_factor * 0.3).epsilon(0.06));
}
