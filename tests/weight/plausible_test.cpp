// What a record may say and a stone can hardly be, with the full text of each warning.
#include "weight/plausible.hpp"
#include "weight/weigh.hpp"

#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using namespace trayworth::weight;

namespace {

Reading measured(double value, double resolution = 0.01) {
    return {.low = value, .high = value, .resolution = resolution};
}

Stone sound() {
    Stone stone;
    stone.type = StoneType::solid;
    stone.body_tone = Range<int>{3, 4};
    stone.body_hue = "smoky grey";
    stone.transparency = Range<Transparency>{Transparency::opaque, Transparency::opaque};
    stone.play_of_colour = PlayOfColour{
        std::vector<ColourShare>{{"green", Range{0.6, 0.6}}, {"blue", Range{0.4, 0.4}}},
        Words{"flash", "flash"}, Range{0.9, 1.0}, std::nullopt};
    stone.faults = std::vector<Fault>{{"sand", "back", {"minor", "minor"}}};
    stone.cut.outline = "oval";
    stone.cut.back = "flat";
    stone.dimensions_mm.length = measured(12.1);
    stone.dimensions_mm.width = measured(9.9);
    stone.dimensions_mm.depth = measured(4.4);
    stone.weight_ct = measured(3.2);
    return stone;
}

void resize(Stone& stone, double length, double width, double depth) {
    stone.dimensions_mm.length = measured(length);
    stone.dimensions_mm.width = measured(width);
    stone.dimensions_mm.depth = measured(depth);
}

Diagnostics warnings(const Stone& stone) {
    Diagnostics found;
    check_plausible(stone, found);
    for (const Diagnostic& warning : found) {
        CHECK(warning.severity == Severity::warning);
        CHECK(severity_of(warning.code) == Severity::warning);
        CHECK(warning.message.ends_with("."));
        CHECK(warning.hint.ends_with("."));
    }
    return found;
}

// "code pointer: message hint"
std::string said(const Stone& stone) {
    std::string text;
    for (const Diagnostic& warning : warnings(stone)) {
        text += (text.empty() ? "" : "\n") + std::string(name_of(warning.code)) + " " +
                warning.pointer + ": " + warning.message + " " + warning.hint;
    }
    return text;
}

} // namespace

TEST_CASE("a sound stone is not remarked on, nor one that states little") {
    CHECK(said(sound()).empty());
    CHECK(said(Stone{}).empty());
}

TEST_CASE("shares of colour that do not sum to one") {
    Stone stone = sound();
    (*stone.play_of_colour->colours)[1].share = Range{0.3, 0.3};
    CHECK(said(stone) == "shares-sum /play_of_colour/colours: The shares of colour sum to 0.9, not "
                         "to 1. A value takes "
                         "each of them divided by the sum; correct them if that is not meant.");
    (*stone.play_of_colour->colours)[1].share = Range{0.39, 0.42}; // 1.005 at the middle
    CHECK(said(stone).empty());
    (*stone.play_of_colour->colours)[1].share = Range{0.2, 0.4}; // 0.9 at the middle
    CHECK_FALSE(said(stone).empty());
    // All zero is refused where they are priced.
    (*stone.play_of_colour->colours) = {{"green", Range{0.0, 0.0}}};
    CHECK(said(stone).empty());
    stone.play_of_colour->colours.reset();
    CHECK(said(stone).empty());
}

TEST_CASE("a face without colour, and a pattern") {
    Stone stone = sound();
    stone.play_of_colour->coverage = Range{0.0, 0.0};
    CHECK(said(stone) ==
          "grades-contradict /play_of_colour/coverage: None of the face shows colour by its "
          "coverage of 0, and yet there is a pattern. Correct the coverage, or write "
          "\"play_of_colour\": null and \"brightness\": null for a stone without play-of-colour.");
    stone.play_of_colour->coverage = Range{0.0, 0.1};
    CHECK(said(stone).empty());
}

TEST_CASE("a hue that contradicts tone or transparency") {
    const auto hue_of = [](std::string hue, Range<int> tone, Transparency clearest) {
        Stone stone = sound();
        stone.body_hue = std::move(hue);
        stone.body_tone = tone;
        stone.transparency = Range<Transparency>{clearest, Transparency::opaque};
        return said(stone);
    };
    const Range<int> black{3, 4};
    const Range<int> light{7, 8};
    CHECK(hue_of("black crystal", black, Transparency::opaque) ==
          "grades-contradict /body_hue: The body hue says crystal, and the transparency opaque. "
          "Crystal opal is transparent or translucent: correct the transparency, or leave the word "
          "out; a stone's name comes from its grades.");
    CHECK(hue_of("Black", {9, 9}, Transparency::translucent) ==
          "grades-contradict /body_hue: The body hue says black, and the body tone N9. Black opal "
          "is N1 to N4: correct the tone, or leave the word out; a stone's name comes from its "
          "grades.");
    CHECK(hue_of("off-WHITE", black, Transparency::translucent) ==
          "grades-contradict /body_hue: The body hue says white, and the body tone N3 to N4. White "
          "opal is N9, and light opal N7 to N9: correct the tone, or leave the word out; a stone's "
          "name comes from its grades.");
    // A straddle into the class, a word inside another, and what agrees.
    CHECK(hue_of("crystal", black, Transparency::translucent).empty());
    CHECK(hue_of("black", {4, 6}, Transparency::opaque).empty());
    CHECK_FALSE(hue_of("black", {5, 6}, Transparency::opaque).empty());
    CHECK(hue_of("white", {6, 7}, Transparency::opaque).empty());
    CHECK(hue_of("white", light, Transparency::opaque).empty());
    CHECK(hue_of("blackish, crystalline", light, Transparency::opaque).empty());
    CHECK(hue_of("whitewhite", black, Transparency::opaque).empty());
    CHECK_FALSE(hue_of("blackish black", light, Transparency::opaque).empty());
    CHECK(hue_of("", light, Transparency::opaque).empty());
}

TEST_CASE("a fault in a place that the stone does not have") {
    const auto faults_of = [](StoneType type, std::string place, std::string back = "flat") {
        Stone stone = sound();
        stone.type = type;
        stone.cut.back = std::move(back);
        stone.faults->push_back({"crack", std::move(place), {"minor", "minor"}});
        (*stone.faults)[0].place = "face";
        return said(stone);
    };
    CHECK(faults_of(StoneType::solid, "cap") ==
          "fault-place /faults/1/place: A stone of type solid has no cap: that is a part of a "
          "triplet. Write the place where the fault is, or correct the type.");
    CHECK(faults_of(StoneType::solid, "back", "double") ==
          "fault-place /faults/1/place: A double cabochon is domed on both sides and has no back. "
          "Write the place of a fault that can be seen, such as \"face\"; a fault of the back is "
          "priced as one that is out of sight.");
    CHECK(faults_of(StoneType::triplet, "cap").empty());
    CHECK_FALSE(faults_of(StoneType::doublet, "cap").empty());
    CHECK(faults_of(StoneType::doublet, "backing").empty());
    CHECK_FALSE(faults_of(StoneType::mosaic, "backing").empty());
    CHECK(faults_of(StoneType::mosaic, "join").empty());
    CHECK_FALSE(faults_of(StoneType::boulder, "join").empty());
    CHECK(faults_of(StoneType::boulder, "host").empty());
    CHECK(faults_of(StoneType::matrix, "host").empty());
    CHECK_FALSE(faults_of(StoneType::solid, "host").empty());
    CHECK(faults_of(StoneType::boulder, "ironstone").empty());
    CHECK_FALSE(faults_of(StoneType::matrix, "ironstone").empty());
    CHECK(faults_of(StoneType::solid, "girdle").empty());
    CHECK(faults_of(StoneType::solid, "back", "convex").empty());
}

TEST_CASE("dimensions in another order than length, width and depth") {
    Stone stone = sound();
    resize(stone, 9.9, 12.1, 4.4);
    CHECK(said(stone) ==
          "dimensions-order /dimensions_mm/width: The width of 12.10 mm is above the "
          "length of 9.90 mm. Write the longer measure as the length.");
    // A heart's and a triangle's length is along its axis, a freeform has no axis.
    for (const std::string outline : {"heart", "triangle", "freeform"}) {
        stone.cut.outline = outline;
        CHECK(said(stone).empty());
    }
    stone.cut.outline = "pear";
    CHECK_FALSE(said(stone).empty());
    stone.cut.outline.reset();
    CHECK_FALSE(said(stone).empty());
    // Within what was measured it is no order at all: a round moonstone of a dealer's listing.
    stone.cut.outline = "oval";
    resize(stone, 11.98, 12.06, 6);
    stone.dimensions_mm.uncertainty = 0.03;
    CHECK(said(stone).empty());
    stone.dimensions_mm.uncertainty = 0.02;
    CHECK_FALSE(said(stone).empty());
    stone.cut.outline = "round";
    CHECK(said(stone).empty());
}

TEST_CASE("a stone deeper than wide") {
    Stone stone = sound();
    resize(stone, 12.1, 4.4, 9.9);
    CHECK(said(stone) ==
          "depth-above-width /dimensions_mm/depth: The depth of 9.90 mm is above the width of 4.40 "
          "mm; cabochons are hardly ever deeper than wide. Are length, width and depth in that "
          "order? Measure again, or correct them.");
    stone.weight_ct.reset();
    stone.cut.outline = "round";
    stone.dimensions_mm.width.reset();
    CHECK(said(stone).empty()); // the diameter is its width
    stone.dimensions_mm.length = measured(9.8);
    CHECK_FALSE(said(stone).empty());
    std::swap(stone.dimensions_mm.length, stone.dimensions_mm.width);
    CHECK_FALSE(said(stone).empty());
    stone.dimensions_mm.width = measured(9.9);
    CHECK(said(stone).empty());
}

TEST_CASE("dimensions in another unit, by the weight") {
    Stone stone = sound();
    resize(stone, 1.21, 0.99, 0.44);
    // 3.2 / (0.0026 x 1.21 x 0.99 x 0.44) = 2335
    CHECK(said(stone) ==
          "dimensions-unit /dimensions_mm: At 1.21 x 0.99 x 0.44 mm and 3.2 ct the density would "
          "be about 2300 g/cm3. Are they in centimetres? Times 10 they are 12.10 x 9.90 x 4.40 mm, "
          "and the density about 2.3: write millimetres, or correct the weight.");
    CHECK(unit_of_dimensions(stone) == 10);
    Diagnostics weighed;
    CHECK(weigh(stone, weighed).has_value());
    CHECK(weighed.empty()); // said once
    resize(stone, 0.476, 0.390, 0.173);
    // 3.2 / (0.0026 x 0.476 x 0.390 x 0.173) = 38320, over 25.4^3 2.34
    CHECK(said(stone) ==
          "dimensions-unit /dimensions_mm: At 0.48 x 0.39 x 0.17 mm and 3.2 ct the density would "
          "be about 38000 g/cm3. Are they in inches? Times 25.4 they are 12.09 x 9.91 x 4.39 mm, "
          "and the density about 2.3: write millimetres, or correct the weight.");
    CHECK(unit_of_dimensions(stone) == 25.4);
    // Whatever the body: it need not be estimable.
    stone.type = StoneType::boulder;
    stone.cut.outline.reset();
    CHECK(unit_of_dimensions(stone) == 25.4);
    // A slip of the weight by another factor, and a stone of a size of its own.
    resize(stone, 12.1, 9.9, 4.4);
    for (const double ct : {0.32, 3.2, 32.0, 320.0, 3200.0}) {
        stone.weight_ct = measured(ct);
        CAPTURE(ct);
        CHECK_FALSE(unit_of_dimensions(stone).has_value());
        CHECK(said(stone).empty());
    }
    // What neither unit explains is not laid to one.
    resize(stone, 1.21, 0.99, 0.44);
    for (const double ct : {1.0, 15.0, 150.0}) {
        stone.weight_ct = measured(ct);
        CHECK_FALSE(unit_of_dimensions(stone).has_value());
    }
}

TEST_CASE("the published stones are in millimetres, and in centimetres or inches are found out") {
    struct Published {
        double length, width, depth, ct;
    };
    // A dealer's listing, a laboratory's report quoted by a dealer and a valuer's listing; the last
    // is alexandrite.
    const std::vector<Published> stones{{18.57, 15.1, 8.19, 15.76}, {11.26, 7.82, 4.23, 1.85},
                                        {12, 7.3, 4, 2.23},         {9.25, 7.71, 6.34, 2.88},
                                        {18.0, 13.0, 8.0, 8.95},    {7.29, 5.56, 3.23, 1.22}};
    for (const Published& published : stones) {
        for (const double unit : {1.0, 10.0, 25.4}) {
            Stone stone;
            resize(stone, published.length / unit, published.width / unit, published.depth / unit);
            stone.weight_ct = measured(published.ct);
            CAPTURE(published.ct);
            CAPTURE(unit);
            CHECK(unit_of_dimensions(stone).value_or(1) == unit);
        }
    }
}

TEST_CASE("dimensions in another unit, by the size alone") {
    Stone stone = sound();
    stone.weight_ct.reset();
    resize(stone, 1.21, 0.99, 0.44);
    CHECK(said(stone) ==
          "dimensions-unit /dimensions_mm: At 1.21 x 0.99 x 0.44 mm the stone is smaller than "
          "cabochons are cut. Are they in another unit? As centimetres, times 10, they are 12.10 x "
          "9.90 x 4.40 mm; as inches, times 25.4, 30.73 x 25.15 x 11.18 mm: write millimetres.");
    CHECK_FALSE(unit_of_dimensions(stone).has_value());
    resize(stone, 2, 2, 1);
    CHECK(said(stone).empty());
    // A small stone that its weight bears out: 0.0026 x 2.1 x 1.8 x 1.8 x 0.9 = 0.016 ct.
    resize(stone, 1.8, 1.8, 0.9);
    CHECK_FALSE(said(stone).empty());
    stone.weight_ct = measured(0.016, 0.001);
    CHECK(said(stone).empty());
    // Part of the measures.
    stone.weight_ct.reset();
    stone.dimensions_mm.width.reset();
    CHECK_FALSE(said(stone).empty());
    stone.dimensions_mm.length.reset();
    CHECK(said(stone).empty());
}

TEST_CASE("what is wrong in several ways is told in each") {
    Stone stone = sound();
    stone.body_hue = "white crystal";
    stone.play_of_colour->coverage = Range{0.0, 0.0};
    resize(stone, 4.4, 9.9, 12.1);
    std::vector<Code> codes;
    for (const Diagnostic& warning : warnings(stone)) {
        codes.push_back(warning.code);
    }
    CHECK(codes == std::vector<Code>{Code::grades_contradict, Code::grades_contradict,
                                     Code::grades_contradict, Code::dimensions_order,
                                     Code::depth_above_width});
}
