// Checked against 16 CFR Part 23 (2018): 23.24, 23.25 and 23.27 as published; 23.26 from memory.
// Composites named with their parts: CIBJO, The Gemstone Book.
#include "core/disclosure.hpp"

#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;

namespace {

Stone stone_of(StoneType type) {
    Stone stone;
    stone.type = type;
    stone.treatments.emplace();
    stone.faults.emplace();
    return stone;
}

std::string all(const Stone& stone) {
    std::string text;
    for (const std::string& sentence : disclosures(stone)) {
        text += sentence + " ";
    }
    return text;
}

bool holds(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

} // namespace

TEST_CASE("an untreated solid opal has nothing to disclose, every other type has") {
    for (const auto& type : stone_types) {
        CAPTURE(type.name);
        const std::string text = all(stone_of(type.value));
        CHECK(text.empty() == (type.value == StoneType::solid));
        if (type.value != StoneType::solid) {
            CHECK(holds(text, type.value == StoneType::boulder  ? "host rock"
                              : type.value == StoneType::matrix ? "host rock"
                                                                : type.name));
        }
    }
    CHECK(holds(all(stone_of(StoneType::doublet)), "backing"));
    CHECK(holds(all(stone_of(StoneType::triplet)), "clear cap"));
    CHECK(holds(all(stone_of(StoneType::mosaic)), "bonded"));
    CHECK(holds(all(stone_of(StoneType::synthetic)), "grown in a laboratory"));
    CHECK(holds(all(stone_of(StoneType::imitation)), "is not opal"));
}

TEST_CASE("every treatment is named for every type, and one that is not stated is said to be so") {
    for (const auto& type : stone_types) {
        for (const std::string_view treatment :
             {"wax", "oil", "resin", "smoke", "sugar and acid"}) {
            CAPTURE(type.name);
            CAPTURE(treatment);
            Stone stone = stone_of(type.value);
            stone.treatments->emplace_back(treatment);
            CHECK(holds(all(stone), "treated: " + std::string(treatment)));
            CHECK(holds(all(stone), "special care"));
        }
        Stone stone = stone_of(type.value);
        stone.treatments.reset();
        CHECK(holds(all(stone), "Whether it has been treated is not stated."));
    }
}

TEST_CASE("hydrophane opal is said to be so") {
    Stone stone = stone_of(StoneType::solid);
    CHECK(all(stone).empty());
    stone.hydrophane = false;
    CHECK(all(stone).empty());
    stone.hydrophane = true;
    CHECK(holds(all(stone), "hydrophane"));
}

TEST_CASE("words for what is mined may not describe what was made") {
    for (const auto& type : stone_types) {
        const bool made = type.value == StoneType::synthetic || type.value == StoneType::imitation;
        for (const std::string_view word :
             {"natural", "genuine", "real", "precious", "semi-precious"}) {
            CAPTURE(type.name);
            CAPTURE(word);
            const auto barred =
                barred_word(stone_of(type.value), "a Fine " + std::string(word) + ", opal");
            CHECK(barred.has_value() == made);
            if (barred) {
                CHECK(barred->word == word);
            }
        }
    }
    const Stone synthetic = stone_of(StoneType::synthetic);
    CHECK(barred_word(synthetic, "NATURAL"));
    CHECK(barred_word(synthetic, "really unnatural") == std::nullopt);
    CHECK(barred_word(synthetic, "") == std::nullopt);
}

TEST_CASE("a stone is not called untreated, solid or flawless when it is not") {
    Stone treated = stone_of(StoneType::solid);
    CHECK_FALSE(barred_word(treated, "untreated, flawless, solid"));
    treated.treatments->emplace_back("wax");
    CHECK(barred_word(treated, "an untreated stone"));
    Stone faulty = stone_of(StoneType::solid);
    faulty.faults->push_back({"crack", "face", {"minor", "minor"}});
    CHECK(barred_word(faulty, "Flawless"));
    CHECK(barred_word(faulty, "in perfect colour"));
    CHECK(barred_word(stone_of(StoneType::doublet), "solid"));
    CHECK_FALSE(barred_word(stone_of(StoneType::boulder), "solid"));
}
