#include "core/uncertain.hpp"
#include "valuation/support.hpp"
#include "valuation/total.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using doctest::Approx;
using valuation::Effect;
using valuation::Total;
using valuation::TrayTotal;

namespace {

struct Entry {
    double likely = 0;
    std::vector<Effect> effects;
};

Total total_of(const std::vector<Entry>& tray, double k) {
    TrayTotal sum;
    for (const Entry& stone : tray) {
        sum.add(stone.likely, stone.effects);
    }
    return sum.total(k);
}

double variance_of(const Entry& stone) {
    double variance = 0;
    for (const Effect& effect : stone.effects) {
        variance += effect.u * effect.u;
    }
    return variance;
}

auto about(double value, double relative = 1e-12) {
    return Approx(value).epsilon(relative).scale(0);
}

// Invented trays.
std::vector<Entry> alike(std::size_t stones, double common, double u) {
    return {stones, Entry{100, {{"market", common, u}}}};
}

// Values from 20 to 9000, three sources, straddles in some stones only, one of them going the
// other way.
std::vector<Entry> mixed(std::size_t stones) {
    std::vector<Entry> tray;
    for (std::size_t i = 0; i < stones; ++i) {
        const double part = static_cast<double>(i * 7 % stones) / static_cast<double>(stones);
        Entry stone{20 * std::pow(450, part),
                    {{"market level", 1, 0.15},
                     {"price spread of the grid", 0.7, 0.1 + 0.15 * part},
                     {"weight (weighed)", 0, 0.002}}};
        if (i % 3 == 0) {
            stone.effects.push_back({"grade: brightness", 0.25, 0.2});
        }
        if (i % 4 == 1) {
            stone.effects.push_back({"grade: body tone", 0.25, i % 8 == 1 ? -0.12 : 0.08});
        }
        tray.push_back(std::move(stone));
    }
    return tray;
}

} // namespace

TEST_CASE("an empty tray is worth nothing") {
    const Total total = TrayTotal().total(1.28);
    CHECK(total.stones == 0);
    CHECK(total.likely == 0);
    CHECK(total.low == 0);
    CHECK(total.high == 0);
    CHECK(total.u == 0);
    CHECK(total.sources.empty());
}

TEST_CASE("stones with all in common add end to end") {
    const double k = coverage_factor(0.8);
    for (const double u : {0.01, 0.3, 1.0}) {
        CAPTURE(u);
        const std::vector<Entry> tray{
            {50, {{"market", 1, u}}}, {1700, {{"market", 1, u}}}, {8000, {{"market", 1, u}}}};
        const Total total = total_of(tray, k);
        CHECK(total.likely == 9750);
        CHECK(total.median == about(9750));
        CHECK(total.low == about(9750 * std::exp(-k * u)));
        CHECK(total.high == about(9750 * std::exp(k * u)));
        CHECK(total.u == about(u));
        CHECK(total.common_share == 1);
    }
}

TEST_CASE("stones with nothing in common add by the root sum of squares") {
    const std::vector<Entry> tray{
        {50, {{"grade", 0, 0.5}}}, {1700, {{"grade", 0, 0.2}}}, {8000, {{"grade", 0, 0.3}}}};
    double mean = 0;
    double variance = 0;
    for (const Entry& stone : tray) {
        const double u = stone.effects.front().u;
        mean += stone.likely * std::exp(u * u / 2);
        variance += std::pow(stone.likely, 2) * std::exp(u * u) * std::expm1(u * u);
    }
    const Total total = total_of(tray, 2);
    const double sigma = std::sqrt(std::log(1 + variance / (mean * mean)));
    CHECK(total.u == about(sigma));
    CHECK(total.median == about(mean * std::exp(-sigma * sigma / 2)));
    CHECK(total.low == about(total.median * std::exp(-2 * sigma)));
    CHECK(total.high == about(total.median * std::exp(2 * sigma)));
    CHECK(total.common_share == 0);
    // Small uncertainties: the plain root sum of squares of the amounts, to their own order.
    std::vector<Entry> sure = tray;
    double squares = 0;
    for (Entry& stone : sure) {
        stone.effects.front().u /= 1000;
        squares += std::pow(stone.likely * stone.effects.front().u, 2);
    }
    const Total small = total_of(sure, 2);
    CHECK(small.u * small.likely == about(std::sqrt(squares), 1e-6));
    CHECK(small.median == about(small.likely, 1e-6));
}

TEST_CASE("ten resistors in a row: the example of JCGM 100, 5.2.2") {
    // Each 1000 ohm with u = 100 mohm. 10 kohm with u = 1 ohm when all were calibrated against the
    // same standard; 0.32 ohm (the guide's two digits) if they were not.
    for (const double common : {1.0, 0.0}) {
        CAPTURE(common);
        const std::vector<Entry> resistors(10, Entry{1000, {{"calibration", common, 0.1 / 1000}}});
        const Total total = total_of(resistors, 1);
        CHECK(total.likely == 10000);
        CHECK(std::llround(100 * total.u * total.likely) == (common == 1 ? 100 : 32));
    }
}

TEST_CASE("one stone's total is that stone's own range") {
    const Entry stone = mixed(12)[3];
    const double u = std::sqrt(variance_of(stone));
    const Total total = total_of({stone}, 1.5);
    CHECK(total.u == about(u));
    CHECK(total.likely == stone.likely);
    CHECK(total.low == about(stone.likely * std::exp(-1.5 * u)));
    CHECK(total.high == about(stone.likely * std::exp(1.5 * u)));
    // The first of its inputs is wholly common, the second to 0.7 and the fourth to 0.25.
    CHECK(
        total.common_share ==
        about((0.15 * 0.15 + 0.7 * std::pow(stone.effects[1].u, 2) + 0.25 * 0.2 * 0.2) / (u * u)));

    // Every example, valued: the outer limits end a range as they end the stone's own.
    const pricing::Matrix& matrix = test::demonstration();
    for (const Stone& example : test::all_examples()) {
        CAPTURE(*example.id);
        const test::Outcome valued = test::value_of(example, matrix);
        std::vector<Effect> effects;
        for (const valuation::BudgetShare& line : valued->budget) {
            effects.push_back({line.source, 0.5, line.u});
        }
        TrayTotal sum;
        sum.add(valued->likely, effects, valued->outer);
        const Total own = sum.total(matrix.coverage_factor);
        CHECK(own.low == about(valued->range.low, 1e-9));
        CHECK(own.high == about(valued->range.high, 1e-9));
        CHECK(own.u == about(valued->u, 1e-9));
    }
}

TEST_CASE("the range of a total ends where the outer limits do") {
    TrayTotal sum;
    const std::vector<Effect> effects{{"grade", 1, 0.5}};
    sum.add(100, effects, {90, 105});
    sum.add(200, effects, {180, 1000});
    const Total total = sum.total(1);
    CHECK(total.low == 270);
    CHECK(total.high == about(300 * std::exp(0.5)));
}

TEST_CASE("inputs of one source in one stone are inputs of their own") {
    // Two faults, say, that the matrix prices by the same line.
    const std::vector<Effect> twice{{"fault", 1, 0.3}, {"fault", 1, 0.4}};
    const Total one = total_of({{100, twice}}, 1);
    CHECK(one.u == about(0.5));
    REQUIRE(one.sources.size() == 1);
    CHECK(one.sources[0].share == 1);
    const Total two = total_of({{100, twice}, {300, twice}}, 1);
    CHECK(two.u == about(0.5));
    CHECK(two.low == about(400 * std::exp(-0.5)));
}

TEST_CASE("shares of the sources add up, the largest first") {
    const std::vector<Entry> tray{{100, {{"a", 0, 0.1}, {"b", 1, 0.1}, {"c", 1, 0}}},
                                  {100, {{"b", 1, 0.1}, {"a", 0, 0.1}}}};
    const Total total = total_of(tray, 1);
    REQUIRE(total.sources.size() == 2);
    CHECK(total.sources[0].source == "b");
    // Of two equal stones the common part counts (1 + 1)^2, the other 1 + 1.
    CHECK(total.sources[0].share == about(2.0 / 3));
    CHECK(total.sources[0].common == about(2.0 / 3));
    CHECK(total.sources[1].source == "a");
    CHECK(total.sources[1].share == about(1.0 / 3));
    CHECK(total.sources[1].common == 0);
    CHECK(total.common_share == about(2.0 / 3));
}

TEST_CASE("what differs in how much is common counts as the geometric mean of both") {
    const Total total = total_of({{100, {{"a", 0.9, 0.01}}}, {100, {{"a", 0.4, 0.01}}}}, 1);
    // (u^2 + u^2 + 2 sqrt(0.9 x 0.4) u^2) / 4, to the order of u.
    CHECK(total.u == about(0.01 * std::sqrt((2 + 2 * 0.6) / 4), 1e-4));
}

TEST_CASE("stones that move against each other make a sum that is surer") {
    const Total total = total_of({{100, {{"tone", 1, 0.2}}}, {100, {{"tone", 1, -0.2}}}}, 1);
    CHECK(total.u < 0.04);
    // The exact variance: E^2/4 (2 exp(u^2) + 2 exp(-u^2)).
    CHECK(total.u == about(std::sqrt(std::log((std::exp(0.04) + std::exp(-0.04)) / 2))));
    CHECK(total.common_share == 0);
}

TEST_CASE("the order of the stones does not matter to any printed digit") {
    std::vector<Entry> tray = mixed(500);
    const Total given = total_of(tray, 1.28);
    std::reverse(tray.begin(), tray.end());
    const Total backwards = total_of(tray, 1.28);
    std::sort(tray.begin(), tray.end(),
              [](const Entry& a, const Entry& b) { return a.likely < b.likely; });
    const Total sorted = total_of(tray, 1.28);
    const Currency aud{"AUD", 2};
    for (const Total* other : {&backwards, &sorted}) {
        CHECK(plain(to_money(other->likely, aud)) == plain(to_money(given.likely, aud)));
        CHECK(plain(to_money(other->low, aud)) == plain(to_money(given.low, aud)));
        CHECK(plain(to_money(other->high, aud)) == plain(to_money(given.high, aud)));
        CHECK(other->u == about(given.u, 1e-11));
        CHECK(other->common_share == about(given.common_share, 1e-11));
        REQUIRE(other->sources.size() == given.sources.size());
        for (std::size_t i = 0; i < given.sources.size(); ++i) {
            CHECK(other->sources[i].source == given.sources[i].source);
        }
    }
}

TEST_CASE("the sums that are kept are as many as the sources, however many the stones") {
    TrayTotal sum;
    for (int round = 0; round < 40; ++round) {
        for (const Entry& stone : mixed(50)) {
            // Texts of their own, gone when the next stone comes.
            std::vector<std::string> names;
            for (const Effect& effect : stone.effects) {
                names.emplace_back(effect.source);
            }
            std::vector<Effect> effects = stone.effects;
            for (std::size_t i = 0; i < effects.size(); ++i) {
                effects[i].source = names[i];
            }
            sum.add(stone.likely, effects);
        }
    }
    CHECK(sum.sources() == 5);
    CHECK(sum.total(1).stones == 2000);
    CHECK(sum.total(1).sources.size() == 5);
}

// ---- against draws

namespace {

// JCGM 101:2008, C.4: Box and Muller; by hand, so that every library draws the same.
class Normal {
public:
    explicit Normal(std::uint64_t seed) : bits_(seed) {}
    double operator()() {
        if (spare_ != 0) {
            const double drawn = spare_;
            spare_ = 0;
            return drawn;
        }
        const double r = std::sqrt(-2 * std::log(uniform()));
        const double turn = 2 * std::numbers::pi * uniform();
        spare_ = r * std::sin(turn);
        return r * std::cos(turn);
    }

private:
    double uniform() { return (static_cast<double>(bits_() >> 11U) + 0.5) * 0x1p-53; }
    std::mt19937_64 bits_;
    double spare_ = 0;
};

// Sums of the tray, ascending.
std::vector<double> draws(const std::vector<Entry>& tray, std::size_t trials, std::uint64_t seed) {
    std::vector<std::string_view> sources;
    for (const Entry& stone : tray) {
        for (const Effect& effect : stone.effects) {
            if (std::find(sources.begin(), sources.end(), effect.source) == sources.end()) {
                sources.push_back(effect.source);
            }
        }
    }
    Normal normal(seed);
    std::vector<double> sums(trials);
    std::vector<double> z(sources.size());
    for (double& sum : sums) {
        std::generate(z.begin(), z.end(), [&normal] { return normal(); });
        for (const Entry& stone : tray) {
            double log = std::log(stone.likely);
            for (const Effect& effect : stone.effects) {
                const auto source = std::find(sources.begin(), sources.end(), effect.source);
                log +=
                    effect.u * (std::sqrt(effect.common) *
                                    z[static_cast<std::size_t>(source - sources.begin())] +
                                (effect.common < 1 ? std::sqrt(1 - effect.common) * normal() : 0));
            }
            sum += std::exp(log);
        }
    }
    std::sort(sums.begin(), sums.end());
    return sums;
}

} // namespace

TEST_CASE("totals agree with correlated draws") {
    struct Case {
        const char* name;
        std::vector<Entry> tray;
    };
    const std::vector<Case> cases{
        {"two alike, nothing in common", alike(2, 0, 0.4)},
        {"two alike, half in common", alike(2, 0.5, 0.4)},
        {"20 alike, nothing in common", alike(20, 0, 0.4)},
        {"20 alike, a tenth in common", alike(20, 0.1, 0.4)},
        {"20 alike, all in common", alike(20, 1, 0.4)},
        {"60 alike, half in common", alike(60, 0.5, 0.25)},
        {"a tray of 11", mixed(11)},
        {"a tray of 60", mixed(60)},
        {"one stone above all others",
         {{9000, {{"market", 0.5, 0.5}}},
          {100, {{"market", 0.5, 0.5}, {"grade", 0, 0.3}}},
          {50, {{"market", 0.5, 0.5}, {"grade", 0, 0.3}}}}},
    };
    constexpr std::size_t trials = 40000;
    // For the sum's shape, which is not quite lognormal: this part of its standard uncertainty.
    constexpr double allowance = 0.02;
    const double k = coverage_factor(0.8);
    for (const Case& tried : cases) {
        const std::vector<double> sums = draws(tried.tray, trials, 20240601);
        const Total total = total_of(tried.tray, k);
        double mean = 0;
        double log_mean = 0;
        for (const double sum : sums) {
            mean += sum / trials;
            log_mean += std::log(sum) / trials;
        }
        double log_variance = 0;
        for (const double sum : sums) {
            log_variance += std::pow(std::log(sum) - log_mean, 2) / (trials - 1);
        }
        const double u = std::sqrt(log_variance);
        CAPTURE(tried.name);
        CAPTURE(u);
        CAPTURE(total.u);
        // Four standard deviations of each statistic: u/sqrt(n) of the mean, u/sqrt(2 n) of u, and
        // sqrt(p (1 - p) / n) / density at the tenth part of a normal distribution.
        const double root = std::sqrt(static_cast<double>(trials));
        CHECK(std::abs(total.median * std::exp(total.u * total.u / 2) / mean - 1) <
              4 * u * std::exp(u * u / 2) / root);
        CHECK(std::abs(total.u / u - 1) < 4 / (std::numbers::sqrt2 * root) + allowance);
        const double quantile_error = 4 * std::sqrt(0.1 * 0.9) / 0.1755 / root * u;
        const double at_low = std::log(total.low / sums[trials / 10]);
        const double at_high = std::log(total.high / sums[trials * 9 / 10]);
        CAPTURE(at_low / u);
        CAPTURE(at_high / u);
        CHECK(std::abs(at_low) < quantile_error + allowance * u);
        CHECK(std::abs(at_high) < quantile_error + allowance * u);
    }
}
