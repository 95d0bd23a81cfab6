#include "pricing/conversion.hpp"
#include "valuation/support.hpp"

#include <doctest/doctest.h>

using namespace trayworth;

TEST_CASE("a step of rounding goes to the nearest 1, 2 or 5 times a power of ten") {
    CHECK(pricing::round_step(1) == 1);
    CHECK(pricing::round_step(5) == 5);
    CHECK(pricing::round_step(0.65) == 0.5);
    CHECK(pricing::round_step(6.5) == 5);
    CHECK(pricing::round_step(7.2) == 10); // further from 5 in the logarithm
    CHECK(pricing::round_step(1.4) == 1);
    CHECK(pricing::round_step(1.5) == 2);
    CHECK(pricing::round_step(972.5) == 1000);
    CHECK(pricing::round_step(0.0325) == 0.05);
}

TEST_CASE("a conversion changes the currency and the rounding, and no price") {
    const pricing::Matrix own = test::Tiny().read();
    const pricing::Matrix yen = pricing::converted(own, *currency_from("JPY"), 97.25, "2026-11-01");
    CHECK(yen.currency.code == "JPY");
    CHECK(yen.currency.minor_digits == 0);
    CHECK(yen.price_currency().code == "AUD");
    CHECK(own.price_currency().code == "AUD");
    CHECK(yen.rounding[0].to_nearest == 100);
    CHECK(yen.conversion->rate.figures.likely == 97.25);
    CHECK(yen.grids[0].price(2, 3).low() == own.grids[0].price(2, 3).low());
    const Stone stone = test::plain_stone();
    CHECK(test::value_of(stone, yen)->likely ==
          doctest::Approx(97.25 * test::value_of(stone, own)->likely).epsilon(1e-15).scale(0));
    CHECK(test::value_of(stone, yen)->reasons.back().row.step == "currency");
    CHECK(test::value_of(stone, yen)->u == test::value_of(stone, own)->u);
}
