// Names against the published classes, written out here a second time.
//
// Types and body-tone classes: Gemmological Association of Australia, opal nomenclature, 1997:
// black N1-N4, dark N5-N6, light N7-N9, N9 called white. "Crystal" has two uses in print; the rule
// of this program is that transparent and translucent stones are crystal, and that "white" is the
// name of an N9 that is not. Composites are named as such with their parts: common practice.
#include "core/nomenclature.hpp"

#include <array>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using Texts = std::vector<std::string>;

namespace {

Stone stone(StoneType type,
            std::optional<Range<int>> tone,
            std::optional<Range<Transparency>> transparency) {
    Stone made;
    made.type = type;
    made.body_tone = tone;
    made.transparency = transparency;
    return made;
}

Nomenclature solid(Range<int> tone, Range<Transparency> transparency) {
    return name_stone(stone(StoneType::solid, tone, transparency));
}

constexpr Range<Transparency> opaque = point(Transparency::opaque);
constexpr Range<Transparency> translucent = point(Transparency::translucent);
constexpr Range<Transparency> transparent = point(Transparency::transparent);

} // namespace

TEST_CASE("the name at every tone, transparency and type") {
    struct Row {
        int tone;
        const char* crystal; // transparent or translucent
        const char* opaque;
    };
    constexpr std::array<Row, 9> classes{{{1, "black crystal", "black"},
                                          {2, "black crystal", "black"},
                                          {3, "black crystal", "black"},
                                          {4, "black crystal", "black"},
                                          {5, "dark crystal", "dark"},
                                          {6, "dark crystal", "dark"},
                                          {7, "light crystal", "light"},
                                          {8, "light crystal", "light"},
                                          {9, "light crystal", "white"}}};
    struct Noun {
        StoneType type;
        const char* noun;
        bool graded; // the tone's class is part of the name
    };
    constexpr std::array<Noun, 8> nouns{{{StoneType::solid, "opal", true},
                                         {StoneType::boulder, "boulder opal", true},
                                         {StoneType::matrix, "matrix opal", true},
                                         {StoneType::doublet, "opal doublet", false},
                                         {StoneType::triplet, "opal triplet", false},
                                         {StoneType::mosaic, "mosaic opal (composite)", false},
                                         {StoneType::synthetic, "synthetic opal", false},
                                         {StoneType::imitation, "imitation opal", false}}};
    int names = 0;
    for (const Row& row : classes) {
        for (const Noun& noun : nouns) {
            for (const auto transparency :
                 {Transparency::transparent, Transparency::translucent, Transparency::opaque}) {
                const Nomenclature found =
                    name_stone(stone(noun.type, point(row.tone), point(transparency)));
                const bool crystal = transparency != Transparency::opaque;
                const std::string expected =
                    noun.graded ? std::string(crystal ? row.crystal : row.opaque) + " " + noun.noun
                                : std::string(noun.noun);
                CHECK(found.name == expected);
                CHECK(found.straddles.empty());
                CHECK(found.tone_classes.size() == (noun.graded ? 1 : 0));
                ++names;
            }
        }
    }
    CHECK(names == 9 * 8 * 3);
}

TEST_CASE("a grade that straddles a boundary is named with both, and says so") {
    const Nomenclature two = solid({4, 5}, opaque);
    CHECK(two.name == "black or dark opal");
    CHECK(two.tone_classes == Texts{"black", "dark"});
    CHECK(two.straddles == Texts{"body tone N4 to N5 straddles black and dark"});

    CHECK(solid({6, 7}, translucent).name == "dark or light crystal opal");
    CHECK(solid({8, 9}, opaque).name == "light or white opal");
    CHECK(solid({8, 9}, opaque).straddles == Texts{"body tone N8 to N9 straddles light and white"});
    // A crystal of N9 is light like one of N8: no boundary between.
    CHECK(solid({8, 9}, transparent).name == "light crystal opal");
    CHECK(solid({8, 9}, transparent).straddles.empty());
    CHECK(solid({4, 7}, opaque).tone_classes == Texts{"black", "dark", "light"});
    CHECK(solid({1, 9}, opaque).tone_classes == Texts{"black", "dark", "light", "white"});
}

TEST_CASE("within a class there is nothing to straddle") {
    for (const Range<int> tone : {Range{1, 4}, Range{2, 3}, Range{5, 6}, Range{7, 8}}) {
        CAPTURE(tone.low);
        CHECK(solid(tone, opaque).straddles.empty());
        CHECK(solid(tone, opaque).tone_classes.size() == 1);
    }
}

TEST_CASE("a transparency that straddles crystal and opaque says so") {
    const Nomenclature found = solid({5, 5}, {Transparency::translucent, Transparency::opaque});
    CHECK(found.name == "dark (crystal or not) opal");
    CHECK(found.straddles ==
          Texts{"transparency translucent to opaque straddles crystal and not crystal"});
    const Nomenclature crystal =
        solid({5, 5}, {Transparency::transparent, Transparency::translucent});
    CHECK(crystal.name == "dark crystal opal");
    CHECK(crystal.straddles.empty());
    const Nomenclature both = solid({4, 5}, {Transparency::transparent, Transparency::opaque});
    CHECK(both.straddles.size() == 2);
}

TEST_CASE("what is not stated is left out of the name") {
    CHECK(name_stone(Stone{}).name == "opal");
    CHECK(name_stone(stone(StoneType::solid, std::nullopt, translucent)).name == "crystal opal");
    CHECK(name_stone(stone(StoneType::boulder, Range{3, 3}, std::nullopt)).name ==
          "black boulder opal");
    CHECK(name_stone(stone(StoneType::solid, Range{9, 9}, std::nullopt)).name == "white opal");
}

TEST_CASE("a coloured body keeps its tone and adds its hue") {
    Stone made = stone(StoneType::solid, Range{6, 6}, translucent);
    made.body_hue = "honey";
    CHECK(name_stone(made).name == "dark crystal opal, honey body");
    made.hydrophane = true;
    CHECK(name_stone(made).name == "dark crystal opal, honey body, hydrophane");
    made.hydrophane = false;
    CHECK(name_stone(made).name == "dark crystal opal, honey body");
}

TEST_CASE("treatments stand before and after the name") {
    Stone made = stone(StoneType::matrix, Range{2, 2}, opaque);
    made.treatments = Texts{};
    CHECK(name_stone(made).name == "black matrix opal");
    made.treatments = Texts{"sugar and acid"};
    CHECK(name_stone(made).name == "treated black matrix opal (sugar and acid)");
    made.treatments = Texts{"oil", "wax"};
    CHECK(name_stone(made).name == "treated black matrix opal (oil, wax)");
    // The qualifier of what is no natural opal stays next to the word it qualifies (16 CFR 23.25).
    made.type = StoneType::synthetic;
    CHECK(name_stone(made).name == "treated synthetic opal (oil, wax)");
}

TEST_CASE("common opal is called that, whatever its host") {
    Stone made = stone(StoneType::solid, Range{7, 7}, opaque);
    made.no_play_of_colour = true;
    CHECK(name_stone(made).name == "light common opal (no play-of-colour)");
    made.type = StoneType::boulder;
    CHECK(name_stone(made).name == "light boulder common opal (no play-of-colour)");
    made.type = StoneType::matrix;
    CHECK(name_stone(made).name == "light matrix common opal (no play-of-colour)");
}
