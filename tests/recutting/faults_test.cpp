#include "recutting/body.hpp"
#include "recutting/faults.hpp"
#include "valuation/support.hpp"

#include <cmath>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::recutting;
using namespace trayworth::test;

namespace {

Terms by_demonstration(std::size_t trials = 400) {
    const pricing::Matrix& matrix = demonstration();
    return {matrix, *pricing::find(matrix.market_levels, matrix.market_level), trials, 1};
}

Subject subject(const Stone& stone, const Terms& terms) {
    Diagnostics diagnostics;
    std::optional<Subject> found = subject_of(stone, terms, diagnostics);
    REQUIRE(found);
    return *found;
}

FaultCosts costs(const Stone& stone, const Terms& terms) {
    const Subject now = subject(stone, terms);
    CommonDraws draws(terms.trials, terms.seed);
    return fault_costs(now, terms, draws);
}

double value(const Stone& stone, const Terms& terms) {
    Diagnostics diagnostics;
    const auto found = valuation::value(stone, terms.request(), diagnostics);
    REQUIRE(found);
    return found->likely;
}

Stone cut(const Stone& first, std::string_view outline, double width) {
    Stone stone = first;
    stone.cut.outline = std::string(outline);
    stone.dimensions_mm.width = reading(width, 0.02);
    stone.cut.dome.reset();
    return stone;
}

void lower(std::optional<Reading>& reading, double by) {
    reading->low -= by;
    reading->high -= by;
}

// By hand, from what a break-even says alone: the record with the fault struck out, so many carats
// lighter and so many millimetres smaller.
Stone as_said(Stone stone, const std::vector<std::size_t>& faults, const BreakEven& even) {
    for (auto i = faults.rbegin(); i != faults.rend(); ++i) {
        stone.faults->erase(stone.faults->begin() + static_cast<std::ptrdiff_t>(*i));
    }
    lower(stone.weight_ct, *even.ct.likely);
    if (even.way == Way::face || even.way == Way::back) {
        lower(stone.dimensions_mm.depth, *even.mm.likely);
    }
    if (even.way == Way::outline) {
        lower(stone.dimensions_mm.length, 2 * *even.mm.likely);
        lower(stone.dimensions_mm.width, 2 * *even.mm.likely);
    }
    stone.dimensions_mm.wall.reset(); // parts of the depth, which the value does not read
    return stone;
}

} // namespace

TEST_CASE("at the break-even the stone is worth what it is worth as it is, to a cent") {
    const Terms terms = by_demonstration();
    const Stone first = stones_in("first-stone.json").front();
    constexpr double cent = 0.0051;
    int verified = 0;
    for (const std::string_view outline : weight::outline_names) {
        const Stone stone =
            cut(first, outline, outline == "round" || outline == "square" ? 10.24 : 8.12);
        const double now = value(stone, terms);
        const FaultCosts found = costs(stone, terms);
        REQUIRE(found.single.size() == 2);
        REQUIRE(found.together.size() == 1);
        std::vector<Removal> all = found.single;
        all.push_back(found.together.front());
        for (const Removal& removal : all) {
            REQUIRE(removal.break_evens.size() == 3);
            for (const BreakEven& even : removal.break_evens) {
                CAPTURE(outline);
                CAPTURE(name_of(even.way));
                REQUIRE(even.ct.likely);
                if (even.way == Way::back && *even.mm.likely > 0.8) {
                    continue; // past the wall the outline shrinks too, which ct and mm do not say
                }
                CHECK(std::abs(value(as_said(stone, removal.faults, even), terms) - now) < cent);
                ++verified;
                // A little less is a gain, a little more a loss.
                BreakEven less = even;
                *less.ct.likely *= 0.95;
                *less.mm.likely *= 0.95;
                CHECK(value(as_said(stone, removal.faults, less), terms) > now);
                BreakEven more = even;
                *more.ct.likely *= 1.05;
                *more.mm.likely *= 1.05;
                CHECK(value(as_said(stone, removal.faults, more), terms) < now);
            }
        }
    }
    CHECK(verified > 90);
}

TEST_CASE("every stone of the examples: ranges hold the likely figure, sets are sorted") {
    const Terms terms = by_demonstration(200);
    int faults = 0;
    for (const Stone& stone : all_examples()) {
        Diagnostics diagnostics;
        const std::optional<Subject> now = subject_of(stone, terms, diagnostics);
        if (!now) {
            continue;
        }
        CommonDraws draws(terms.trials, terms.seed);
        const FaultCosts found = fault_costs(*now, terms, draws);
        REQUIRE(found.single.size() == (stone.faults ? stone.faults->size() : 0));
        for (const Removal& removal : found.single) {
            ++faults;
            CHECK(removal.gain.low <= removal.gain.likely);
            CHECK(removal.gain.likely <= removal.gain.high);
            CHECK_FALSE(removal.break_evens.empty());
            for (const BreakEven& even : removal.break_evens) {
                if (even.ct.likely && even.ct.low) {
                    CHECK(*even.ct.low <= *even.ct.likely);
                }
                if (even.ct.likely && even.ct.high) {
                    CHECK(*even.ct.likely <= *even.ct.high);
                }
                CHECK(even.searched_ct <= now->valuation.weight.ct.value);
            }
        }
        for (std::size_t i = 1; i < found.together.size(); ++i) {
            CHECK(found.together[i - 1].gain.likely >= found.together[i].gain.likely);
        }
    }
    CHECK(faults >= 10);
}

TEST_CASE("a stone whose price is by weight alone: the break-even in closed form") {
    // 100 per carat and a factor of 0.8 for the fault: without it, 1.6 ct are worth what 2 ct are
    // with it. The measures have no part in the value.
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"],
                      "body_tone": ["N2"], "brightness": [3], "per_carat": [[[80, 125]]]}])";
    tiny.factors = R"([{"name": "faults", "kind": "fault", "field": "/faults",
                        "values": {"sand": {"back": {"minor": 0.8}, "face": {"minor": 1},
                                            "girdle": {"minor": [0.64, 1]}}}}])";
    const pricing::Matrix matrix = tiny.read();
    const Terms terms{matrix, *pricing::find(matrix.market_levels, "trade"), 20'000, 1};
    Stone stone = plain_stone(reading(2, 0));
    stone.faults->push_back({"sand", "back", word("minor")});

    SUBCASE("carats alone, when the measures are not known") {
        const FaultCosts found = costs(stone, terms);
        CHECK_FALSE(found.measured);
        const Removal& removal = found.single.front();
        CHECK(removal.gain.likely == doctest::Approx(40).epsilon(1e-6).scale(0));
        // All of it is the common price: 80 to 125 per carat at the matrix's coverage.
        CHECK(removal.gain.low == doctest::Approx(0.4 * 80).epsilon(0.01).scale(0));
        CHECK(removal.gain.high == doctest::Approx(0.4 * 125).epsilon(0.01).scale(0));
        REQUIRE(removal.break_evens.size() == 1);
        const BreakEven& even = removal.break_evens.front();
        CHECK(even.way == Way::weight);
        CHECK(*even.ct.likely == doctest::Approx(0.4).epsilon(1e-6).scale(0));
        CHECK(*even.ct.low == doctest::Approx(0.4).epsilon(1e-4).scale(0));
        CHECK(*even.ct.high == doctest::Approx(0.4).epsilon(1e-4).scale(0));
        CHECK(removal.by_depth() == nullptr);
    }
    SUBCASE("a fault whose factor is uncertain has a break-even that is") {
        stone.faults->front().place = "girdle";
        const BreakEven even = costs(stone, terms).single.front().break_evens.front();
        CHECK(*even.ct.likely == doctest::Approx(0.4).epsilon(1e-6).scale(0));
        CHECK(*even.ct.low == doctest::Approx(2 * (1 - 1.0)).epsilon(0.02)); // factor 1
        CHECK(*even.ct.high == doctest::Approx(2 * (1 - 0.64)).epsilon(0.02).scale(0));
    }
    SUBCASE("millimetres by the geometry, worked out by hand") {
        stone.cut.outline = "oval";
        stone.cut.back = "flat";
        stone.dimensions_mm.length = reading(10, 0);
        stone.dimensions_mm.width = reading(8, 0);
        stone.dimensions_mm.depth = reading(4, 0);
        stone.dimensions_mm.wall = reading(1, 0);
        const Removal removal = costs(stone, terms).single.front();
        // Effective height 1 + 2/3 x 3 = 3 mm; a fifth of it goes.
        REQUIRE(removal.break_evens.size() == 3);
        CHECK(removal.break_evens[0].way == Way::back);
        CHECK(*removal.break_evens[0].mm.likely == doctest::Approx(0.6).epsilon(1e-6).scale(0));
        CHECK(removal.break_evens[1].way == Way::face);
        CHECK(*removal.break_evens[1].mm.likely == doctest::Approx(0.9).epsilon(1e-6).scale(0));
        CHECK(removal.break_evens[2].way == Way::outline);
        // (10 - 2e)(8 - 2e) = 64: e = (18 - sqrt(18^2 - 4 x 16)) / 4
        CHECK(*removal.break_evens[2].mm.likely ==
              doctest::Approx((18 - std::sqrt(18.0 * 18 - 64)) / 4).epsilon(3e-6).scale(0));
        for (const BreakEven& even : removal.break_evens) {
            CHECK(*even.ct.likely == doctest::Approx(0.4).epsilon(3e-6).scale(0));
        }
        CHECK(removal.by_depth() == &removal.break_evens[0]);
    }
    SUBCASE("a fault that costs nothing lets nothing go") {
        stone.faults->front().place = "face";
        const Removal removal = costs(stone, terms).single.front();
        CHECK(removal.gain.likely == 0);
        CHECK(*removal.break_evens.front().ct.likely == 0);
    }
}

TEST_CASE("where even the most that can go is less than is gained, there is no break-even") {
    Tiny tiny;
    tiny.factors = R"([{"name": "faults", "kind": "fault", "field": "/faults",
                        "values": {"crack": {"face": {"severe": 0.001}}}}])";
    const pricing::Matrix matrix = tiny.read();
    const Terms terms{matrix, *pricing::find(matrix.market_levels, "trade"), 200, 1};
    Stone stone = plain_stone(reading(2, 0));
    stone.faults->push_back({"crack", "face", word("severe")});
    const BreakEven even = costs(stone, terms).single.front().break_evens.front();
    CHECK_FALSE(even.ct.likely);
    CHECK_FALSE(even.ct.high);
    CHECK(even.priced_to_the_end);
    CHECK(even.searched_ct == doctest::Approx(1.96).epsilon(1e-9).scale(0));

    SUBCASE("and where the matrix has no price for what is left, the search says so") {
        tiny.factors = R"([{"name": "size", "kind": "curve", "field": "/weight_ct",
                            "spacing": "log", "points": [{"at": 1.5, "factor": 1},
                                                         {"at": 10, "factor": 1}]},
                           {"name": "faults", "kind": "fault", "field": "/faults",
                            "values": {"crack": {"face": {"severe": 0.001}}}}])";
        const pricing::Matrix narrow = tiny.read();
        const Terms by_it{narrow, *pricing::find(narrow.market_levels, "trade"), 200, 1};
        const BreakEven cut_short = costs(stone, by_it).single.front().break_evens.front();
        CHECK_FALSE(cut_short.ct.likely);
        CHECK_FALSE(cut_short.priced_to_the_end);
        CHECK(cut_short.searched_ct == doctest::Approx(0.5).epsilon(0.02).scale(0));
    }
}

TEST_CASE("many faults: the costliest are combined, every set of them once") {
    const Terms terms = by_demonstration(200);
    Stone stone = stones_in("first-stone.json").front();
    stone.faults = std::vector<Fault>{
        {"potch line", "face", word("minor")}, {"sand", "back", word("minor")},
        {"pits", "face", word("minor")},       {"window", "face", word("minor")},
        {"crack", "girdle", word("moderate")}, {"webbing", "face", words("minor", "moderate")}};
    const FaultCosts found = costs(stone, terms);
    CHECK(found.single.size() == 6);
    CHECK(found.combined == most_combined);
    CHECK(found.together.size() == 11); // 2^4 less the empty set and four single faults
    CHECK(found.together.front().faults == std::vector<std::size_t>{0, 3, 4, 5});
    for (const Removal& set : found.together) {
        // Sand costs least, then pits.
        CHECK(std::find(set.faults.begin(), set.faults.end(), 1U) == set.faults.end());
        CHECK(std::find(set.faults.begin(), set.faults.end(), 2U) == set.faults.end());
    }
}
