#include "fitting/support.hpp"

#include <random>

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;

namespace {

Stone with_sale(Stone stone, double price) {
    stone.sale = Sale{};
    stone.sale->price = price;
    stone.sale->currency = "AUD";
    stone.sale->market_level = "retail";
    stone.sale->date = "2026-10-01";
    return stone;
}

} // namespace

TEST_CASE("the numbers of a matrix are each found once, and can be put back") {
    const pricing::Matrix& matrix = demonstration();
    const fitting::Numbers numbers(matrix);
    // Six grids of 45 cells; three levels beside the matrix's own; factors by hand from the file.
    std::size_t cells = 0;
    std::size_t held = 0;
    for (const fitting::Number& number : numbers.all()) {
        cells += number.price ? 1 : 0;
        held += number.held ? 1 : 0;
    }
    CHECK(cells == 270);
    CHECK(held == 13);
    CHECK(numbers[0].pointer == "/market_levels/parcel");
    CHECK(numbers[3].pointer == "/grids/0/per_carat/0/0");
    CHECK(numbers[3].name == "N1 at brightness 1");
    const pricing::Matrix same = fitting::with_spreads(matrix, numbers.spreads());
    const fitting::Numbers again(same);
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        CHECK(again.spreads()[i].log_middle == numbers.spreads()[i].log_middle);
        CHECK(again[i].pointer == numbers[i].pointer);
    }
}

TEST_CASE("a correction changes the value as the corrected matrix does") {
    const pricing::Matrix& matrix = demonstration();
    const fitting::Numbers numbers(matrix);
    std::mt19937_64 random(11);
    std::normal_distribution<double> step(0, 0.2);
    std::vector<double> corrections(numbers.size());
    std::vector<pricing::Spread> spreads = numbers.spreads();
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        corrections[i] = numbers[i].held ? 0 : step(random);
        spreads[i].log_middle += corrections[i];
    }
    const pricing::Matrix corrected = fitting::with_spreads(matrix, spreads);
    std::size_t tried = 0;
    for (const Stone& stone : all_examples()) {
        Diagnostics diagnostics;
        const std::optional<fitting::Observation> sale =
            fitting::observe(with_sale(stone, 100), matrix, numbers, diagnostics);
        if (!sale) {
            continue; // not priced, as some of the examples are meant to be
        }
        CAPTURE(stone.id.value_or(""));
        const Outcome after = value_of(stone, corrected, "retail");
        CHECK(sale->log_value == Approx(std::log(value_of(stone, matrix, "retail")->likely)));
        // Seven digits in each of a dozen factors.
        CHECK(std::abs(sale->log_value + fitting::log_change(*sale, corrections) -
                       std::log(after->likely)) < 2e-6);
        // Straddles of other width are the rest.
        CHECK(std::sqrt(fitting::variance(*sale, numbers.spreads(), matrix.coverage_factor)) ==
              Approx(value_of(stone, matrix, "retail")->u).epsilon(1e-6));
        ++tried;
    }
    CHECK(tried >= 12);
}

TEST_CASE("wider [low, high] make the variance that the wider matrix has") {
    const pricing::Matrix& matrix = demonstration();
    const fitting::Numbers numbers(matrix);
    std::vector<pricing::Spread> spreads = numbers.spreads();
    for (pricing::Spread& spread : spreads) {
        spread.log_half *= 1.5;
    }
    const pricing::Matrix wider = fitting::with_spreads(matrix, spreads);
    for (const Stone& stone : all_examples()) {
        Diagnostics diagnostics;
        if (const auto sale =
                fitting::observe(with_sale(stone, 100), matrix, numbers, diagnostics)) {
            CAPTURE(stone.id.value_or(""));
            CHECK(std::sqrt(fitting::variance(*sale, spreads, matrix.coverage_factor)) ==
                  Approx(value_of(stone, wider, "retail")->u).epsilon(0.01));
        }
    }
}

TEST_CASE("the gradient is the derivative of the change") {
    const pricing::Matrix& matrix = demonstration();
    const fitting::Numbers numbers(matrix);
    std::vector<double> corrections(numbers.size(), 0.1);
    for (const Stone& stone : all_examples()) {
        Diagnostics diagnostics;
        const auto sale = fitting::observe(with_sale(stone, 100), matrix, numbers, diagnostics);
        if (!sale) {
            continue;
        }
        std::vector<double> weights;
        fitting::gradient(*sale, corrections, weights);
        REQUIRE(weights.size() == sale->uses.size());
        for (std::size_t i = 0; i < weights.size(); ++i) {
            const std::uint32_t number = sale->uses[i].number;
            double expected = 0; // a number may be used more than once
            for (std::size_t j = 0; j < weights.size(); ++j) {
                expected += sale->uses[j].number == number ? weights[j] : 0;
            }
            constexpr double step = 1e-5;
            corrections[number] += step;
            const double up = fitting::log_change(*sale, corrections);
            corrections[number] -= 2 * step;
            const double down = fitting::log_change(*sale, corrections);
            corrections[number] += step;
            CHECK((up - down) / (2 * step) == Approx(expected).epsilon(1e-7).scale(1));
        }
    }
}

TEST_CASE("a sale is taken at its own level, and only where it can be compared") {
    const pricing::Matrix& matrix = small_matrix();
    const fitting::Numbers numbers(matrix);
    const auto refused = [&](const auto& spoil) {
        Stone stone = with_sale(stone_of({}), 100);
        spoil(stone);
        Diagnostics diagnostics;
        CHECK_FALSE(fitting::observe(stone, matrix, numbers, diagnostics));
        REQUIRE(diagnostics.size() == 1);
        CHECK(diagnostics[0].severity == Severity::error);
        return diagnostics[0].pointer + ": " + diagnostics[0].message + " " + diagnostics[0].hint;
    };
    CHECK(
        refused([](Stone& stone) { stone.sale.reset(); }).starts_with("/sale: The record has no"));
    CHECK(refused([](Stone& stone) { stone.sale->currency = "USD"; }) ==
          "/sale/currency: The price is in USD and the matrix in AUD. State the price in the "
          "matrix's currency, at the rate of its day.");
    CHECK(refused([](Stone& stone) { stone.sale->market_level = "retial"; }) ==
          "/sale/market_level: The matrix has no market level \"retial\". Did you mean "
          "\"retail\"?");
    CHECK(refused([](Stone& stone) {
              stone.body_tone = Range{7, 7};
          }).starts_with("/body_tone: The grid \"solid\" prices body tones N1 to N2"));
    Diagnostics none;
    const auto retail = fitting::observe(with_sale(stone_of({}), 100), matrix, numbers, none);
    REQUIRE(retail);
    CHECK(retail->log_ratio() ==
          Approx(std::log(100 / value_of(stone_of({}), matrix, "retail")->likely)));
}
