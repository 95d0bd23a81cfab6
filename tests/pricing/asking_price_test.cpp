#include "pricing/asking_price.hpp"

#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::pricing;

namespace {

constexpr std::int64_t dollar = 100; // cents

ListStep step(std::int64_t from, std::int64_t to_nearest, std::int64_t ending = 0) {
    return {{from * dollar, 2}, {to_nearest * dollar, 2}, {ending * dollar, 2}};
}

Matrix listing(std::vector<ListStep> steps) {
    Matrix matrix;
    matrix.currency = {"AUD", 2};
    matrix.rounding = {{0, 1}, {100, 5}};
    matrix.list_prices = std::move(steps);
    return matrix;
}

std::string listed(const Matrix& matrix, double price) {
    return plain(list_price(matrix, to_money(price, matrix.currency)));
}

AskingPrice asked(double likely, const Matrix& matrix, std::string_view rate = "") {
    Diagnostics diagnostics;
    const std::optional<TaxRate> tax = rate.empty() ? std::nullopt : tax_rate_from(rate);
    REQUIRE(tax.has_value() == !rate.empty());
    const std::optional<AskingPrice> price = asking_price(likely, matrix, tax, diagnostics);
    REQUIRE(price);
    CHECK(diagnostics.empty());
    return *price;
}

std::string refused(double likely, const Matrix& matrix) {
    Diagnostics diagnostics;
    CHECK_FALSE(asking_price(likely, matrix, std::nullopt, diagnostics));
    REQUIRE(diagnostics.size() == 1);
    CHECK(diagnostics.front().code == Code::not_priced);
    return diagnostics.front().message;
}

} // namespace

TEST_CASE("the nearest list price, the dearer of two that are equally near") {
    const Matrix fives = listing({step(0, 5)});
    CHECK(listed(fives, 12.49) == "10.00");
    CHECK(listed(fives, 12.50) == "15.00");
    CHECK(listed(fives, 15) == "15.00");
    CHECK(listed(fives, 1e9) == "1000000000.00");
}

TEST_CASE("list prices with an ending") {
    const Matrix nines = listing({step(0, 10, 9)});
    CHECK(listed(nines, 3) == "9.00");
    CHECK(listed(nines, 13.99) == "9.00");
    CHECK(listed(nines, 14) == "19.00");
    CHECK(listed(nines, 103) == "99.00");
    CHECK(listed(nines, 105) == "109.00");
}

TEST_CASE("nothing is listed at nothing, and none below the first step") {
    CHECK(listed(listing({step(0, 5)}), 0.01) == "5.00");
    CHECK(listed(listing({step(30, 20)}), 1) == "40.00");
}

TEST_CASE("across the border of two steps the nearest price of either counts") {
    // ... 85, 95 | 100, 150, 200 ...
    const Matrix matrix = listing({step(0, 10, 5), step(100, 50)});
    CHECK(listed(matrix, 97.49) == "95.00");
    CHECK(listed(matrix, 97.50) == "100.00");
    CHECK(listed(matrix, 99) == "100.00");
    CHECK(listed(matrix, 124.99) == "100.00");
    CHECK(listed(matrix, 125) == "150.00");
    // 90, none in [100, 100], 109: a step begins below its first price
    const Matrix gap = listing({step(0, 10), step(100, 10, 9)});
    CHECK(listed(gap, 99) == "90.00");
    CHECK(listed(gap, 99.50) == "109.00");
}

TEST_CASE("a dearer stone is never listed cheaper") {
    const Matrix matrix = listing({step(0, 7, 3), step(50, 40, 39), step(200, 3), step(205, 100)});
    std::int64_t before = 0;
    for (std::int64_t cents = 1; cents < 60'000; cents += 7) {
        const std::int64_t price = list_price(matrix, {cents, 2}).minor;
        REQUIRE(price >= before);
        before = price;
    }
}

TEST_CASE("a step without a price") {
    const ListStep from_ten = step(10, 50, 40);
    const ListStep at_thirty = step(30, 10);
    const ListStep at_forty_one = step(41, 10);
    CHECK_FALSE(lists_a_price(from_ten, &at_thirty));
    CHECK(lists_a_price(from_ten, &at_forty_one));
    CHECK(lists_a_price(from_ten, nullptr));
    // It is passed over: 40 would be the first, and from 30 on there are 30, 40, ...
    const Matrix matrix = listing({from_ten, at_thirty});
    CHECK(listed(matrix, 12) == "30.00");
    CHECK(listed(matrix, 36) == "40.00");
}

TEST_CASE("a rate in per cent, with its sign") {
    for (const auto& [text, thousandths] :
         {std::pair{"10%", 10'000}, {"8.875%", 8'875}, {"0.5%", 500}, {"100%", 100'000}}) {
        const std::optional<TaxRate> rate = tax_rate_from(text);
        REQUIRE(rate);
        CHECK(rate->thousandths == thousandths);
        CHECK(per_cent(*rate) + "%" == text);
    }
    for (const std::string_view text :
         {"", "%", "10", "0.1", "0%", "-10%", "100.1%", "1000%", "8.8755%", "8,5%", "1e1%", "nan%",
          ".5%", "5.%", "10 %", "0x10%", "10%%", "+5%", "0010%"}) {
        CAPTURE(text);
        CHECK_FALSE(tax_rate_from(text));
    }
}

TEST_CASE("tax is added before the list price, and the total holds its share") {
    // 952.79 x 1.1 = 1048.069; the total is 1050, of which 1050 x 10 / 110 = 95.4545... is tax.
    const AskingPrice price = asked(952.79, listing({step(0, 50)}), "10%");
    CHECK(plain(price.likely) == "952.79");
    CHECK(plain(price.with_tax) == "1048.07");
    CHECK(plain(price.total) == "1050.00");
    REQUIRE(price.tax);
    CHECK(plain(*price.tax) == "95.45");
}

// Australian Taxation Office, "How GST works": the tax is one eleventh of the price (from memory).
TEST_CASE("the tax of ten per cent is one eleventh of the price") {
    const AskingPrice price = asked(100, listing({step(0, 110)}), "10%");
    CHECK(plain(price.total) == "110.00");
    CHECK(plain(*price.tax) == "10.00");
}

TEST_CASE("halves of a cent of tax go up") {
    // 0.20 x 1.025 = 0.205
    CHECK(plain(asked(0.20, listing({{{1, 2}, {1, 2}, {0, 2}}}), "2.5%").with_tax) == "0.21");
}

TEST_CASE("without a tax none is stated, and without list prices the matrix rounds") {
    const AskingPrice price = asked(463.18, listing({}));
    CHECK(plain(price.with_tax) == "463.18");
    CHECK(plain(price.total) == "465.00");
    CHECK_FALSE(price.tax);
}

TEST_CASE("currencies with other minor units") {
    Matrix matrix = listing({});
    matrix.currency = {"JPY", 0};
    matrix.list_prices = {{{0, 0}, {500, 0}, {0, 0}}};
    CHECK(plain(asked(12'345.6, matrix, "10%").total) == "13500");
    matrix.currency = {"KWD", 3};
    matrix.list_prices = {{{0, 3}, {250, 3}, {0, 3}}};
    CHECK(plain(asked(1.2, matrix).total) == "1.250");
}

TEST_CASE("prices that no list can show are refused") {
    CHECK(refused(0.4, listing({})) == "The price, 0.40, is rounded to nothing.");
    CHECK(refused(1.1e12, listing({step(0, 5)})) ==
          "A price above 1,000,000,000,000 is not exact to the minor unit.");
}

TEST_CASE("the largest price stays exact") {
    CHECK(plain(asked(1e12, listing({step(0, 1'000'000'000)}), "100%").total) ==
          "2000000000000.00");
}
