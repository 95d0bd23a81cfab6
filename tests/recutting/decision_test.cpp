#include "recutting/decision.hpp"

#include <cmath>
#include <random>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::recutting;

namespace {

Outcome end(std::string name, double probability, double worth) {
    Outcome outcome;
    outcome.name = std::move(name);
    outcome.probability = point(probability);
    outcome.worth = worth;
    return outcome;
}

Outcome end(std::string name, Range<double> probability, double worth) {
    Outcome outcome = end(std::move(name), 0.0, worth);
    outcome.probability = probability;
    return outcome;
}

Solution solved(double leave, const std::vector<Choice>& choices, const Attitude& attitude = {}) {
    const std::optional<Solution> solution = solve(leave, choices, attitude);
    REQUIRE(solution);
    return *solution;
}

void same(double found, double expected, double tolerance = 1e-9) {
    CAPTURE(found);
    CAPTURE(expected);
    CHECK(std::abs(found - expected) <= tolerance);
}

// The oil wildcatter of H. Raiffa, Decision Analysis: Introductory Lectures on Choices under
// Uncertainty, Addison-Wesley 1968, chapter 2; all numbers from memory. Thousands of dollars: a
// well costs 70 and returns nothing if dry (probability 0.5), 120 if wet (0.3), 270 if soaking
// (0.2). Seismic soundings cost 10; the joint probabilities of their result with the three states:
//                     dry    wet    soaking
//   no structure      0.30   0.09   0.02
//   open structure    0.15   0.12   0.08
//   closed structure  0.05   0.09   0.10
// Drilling at once is worth 20. Sounding first and drilling unless there is no structure is worth
// 22.5; perfect information would be worth 35, the soundings' information 12.5.
Choice drill(double dry, double wet, double soaking) {
    const double all = dry + wet + soaking;
    return {
        "drill",
        70,
        0,
        {end("dry", dry / all, 0), end("wet", wet / all, 120), end("soaking", soaking / all, 270)}};
}

Choice sound() {
    const auto seen = [](std::string name, double dry, double wet, double soaking) {
        Outcome outcome = end(std::move(name), dry + wet + soaking, 0);
        outcome.choices = {drill(dry, wet, soaking)};
        return outcome;
    };
    return {"sound first",
            10,
            0,
            {seen("no structure", 0.30, 0.09, 0.02), seen("open structure", 0.15, 0.12, 0.08),
             seen("closed structure", 0.05, 0.09, 0.10)}};
}

} // namespace

TEST_CASE("the oil wildcatter is solved as in the book") {
    const Solution solution = solved(0, {drill(0.5, 0.3, 0.2), sound()});
    same(solution.choices[0].expected, 20);
    same(solution.choices[1].expected, 22.5);
    REQUIRE(solution.best);
    CHECK(*solution.best == 1);

    const std::vector<SolvedOutcome>& seen = solution.choices[1].outcomes;
    CHECK_FALSE(seen[0].best); // no structure: leave it
    CHECK(seen[1].best == std::size_t{0});
    CHECK(seen[2].best == std::size_t{0});
    same(seen[0].choices[0].expected, -12.5 / 0.41 - 10);
    same(seen[1].expected, 11.5 / 0.35 - 10);
    same(seen[2].expected, 87.5 - 10);
    REQUIRE(solution.choices[1].looking);
    same(*solution.choices[1].looking, 12.5);
    same(solved(0, {drill(0.5, 0.3, 0.2)}).choices[0].knowing, 35);

    // 0.41 of the soundings end 10 below, and so does every dry well after them; a dry well 80.
    same(solution.choices[1].chance_below, 0.41 + 0.15 + 0.05);
    same(solution.choices[1].worst_net, -80);
    same(solution.choices[1].cost, 10 + 0.59 * 70);
}

TEST_CASE("two outcomes against hand arithmetic") {
    // 560 with 0.7, 380 with 0.3, less 27: 0.7 x 533 + 0.3 x 353 = 479; leaving it is worth 460.
    const Choice grind{"grind", 27, 25, {end("clean", 0.7, 560), end("thin", 0.3, 380)}};
    const Solution solution = solved(460, {grind});
    const SolvedChoice& choice = solution.choices.front();
    same(choice.expected, 479);
    same(choice.certainty_equivalent, 479);
    same(choice.chance_below, 0.3);
    same(choice.worst_net, 353);
    CHECK(choice.worst == std::vector<std::size_t>{1});
    same(choice.minutes, 25);
    same(choice.cost, 27);
    // (533 - 460) / (533 - 353) = 73/180
    REQUIRE(choice.break_even_probability);
    same(*choice.break_even_probability, 73.0 / 180.0);
    // Knowing: 0.7 x 533 + 0.3 x 460 = 511.1, against 479.
    same(choice.knowing, 32.1);
    CHECK_FALSE(choice.looking);

    SUBCASE("at the break-even probability it is worth as much as leaving it") {
        const double p = *choice.break_even_probability;
        const Choice even{"grind", 27, 0, {end("clean", 1 - p, 560), end("thin", p, 380)}};
        same(solved(460, {even}).choices.front().expected, 460);
    }
}

TEST_CASE("no break-even where no probability makes one") {
    const Choice sure{"sure", 0, 0, {end("", 1.0, 50)}};
    const Choice gain{"gain", 0, 0, {end("a", 0.5, 50), end("b", 0.5, 60)}};
    const Choice loss{"loss", 0, 0, {end("a", 0.5, 10), end("b", 0.5, 20)}};
    const Solution solution = solved(40, {sure, gain, loss});
    for (const SolvedChoice& choice : solution.choices) {
        CHECK_FALSE(choice.break_even_probability);
    }
}

TEST_CASE("ranges of probability: likely ones sum to 1, extremes are those of a linear programme") {
    const Choice choice{"c",
                        0,
                        0,
                        {end("a", Range<double>{0.4, 0.6}, 100),
                         end("b", Range<double>{0.25, 0.45}, 50),
                         end("c", Range<double>{0.1, 0.2}, 0)}};
    const std::vector<double> p = likely_probabilities(choice.outcomes);
    // 0.75 at least, 0.5 wide: half way up each range.
    same(p[0], 0.5);
    same(p[1], 0.35);
    same(p[2], 0.15);
    const SolvedChoice solution = solved(60, {choice}).choices.front();
    same(solution.expected, 67.5);
    // Least: c 0.2, then b 0.4, a 0.4. Most: a 0.6, then b 0.3, c 0.1.
    same(solution.expected_over_probabilities.low, 0.4 * 100 + 0.4 * 50);
    same(solution.expected_over_probabilities.high, 0.6 * 100 + 0.3 * 50);
    same(solution.chance_below, 0.5);
    same(solution.chance_below_over_probabilities.low, 0.4);
    same(solution.chance_below_over_probabilities.high, 0.6);
}

TEST_CASE("aversion to risk") {
    const auto certain = [](double gamma, double wealth) {
        const Choice gamble{"g", 0, 0, {end("a", 0.5, 100), end("b", 0.5, 400)}};
        return solved(200, {gamble}, {gamma, wealth, 1}).choices.front().certainty_equivalent;
    };
    SUBCASE("closed forms of two equal chances, nothing beside the stone") {
        same(certain(0, 0), 250);
        same(certain(1, 0), 200);                                    // the geometric mean
        same(certain(2, 0), 160);                                    // the harmonic mean
        same(certain(0.5, 0), std::pow((10.0 + 20.0) / 2, 2), 1e-8); // the mean of the roots
    }
    SUBCASE("with wealth beside it, the means are those of the wealth") {
        same(certain(1, 1000), std::sqrt(1100.0 * 1400.0) - 1000);
        same(certain(2, 1000), 2 / (1 / 1100.0 + 1 / 1400.0) - 1000);
    }
    SUBCASE("for small risks the premium is gamma variance / (2 wealth): Pratt 1964, from memory") {
        for (const double gamma : {0.5, 1.0, 2.0, 5.0, 20.0}) {
            const Choice gamble{"g", 0, 0, {end("a", 0.5, 90), end("b", 0.5, 110)}};
            const double ce =
                solved(100, {gamble}, {gamma, 1e5, 1}).choices[0].certainty_equivalent;
            CHECK(100 - ce == doctest::Approx(gamma * 100 / (2 * 100'100)).epsilon(0.001).scale(0));
        }
    }
    SUBCASE("near 1 it goes over into the logarithm") {
        same(certain(1 + 1e-9, 0), certain(1, 0), 1e-5);
        same(certain(1 - 1e-9, 0), certain(1, 0), 1e-5);
    }
    SUBCASE("the more averse, the less a gamble is worth; at last a sure thing is taken") {
        const Choice gamble{"g", 0, 0, {end("a", 0.5, 100), end("b", 0.5, 400)}};
        CHECK(solved(220, {gamble}, {0, 0, 1}).best);
        CHECK_FALSE(solved(220, {gamble}, {1, 0, 1}).best);
        double before = certain(0, 50);
        for (double gamma = 0.25; gamma < 12; gamma += 0.25) {
            const double now = certain(gamma, 50);
            CHECK(now < before);
            CHECK(now > 100);
            before = now;
        }
    }
    SUBCASE("an end below nothing has no utility") {
        const Choice ruin{"r", 150, 0, {end("a", 0.5, 100), end("b", 0.5, 400)}};
        CHECK_FALSE(solve(200, {ruin}, {1, 0, 1}));
        CHECK_FALSE(solve(200, {ruin}, {1, 50, 1}));
        CHECK(solve(200, {ruin}, {1, 51, 1}));
        CHECK(solve(200, {ruin}, {0, 0, 1}));
    }
}

TEST_CASE("of equals, leaving it is taken, then the first") {
    const Choice same_worth{"s", 0, 0, {end("", 1.0, 100)}};
    CHECK_FALSE(solved(100, {same_worth}).best);
    const Choice better{"b", 0, 0, {end("", 1.0, 101)}};
    CHECK(solved(100, {better, better}).best == std::size_t{0});
}

namespace {

class RandomPlans {
public:
    explicit RandomPlans(unsigned seed) : engine_(seed) {}

    std::vector<Choice> choices(int depth) {
        std::vector<Choice> all(1 + below(3));
        for (Choice& choice : all) {
            choice.name = std::string(1, static_cast<char>('a' + below(4)));
            choice.cost = real(0, 40);
            choice.minutes = real(0, 60);
            choice.outcomes.resize(1 + below(4));
            fill(choice.outcomes, depth);
        }
        return all;
    }
    double real(double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(engine_);
    }

private:
    std::size_t below(std::size_t n) {
        return std::uniform_int_distribution<std::size_t>(0, n - 1)(engine_);
    }
    void fill(std::vector<Outcome>& outcomes, int depth) {
        double sum = 0;
        std::vector<double> p;
        for (std::size_t i = 0; i < outcomes.size(); ++i) {
            p.push_back(real(0.01, 1));
            sum += p.back();
        }
        for (std::size_t i = 0; i < outcomes.size(); ++i) {
            const double likely = p[i] / sum;
            const double room = real(0, 1) < 0.5 ? 0 : std::min(likely, 1 - likely) * real(0, 1);
            outcomes[i].probability = {likely - room, likely + room};
            outcomes[i].worth = real(0, 1000);
            outcomes[i].cost = real(0, 20);
            if (depth > 0 && real(0, 1) < 0.5) {
                outcomes[i].choices = choices(depth - 1);
            }
        }
    }
    std::mt19937 engine_;
};

// Of all ends that any choices and chances lead to.
void widen(Range<double>& hull, const std::vector<Choice>& choices, double spent) {
    for (const Choice& choice : choices) {
        for (const Outcome& outcome : choice.outcomes) {
            const double cost = spent + choice.cost + outcome.cost;
            hull.low = std::min(hull.low, outcome.worth - cost);
            hull.high = std::max(hull.high, outcome.worth - cost);
            widen(hull, outcome.choices, cost);
        }
    }
}

} // namespace

TEST_CASE("random plans: no alternative's worth lies outside the hull of its ends") {
    RandomPlans random(20261125);
    for (int plan = 0; plan < 2000; ++plan) {
        const std::vector<Choice> choices = random.choices(2);
        const double leave = random.real(0, 1000);
        const double gamma = plan % 3 == 0 ? 0 : random.real(0, 6);
        const Solution solution = solved(leave, choices, {gamma, 200, 1});
        double best = leave;
        for (std::size_t i = 0; i < choices.size(); ++i) {
            CAPTURE(plan);
            CAPTURE(i);
            const SolvedChoice& choice = solution.choices[i];
            Range<double> hull{1e9, -1e9};
            widen(hull, {choices[i]}, 0);
            constexpr double rounding = 1e-7;
            CHECK(choice.expected >= hull.low - rounding);
            CHECK(choice.expected <= hull.high + rounding);
            CHECK(choice.certainty_equivalent >= hull.low - rounding);
            CHECK(choice.certainty_equivalent <= choice.expected + rounding);
            CHECK(choice.worst_net >= hull.low - rounding);
            CHECK(choice.worst_net <= choice.expected + rounding);
            CHECK(choice.expected_over_probabilities.low <= choice.expected + rounding);
            CHECK(choice.expected_over_probabilities.high >= choice.expected - rounding);
            CHECK(choice.chance_below >= -rounding);
            CHECK(choice.chance_below <= 1 + rounding);
            CHECK(choice.chance_below_over_probabilities.low <= choice.chance_below + rounding);
            CHECK(choice.chance_below_over_probabilities.high >= choice.chance_below - rounding);
            CHECK(choice.knowing >= 0);
            CHECK(choice.looking.value_or(0) >= -rounding);
            double sum = 0;
            for (const SolvedOutcome& outcome : choice.outcomes) {
                sum += outcome.probability;
                CHECK(outcome.certainty_equivalent >= outcome.net - rounding);
            }
            same(sum, 1);
            best = std::max(best, choice.certainty_equivalent);
        }
        same(solution.best ? solution.choices[*solution.best].certainty_equivalent : leave, best,
             1e-7);
    }
}
