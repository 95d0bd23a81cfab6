#include "valuation/sensitivity.hpp"
#include "valuation/support.hpp"

#include <algorithm>
#include <string_view>
#include <utility>
#include <variant>

#include <doctest/doctest.h>

using namespace trayworth;

namespace {

valuation::Sensitivity found_for(const Stone& stone, const pricing::Matrix& matrix) {
    Diagnostics diagnostics;
    auto found = valuation::sensitivity(
        stone, {matrix, *pricing::find(matrix.market_levels, matrix.market_level)}, diagnostics);
    REQUIRE(found);
    return *found;
}

const valuation::Axis* axis(const valuation::Sensitivity& found, std::string_view name) {
    const auto at = std::find_if(found.axes.begin(), found.axes.end(),
                                 [name](const auto& one) { return one.name == name; });
    return at == found.axes.end() ? nullptr : &*at;
}

Stone first_stone() {
    return test::stones_in("first-stone.json").front();
}

} // namespace

TEST_CASE("a step beyond the end of a scale is none") {
    Stone stone = first_stone();
    stone.body_tone = Range{1, 1};
    stone.brightness = Brightness{Range{5.0, 5.0}, 5, 5};
    stone.play_of_colour->coverage = Range{0.98, 1.0};
    const auto found = found_for(stone, test::demonstration());
    REQUIRE(axis(found, "body tone")->steps.size() == 1);
    CHECK(axis(found, "body tone")->steps[0].to == "N2");
    REQUIRE(axis(found, "brightness")->steps.size() == 1);
    CHECK(axis(found, "brightness")->steps[0].to == "4.5");
    // The coverage reaches the whole face, and no further.
    REQUIRE(axis(found, "coverage")->steps.size() == 2);
    CHECK(axis(found, "coverage")->steps[0].to == "0.93 to 0.95");
    CHECK(axis(found, "coverage")->steps[1].to == "1");
}

TEST_CASE("brightness steps by what its scale allows, dearer and cheaper by its direction") {
    Stone stone = first_stone();
    stone.brightness = Brightness{Range{6.0, 6.0}, 10, 1};
    const auto found = found_for(stone, test::demonstration());
    const auto* brightness = axis(found, "brightness");
    REQUIRE(brightness->steps.size() == 2);
    CHECK(brightness->steps[0].to == "7");
    CHECK(*brightness->steps[0].likely < found.valuation.likely);
    CHECK(brightness->steps[1].to == "5");
    CHECK(*brightness->steps[1].likely > found.valuation.likely);
    // Half a step on a scale of seven, a whole one on a finer scale.
    for (const auto& [steps, next] : {std::pair(7, "4.5"), {8, "5"}}) {
        stone.brightness = Brightness{Range{4.0, 4.0}, steps, steps};
        const auto other = found_for(stone, test::demonstration());
        REQUIRE(axis(other, "brightness")->steps.size() == 2);
        CHECK(axis(other, "brightness")->steps[1].to == next);
    }
}

TEST_CASE("a step that is not priced is kept, with the reason, and comes last") {
    const Stone stone = test::plain_stone();
    const auto found = found_for(stone, test::Tiny().read()); // one cell: N2, 3
    REQUIRE(axis(found, "body tone"));
    for (const valuation::Step& step : axis(found, "body tone")->steps) {
        CHECK_FALSE(step.likely);
        REQUIRE(step.refused);
        CHECK(step.refused->code == Code::not_priced);
    }
    CHECK(found.axes.front().steps.front().likely);
    CHECK_FALSE(found.axes.back().steps.front().likely);
}

TEST_CASE("the steps of a word are the priced words next to it in value") {
    const auto found = found_for(first_stone(), test::demonstration());
    const auto* pattern = axis(found, "pattern");
    REQUIRE(pattern->steps.size() == 2);
    CHECK(pattern->steps[0].to == "straw");
    CHECK(pattern->steps[1].to == "Chinese writing");
}

TEST_CASE("a fault's absence is worth what the fault takes away") {
    const auto found = found_for(first_stone(), test::demonstration());
    const auto* fault = axis(found, "potch line, face");
    REQUIRE(fault);
    REQUIRE(fault->steps.size() == 1);
    // By the reason of the fault itself: its likely factor is sqrt(0.78 x 0.9).
    CHECK(*fault->steps[0].likely * 0.8378544 ==
          doctest::Approx(found.valuation.likely).epsilon(1e-6).scale(0));
}

TEST_CASE("a weight between limits is moved with both of them") {
    Stone stone = first_stone();
    stone.weight_ct = Reading{.low = 1.8, .high = 1.9};
    stone.weight_uncertainty.reset();
    const auto found = found_for(stone, test::demonstration());
    const auto* weight = axis(found, "weight");
    REQUIRE(weight);
    REQUIRE(weight->steps.size() == 2);
    const auto lighter = std::get<Reading>(weight->steps[0].value);
    const auto heavier = std::get<Reading>(weight->steps[1].value);
    CHECK(lighter.low == 1.7);
    CHECK(lighter.high == 1.8);
    CHECK(heavier.low == 1.9);
    CHECK(heavier.high == 2);
    CHECK(*weight->steps[0].likely < found.valuation.likely);
    CHECK(*weight->steps[1].likely > found.valuation.likely);
}
