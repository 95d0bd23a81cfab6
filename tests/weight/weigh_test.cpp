// What weigh() accepts, refuses and warns of, with the full text of its diagnostics where the text
// is the point.
#include "weight/profile.hpp"
#include "weight/weigh.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::weight;
using doctest::Approx;

namespace {

Reading reading(double value, double resolution = 0.1) {
    return {.low = value, .high = value, .resolution = resolution};
}

// The worked example of the record's format.
Stone example() {
    Stone stone;
    stone.type = StoneType::solid;
    stone.cut.outline = "oval";
    stone.cut.dome = Words{"medium", "medium"};
    stone.cut.back = "flat";
    stone.dimensions_mm.length = reading(12.1);
    stone.dimensions_mm.width = reading(9.9);
    stone.dimensions_mm.depth = reading(4.4);
    stone.dimensions_mm.uncertainty = 0.02;
    stone.density = Reading{.low = 2.06, .high = 2.14};
    return stone;
}

Stone weighed(double ct) {
    Stone stone = example();
    stone.weight_ct = reading(ct, 0.01);
    return stone;
}

struct Outcome {
    std::optional<Weight> weight;
    Diagnostics diagnostics;
};

Outcome weigh(const Stone& stone) {
    Outcome outcome;
    outcome.weight = weight::weigh(stone, outcome.diagnostics);
    for (const Diagnostic& d : outcome.diagnostics) {
        INFO(d.message);
        CHECK_FALSE(d.message.empty());
        CHECK_FALSE(d.hint.empty());
        CHECK(d.message.back() == '.');
        CHECK(d.hint.back() == '.');
    }
    CHECK(outcome.weight.has_value() == !has_errors(outcome.diagnostics));
    return outcome;
}

// Exactly one diagnostic, and which.
Diagnostic only(const Stone& stone) {
    const Outcome outcome = weigh(stone);
    REQUIRE(outcome.diagnostics.size() == 1);
    return outcome.diagnostics.front();
}

std::vector<std::string> pointers(const Diagnostics& diagnostics, Code code) {
    std::vector<std::string> found;
    for (const Diagnostic& d : diagnostics) {
        if (d.code == code) {
            found.push_back(d.pointer);
        }
    }
    return found;
}

bool has(std::string_view text, std::string_view part) {
    return text.find(part) != std::string_view::npos;
}

using Pointers = std::vector<std::string>;

} // namespace

TEST_CASE("the scale's weight wins, the estimate stands beside it") {
    const Outcome outcome = weigh(weighed(3.2));
    REQUIRE(outcome.weight);
    CHECK(outcome.diagnostics.empty());
    CHECK(outcome.weight->basis == Basis::weighed);
    CHECK(outcome.weight->ct.value == 3.2);
    CHECK(outcome.weight->ct.u == Approx(0.01 / std::sqrt(12.0)).epsilon(1e-9).scale(0));
    REQUIRE(outcome.weight->estimate);
    CHECK(std::abs(outcome.weight->estimate->ct.value - 3.2) < 2 * outcome.weight->estimate->ct.u);
}

TEST_CASE(
    "the uncertainty of a weight: its own, else the one for all weights, else its last digit") {
    Stone stone = weighed(3.2);
    stone.weight_uncertainty = 0.005;
    CHECK(weigh(stone).weight->ct.u == 0.005);
    stone.weight_ct->standard_uncertainty = 0.02;
    CHECK(weigh(stone).weight->ct.u == 0.02);
    stone.weight_ct = Reading{.low = 3.5, .high = 3.7};
    CHECK(weigh(stone).weight->ct.distribution == Distribution::rectangular);
}

TEST_CASE("without a scale the weight is estimated") {
    const Outcome outcome = weigh(example());
    REQUIRE(outcome.weight);
    CHECK(outcome.diagnostics.empty());
    CHECK(outcome.weight->basis == Basis::estimated);
    REQUIRE(outcome.weight->estimate);
    CHECK(outcome.weight->ct.value == outcome.weight->estimate->ct.value);
    CHECK(outcome.weight->estimate->density_source == "stated");
    // The common uncertainty of the dimensions reaches the budget.
    CHECK(outcome.weight->estimate->budget.front().source == "length");
    CHECK(outcome.weight->estimate->budget.front().u == 0.02);
}

TEST_CASE("the density: stated, of a variety, or a default that says so") {
    Stone stone = example();
    stone.density = std::nullopt;
    CHECK(weigh(stone).weight->estimate->density.value == Approx(2.115).epsilon(1e-9));
    CHECK(weigh(stone).weight->estimate->density_source == "default: usual range of precious opal");
    stone.hydrophane = true;
    CHECK(weigh(stone).weight->estimate->density.value == Approx(1.93).epsilon(1e-9));
    CHECK(weigh(stone).weight->estimate->density_source == "default: hydrophane opal");
    stone.density_variety = "mexican fire";
    CHECK(weigh(stone).weight->estimate->density.value == Approx(2.015).epsilon(1e-9));
    stone.density_variety = "mexican fyre";
    const Diagnostic unknown = only(stone);
    CHECK(unknown.code == Code::value_unknown);
    CHECK(unknown.pointer == "/density");
    CHECK(unknown.message == "\"mexican fyre\" is no known variety with a density.");
    CHECK(unknown.hint ==
          "Did you mean \"mexican fire\"? Known: precious, australian, mexican fire, "
          "west java or hydrophane.");
    stone.density = Reading{.low = 2.0, .high = 2.0, .resolution = 0.01};
    CHECK(weigh(stone).weight->estimate->density.value == 2.0); // a number wins
}

TEST_CASE("no weight and nothing else is one refusal, with something else every missing field") {
    Stone bare;
    bare.type = StoneType::solid;
    const Diagnostic nothing = only(bare);
    CHECK(nothing.code == Code::weight_missing);
    CHECK(nothing.pointer == "/weight_ct");

    struct Removal {
        void (*remove)(Stone&);
        std::string_view pointer;
    };
    const std::vector<Removal> removals{
        {[](Stone& s) { s.cut.outline.reset(); }, "/cut/outline"},
        {[](Stone& s) { s.dimensions_mm.length.reset(); }, "/dimensions_mm/length"},
        {[](Stone& s) { s.dimensions_mm.width.reset(); }, "/dimensions_mm/width"},
        {[](Stone& s) { s.dimensions_mm.depth.reset(); }, "/dimensions_mm/depth"},
    };
    for (const Removal& removal : removals) {
        Stone stone = example();
        removal.remove(stone);
        const Diagnostic missing = only(stone);
        CHECK(missing.code == Code::field_missing);
        CHECK(missing.pointer == removal.pointer);
        // A weighed stone can do without.
        Stone on_the_scale = weighed(3.2);
        removal.remove(on_the_scale);
        const Outcome outcome = weigh(on_the_scale);
        CHECK(outcome.diagnostics.empty());
        REQUIRE(outcome.weight);
        CHECK_FALSE(outcome.weight->estimate);
    }

    Stone stone = example();
    stone.cut.outline.reset();
    stone.dimensions_mm.width.reset();
    stone.dimensions_mm.depth.reset();
    CHECK(pointers(weigh(stone).diagnostics, Code::field_missing) ==
          Pointers{"/cut/outline", "/dimensions_mm/width", "/dimensions_mm/depth"});

    // The type is asked for only where a density would have to be assumed from it.
    stone = example();
    stone.type.reset();
    CHECK(weigh(stone).weight->basis == Basis::estimated);
    stone.density.reset();
    CHECK(only(stone).code == Code::field_missing);
    CHECK(only(stone).pointer == "/density");
}

TEST_CASE("a round stone needs one diameter only, a measured area neither outline nor length") {
    Stone stone = example();
    stone.cut.outline = "round";
    stone.dimensions_mm.width.reset();
    CHECK(weigh(stone).weight);
    stone.dimensions_mm.width = stone.dimensions_mm.length;
    stone.dimensions_mm.length.reset();
    CHECK(weigh(stone).weight);
    CHECK(weigh(stone).weight->estimate->budget.front().source == "diameter");

    stone.cut.outline.reset();
    stone.dimensions_mm.width.reset();
    stone.cut.area_mm2 = reading(80, 1);
    const Outcome by_area = weigh(stone);
    REQUIRE(by_area.weight);
    // No width, so the word for the dome says nothing.
    CHECK(by_area.weight->estimate->volume.value ==
          Approx(80 * 4.4 * default_fill().value).epsilon(1e-9).scale(0));
}

TEST_CASE("words the geometry does not know are refused when an estimate is needed, only then") {
    struct Change {
        void (*change)(Stone&);
        std::string_view pointer;
        std::string_view hint;
    };
    const std::vector<Change> changes{
        {[](Stone& s) { s.cut.outline = "ovel"; }, "/cut/outline", "Did you mean \"oval\"?"},
        {[](Stone& s) {
             s.cut.dome = Words{"low", "meduim"};
         },
         "/cut/dome", "Did you mean \"medium\"?"},
        {[](Stone& s) { s.cut.back = "flatt"; }, "/cut/back", "Did you mean \"flat\"?"},
    };
    for (const Change& c : changes) {
        Stone stone = example();
        c.change(stone);
        const Diagnostic unknown = only(stone);
        CHECK(unknown.code == Code::value_unknown);
        CHECK(unknown.pointer == c.pointer);
        CHECK(has(unknown.hint, c.hint));
        CHECK(has(unknown.hint, "Known: "));
        Stone on_the_scale = weighed(3.2);
        c.change(on_the_scale);
        CHECK(weigh(on_the_scale).diagnostics.empty());
    }
    Stone shield = example();
    shield.cut.outline = "shield";
    CHECK(only(shield).message == "\"shield\" is no known outline.");
    CHECK(only(shield).hint ==
          "Known: round, oval, cushion, square, rectangle, octagon, pear, marquise, heart, "
          "triangle or freeform.");
}

TEST_CASE("types that cannot be estimated") {
    for (const StoneType type :
         {StoneType::boulder, StoneType::doublet, StoneType::triplet, StoneType::mosaic}) {
        Stone stone = example(); // even with a stated density
        stone.type = type;
        const Diagnostic refused = only(stone);
        CAPTURE(name_of(type));
        CHECK(refused.code == Code::not_estimable);
        CHECK(refused.severity == Severity::error);
        CHECK(refused.pointer == "/weight_ct");
        CHECK(has(refused.message, name_of(type)));
        CHECK(has(refused.hint, "Weigh the stone"));
        Stone on_the_scale = weighed(50); // and no density is implied
        on_the_scale.type = type;
        CHECK(weigh(on_the_scale).diagnostics.empty());
        CHECK_FALSE(weigh(on_the_scale).weight->estimate);
    }
    for (const StoneType type : {StoneType::matrix, StoneType::synthetic, StoneType::imitation}) {
        CAPTURE(name_of(type));
        Stone stone = example();
        stone.type = type;
        CHECK(weigh(stone).diagnostics.empty());
        stone.density.reset();
        CHECK(only(stone).code == Code::not_estimable);
        CHECK(only(stone).pointer == "/weight_ct");
        CHECK(has(only(stone).hint, "measured density"));
        stone.density_variety = "precious"; // a variety of solid natural opal is no measurement
        CHECK(only(stone).code == Code::not_estimable);
        stone.density_variety.reset();
        stone.weight_ct = reading(50, 0.01);
        CHECK(weigh(stone).diagnostics.empty());
    }
    Stone matrix = weighed(50); // opal in its host is not checked, whatever is stated
    matrix.type = StoneType::matrix;
    CHECK(weigh(matrix).diagnostics.empty());
}

TEST_CASE("a mounted stone that was weighed gets a warning") {
    Stone stone = weighed(3.2);
    stone.mounted = true;
    const Diagnostic warning = only(stone);
    CHECK(warning.code == Code::setting_weighed);
    CHECK(warning.severity == Severity::warning);
    CHECK(warning.pointer == "/weight_ct");
    stone.weight_ct.reset();
    CHECK(weigh(stone).diagnostics.empty());
    stone = weighed(3.2);
    stone.mounted = false;
    CHECK(weigh(stone).diagnostics.empty());
}

TEST_CASE("implied density out of band: the numbers, and a cause for each direction and factor") {
    // The example's weight by its dimensions is 3.14 ct.
    struct Mistake {
        double ct;
        std::string_view hint;
    };
    const std::vector<Mistake> mistakes{
        {32, "At 3.20 ct it would fit: look for a decimal point slipped"},
        {320, "At 3.20 ct it would fit: look for a decimal point slipped"},
        {3200, "At 3.20 ct it would fit: look for a decimal point slipped"},
        {16,
         "At 3.20 ct it would fit: look for a weight that was turned from grams into carats twice"},
        {640, "At 3.20 ct it would fit: look for a weight in milligrams"},
        {0.32, "At 3.20 ct it would fit: look for a decimal point slipped"},
        {0.032, "At 3.20 ct it would fit: look for a decimal point slipped"},
        {0.0032, "At 3.20 ct it would fit"},
        {0.64, "At 3.20 ct it would fit: look for a weight in grams"},
        {5, "a setting, a backing or host rock"},
        {2.2, "a hollow back"},
    };
    for (const Mistake& mistake : mistakes) {
        CAPTURE(mistake.ct);
        const Diagnostic warning = only(weighed(mistake.ct));
        CHECK(warning.code == Code::density_implausible);
        CHECK(warning.severity == Severity::warning);
        CHECK(warning.pointer == "/weight_ct");
        CAPTURE(warning.hint);
        CHECK(has(warning.hint, mistake.hint));
    }
    // A warning is no refusal: the scale's weight stands.
    CHECK(weigh(weighed(32)).weight->ct.value == 32);
}

TEST_CASE("of two slips that would mend the density the one nearer to the usual is named") {
    Stone stone = example();
    stone.density.reset();
    const double volume = weigh(stone).weight->estimate->volume.value;
    const auto hint_at = [&](double density) {
        stone.weight_ct = reading(density * volume / 200, 0.001);
        return only(stone).hint;
    };
    // The default is 2.115, plausible is about 1.08 to 2.54. A fifth of 11 is 2.2, a tenth 1.1.
    CHECK(has(hint_at(11), "grams into carats twice"));
    // Of 12.5 a fifth is 2.5 and a tenth 1.25; of 0.22 ten times is 2.2, five times 1.1.
    CHECK(has(hint_at(12.5), "grams into carats twice"));
    CHECK(has(hint_at(0.22), "slipped"));
}

TEST_CASE("the message states the implied density and both bands") {
    Stone stone = weighed(32);
    stone.cut.dome.reset();
    // V = pi/4 12.1 9.9 4.4 0.713 = 295.2 mm3; 32 ct = 6400 mg.
    CHECK(only(stone).message ==
          "Weight and dimensions imply a density of 21.68 g/cm3; 2.06 to 2.14 is stated, 1.61 to "
          "2.61 with the uncertainty of the volume.");
    stone.density.reset();
    // GIA Gem Reference Guide: 2.15 + 0.08 - 0.90, read in secondary sources.
    CHECK(only(stone).message ==
          "Weight and dimensions imply a density of 21.68 g/cm3; 1.25 to 2.23 is usual for opal, "
          "0.98 to 2.71 with the uncertainty of the volume.");
}

TEST_CASE("water is named when the stone may take it up") {
    Stone stone = weighed(5);
    CHECK(has(only(stone).hint, "water if it is hydrophane"));
    stone.hydrophane = true;
    CHECK(has(only(stone).hint, "water in the hydrophane"));
    stone.hydrophane = false;
    CHECK_FALSE(has(only(stone).hint, "water"));
}

TEST_CASE("a stone within the widened band is not remarked on") {
    Stone stone = example();
    stone.density.reset();
    stone.cut.dome.reset();
    const double volume = weigh(stone).weight->estimate->volume.value;
    const auto at_density = [&](double density) {
        stone.weight_ct = reading(density * volume / 200, 0.001);
        return weigh(stone).diagnostics.size();
    };
    // 2 u(V)/V is 21.7 % here, nearly all of it the fill's.
    CHECK(at_density(0.96) == 1);
    CHECK(at_density(0.99) == 0);
    CHECK(at_density(1.25) == 0);
    CHECK(at_density(2.23) == 0);
    CHECK(at_density(2.70) == 0);
    CHECK(at_density(2.73) == 1);
}

TEST_CASE("parts that do not add up to the depth") {
    Stone stone = example();
    stone.cut.dome.reset();
    stone.dimensions_mm.wall = reading(5);
    Diagnostic refused = only(stone);
    CHECK(refused.code == Code::value_range);
    CHECK(refused.pointer == "/dimensions_mm/wall");
    CHECK(refused.message ==
          "The parts are 5.00 mm high together, more than the depth of 4.40 mm.");

    stone.dimensions_mm.wall = reading(1.5);
    stone.dimensions_mm.dome = reading(3.5);
    CHECK(only(stone).pointer == "/dimensions_mm/dome");
    stone.dimensions_mm.dome =
        reading(2.92); // 0.02 mm over, u of the sum 0.035: read once more, fits
    CHECK(weigh(stone).diagnostics.empty());

    stone.cut.back = "convex";
    stone.dimensions_mm.dome = reading(2);
    stone.dimensions_mm.back = reading(1.5);
    CHECK(only(stone).pointer == "/dimensions_mm/back");
    stone.dimensions_mm.back = reading(0.5);
    refused = only(stone);
    CHECK(refused.pointer == "/dimensions_mm/depth");
    CHECK(has(refused.message, "4.00 mm high together, less than the depth of 4.40 mm"));

    stone.cut.back = "flat"; // a flat back has no height
    CHECK(only(stone).pointer == "/dimensions_mm/back");
    stone.dimensions_mm.back.reset(); // and leaves no room between wall and dome
    stone.dimensions_mm.wall = reading(1);
    CHECK(only(stone).pointer == "/dimensions_mm/depth");
    stone.cut.back = "convex";
    CHECK(weigh(stone).diagnostics.empty());
    // The record is no less contradictory for having been weighed.
    Stone on_the_scale = weighed(3.2);
    on_the_scale.dimensions_mm.wall = reading(5);
    CHECK(has_errors(weigh(on_the_scale).diagnostics));
}

TEST_CASE("a word for the dome that the heights contradict") {
    Stone stone = example();
    stone.cut.dome = Words{"high", "high"};
    const Diagnostic warning = only(stone);
    CHECK(warning.code == Code::dome_contradicts);
    CHECK(warning.severity == Severity::warning);
    CHECK(warning.pointer == "/cut/dome");
    CHECK(warning.message ==
          "A high dome on a width of 9.90 mm is at least 5.94 mm high, but there "
          "is room for 4.40 mm.");
    CHECK(warning.hint == "Correct the word or the depth; the word is left out of the estimate.");
    // The default fill is used in its place.
    const Outcome outcome = weigh(stone);
    Stone without = stone;
    without.cut.dome.reset();
    CHECK(outcome.weight->ct.value == weigh(without).weight->ct.value);

    stone.cut.dome = Words{"low", "low"};
    CHECK(weigh(stone).diagnostics.empty());
    stone.dimensions_mm.dome = reading(4);
    CHECK(only(stone).message ==
          "A low dome on a width of 9.90 mm is 0.00 mm to 2.97 mm high, but it measures 4.00 mm.");
    stone.dimensions_mm.dome.reset();
    stone.dimensions_mm.wall = reading(0.4); // settles the dome too, the back being flat
    CHECK(only(stone).code == Code::dome_contradicts);
    stone.cut.back = "convex"; // now it does not
    CHECK(weigh(stone).diagnostics.empty());
    stone.cut.dome = Words{"low", "high"};
    stone.cut.back = "flat";
    CHECK(weigh(stone).diagnostics.empty());
}

TEST_CASE("a measured dome contradicts its word by more than its measuring may be out") {
    // 0.3 of the width, between low and medium, is 2.97 mm; 1.96 times 0.02 mm is 0.04 mm.
    Stone stone = example();
    stone.dimensions_mm.dome = reading(2.5);
    CHECK(only(stone).message == "A medium dome on a width of 9.90 mm is 2.97 mm to 5.94 mm high, "
                                 "but it measures 2.50 mm.");
    stone.dimensions_mm.dome = reading(2.92);
    CHECK(only(stone).code == Code::dome_contradicts);
    stone.dimensions_mm.dome = reading(2.95);
    CHECK(weigh(stone).diagnostics.empty());
    stone.cut.dome = Words{"low", "low"};
    stone.dimensions_mm.dome = reading(2.99);
    CHECK(weigh(stone).diagnostics.empty());
    stone.dimensions_mm.dome = reading(3.02);
    CHECK(only(stone).code == Code::dome_contradicts);
}

TEST_CASE("values that cannot be measures") {
    struct Change {
        void (*change)(Stone&);
        std::string_view pointer;
    };
    const std::vector<Change> changes{
        {[](Stone& s) { s.dimensions_mm.length = reading(0); }, "/dimensions_mm/length"},
        {[](Stone& s) { s.dimensions_mm.width = reading(-9.9); }, "/dimensions_mm/width"},
        {[](Stone& s) { s.dimensions_mm.depth = reading(0); }, "/dimensions_mm/depth"},
        {[](Stone& s) { s.dimensions_mm.wall = reading(-1); }, "/dimensions_mm/wall"},
        {[](Stone& s) { s.density = reading(0); }, "/density"},
        {[](Stone& s) { s.weight_ct = reading(0); }, "/weight_ct"},
        {[](Stone& s) { s.cut.area_mm2 = reading(0); }, "/cut/area_mm2"},
        {[](Stone& s) { s.cut.area_mm2 = reading(130); }, "/cut/area_mm2"}, // box: 119.8 mm2
    };
    for (const Change& c : changes) {
        Stone stone = example();
        stone.cut.dome.reset();
        c.change(stone);
        const Diagnostic refused = only(stone);
        CHECK(refused.code == Code::value_range);
        CHECK(refused.pointer == c.pointer);
    }
}

TEST_CASE("diagnostics are added to those that are there") {
    Diagnostics diagnostics(1);
    diagnostics.front().message = "of another field";
    const auto weight = weight::weigh(weighed(3.2), diagnostics);
    CHECK(weight); // an earlier error is not this one's
    CHECK(diagnostics.size() == 1);
}
