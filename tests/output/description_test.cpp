#include "core/bounds.hpp"
#include "core/nomenclature.hpp"
#include "io/template_reader.hpp"
#include "output/description.hpp"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>

using namespace trayworth;
using output::Description;
using output::Spelling;

namespace {

Stone stone_of(StoneType type) {
    Stone stone;
    stone.id = "D-1";
    stone.type = type;
    stone.treatments.emplace();
    stone.faults.emplace();
    stone.body_tone = Range<int>{2, 2};
    stone.transparency = Range<Transparency>{Transparency::opaque, Transparency::opaque};
    stone.brightness = Brightness{Range<double>{4, 4}, 5, 5};
    stone.play_of_colour.emplace();
    stone.play_of_colour->colours = {{"blue", Range<double>{0.25, 0.25}},
                                     {"red", Range<double>{0.75, 0.75}}};
    stone.play_of_colour->pattern = Words{"pinfire", "pinfire"};
    stone.cut.outline = "oval";
    return stone;
}

weight::Weight weighed(double carats) {
    weight::Weight weight;
    weight.ct.value = carats;
    return weight;
}

Description described(const Stone& stone) {
    Diagnostics diagnostics;
    const auto found = output::describe(stone, weighed(3.619), Spelling::british, diagnostics);
    REQUIRE(found);
    return *found;
}

} // namespace

TEST_CASE("title and text name every type and treatment, with the disclosures beside them") {
    for (const auto& type : stone_types) {
        for (const bool treated : {false, true}) {
            CAPTURE(type.name);
            CAPTURE(treated);
            Stone stone = stone_of(type.value);
            if (treated) {
                stone.treatments->emplace_back("smoke");
            }
            const Description found = described(stone);
            CHECK(found.title.find(", 3.62 ct, oval") != std::string::npos);
            if (is_composite(*stone.type) || !is_natural(*stone.type)) {
                CHECK(found.title.find(type.name.substr(1)) < found.title.find(','));
            }
            CHECK((found.title.find("smoke") != std::string::npos) == treated);
            CHECK(found.disclosures.size() ==
                  (type.value == StoneType::solid ? 0U : 1U) + (treated ? 1U : 0U));
        }
    }
}

TEST_CASE("the text says the grades with their scales, the largest colour first") {
    const Description found = described(stone_of(StoneType::solid));
    CHECK(found.text.find("body tone of N2 on the scale from N1") != std::string::npos);
    CHECK(
        found.text.find("very bright (brightness 4 on a scale of 1 to 5, 5 being the brightest)") !=
        std::string::npos);
    CHECK(found.text.find("red (75 %) and blue (25 %)") != std::string::npos);
    CHECK(found.text.find("No faults were seen.") != std::string::npos);
}

TEST_CASE("brightness words follow the place on the scale, whichever way it counts") {
    Stone stone = stone_of(StoneType::solid);
    const auto text_at = [&](double grade, int steps, int brightest) {
        stone.brightness = Brightness{Range<double>{grade, grade}, steps, brightest};
        return described(stone).text;
    };
    CHECK(text_at(5, 5, 5).find("is brilliant") != std::string::npos);
    CHECK(text_at(1, 5, 1).find("is brilliant") != std::string::npos);
    CHECK(text_at(7, 7, 1).find("is faint") != std::string::npos);
    CHECK(text_at(3, 5, 5).find("is bright (") != std::string::npos);
}

TEST_CASE("spelling is British or American") {
    Diagnostics diagnostics;
    const auto american =
        output::describe(stone_of(StoneType::solid), weighed(1), Spelling::american, diagnostics);
    REQUIRE(american);
    CHECK(american->text.find("play-of-color") != std::string::npos);
    CHECK(american->text.find("colour") == std::string::npos);
    CHECK(described(stone_of(StoneType::solid)).text.find("play-of-colour") != std::string::npos);
}

TEST_CASE("a description is refused without a type, and with a word that is barred") {
    Diagnostics diagnostics;
    Stone stone = stone_of(StoneType::synthetic);
    stone.play_of_colour->pattern = Words{"Natural flash", "pinfire"};
    CHECK_FALSE(output::describe(stone, weighed(1), Spelling::british, diagnostics));
    REQUIRE(diagnostics.size() == 1);
    CHECK(diagnostics[0].code == Code::word_barred);
    CHECK(diagnostics[0].pointer == "/play_of_colour/pattern");
    CHECK(diagnostics[0].message ==
          "The word \"natural\" may not describe a stone that was not mined (16 CFR 23.27).");
    stone.type.reset();
    diagnostics.clear();
    CHECK_FALSE(output::describe(stone, weighed(1), Spelling::british, diagnostics));
    CHECK(diagnostics[0].code == Code::field_missing);
}

TEST_CASE("a template is filled, and may not leave out a disclosure or use a barred word") {
    Stone stone = stone_of(StoneType::doublet);
    const Description description = described(stone);
    const auto fill = [&](const std::string& form) {
        Diagnostics diagnostics;
        const auto text = output::filled(form, stone, description, diagnostics);
        return std::pair(text, diagnostics);
    };
    const auto [text, none] = fill("{id:>5}|{title}|{disclosures}|{{x}}");
    CHECK(none.empty());
    CHECK(text ==
          "  D-1|Opal doublet, 3.62 ct, oval|This is a doublet: a layer of opal joined to a "
          "backing, not opal all through.|{x}");
    CHECK(fill("{title}").second.size() == 1);
    CHECK(fill("{title} {disclosures:.20}").second.size() == 1);
    CHECK(fill("{disclosures}").second.size() == 1); // it does not say what it is
    stone = stone_of(StoneType::synthetic);
    const Description made = described(stone);
    Diagnostics diagnostics;
    (void)output::filled("{title} {disclosures} A genuine beauty.", stone, made, diagnostics);
    REQUIRE(diagnostics.size() == 1);
    CHECK(diagnostics[0].code == Code::word_barred);
}

TEST_CASE("a template is checked before it is used, with the place of each mistake") {
    const auto faults = [](std::string_view text) {
        Diagnostics diagnostics;
        io::check_template(text, "form.txt", output::template_fields(), diagnostics);
        return diagnostics;
    };
    CHECK(faults("{title} {{ }} {id:<10} {size:^7.3}").empty());
    const Diagnostics unknown = faults("one\n two {titel}");
    REQUIRE(unknown.size() == 1);
    CHECK(unknown[0].message == "There is no placeholder \"titel\".");
    CHECK(unknown[0].hint == "Did you mean {title}?");
    CHECK(unknown[0].position->line == 2);
    CHECK(unknown[0].position->column == 6);
    for (const std::string_view bad :
         {"{", "}", "{title", "{}", "{0}", "{title:999999999}", "{title:.1000}", "{title:d}",
          "{title:{id}}", "{title.x}", "{title[0]}", "{title:5 }"}) {
        CAPTURE(bad);
        CHECK_FALSE(faults(bad).empty());
    }
}

TEST_CASE("a template holds nothing that acts on a terminal or cannot be seen") {
    const auto faults = [](std::string_view text) {
        Diagnostics diagnostics;
        io::check_template(text, "form.txt", output::template_fields(), diagnostics);
        return diagnostics;
    };
    CHECK(faults("{title}\r\n\tprix : 5 \xE2\x82\xAC\n\xE3\x82\xAA").empty());
    const Diagnostics escape = faults("\xC3\xA9\n\xC3\xA9\x1B[2J{title}");
    REQUIRE(escape.size() == 1);
    CHECK(escape[0].message == "Here is a character that one cannot see, U+001B.");
    CHECK(escape[0].position->line == 2);
    CHECK(escape[0].position->column == 2);
    // A carriage return alone, C1, a bidirectional control, what hides a word from its reader, a
    // tag, a NUL; then bytes that are not UTF-8.
    for (const std::string_view bad :
         {"a\rb", "a\r", "\xC2\x9B", "\xE2\x80\xAE", "gen\xC2\xADuine", "\xF3\xA0\x81\x81", "\xFF",
          "\xC0\x80", "\xED\xA0\x80", "\xE2\x82"}) {
        CAPTURE(bad);
        CHECK_FALSE(faults(bad).empty());
    }
    CHECK_FALSE(faults(std::string_view("a\0b", 3)).empty());
}

TEST_CASE("a template is filled within bounds, and its mistakes are told within bounds") {
    const auto faults = [](std::string_view piece, std::size_t times) {
        std::string text;
        for (std::size_t i = 0; i < times; ++i) {
            text += piece;
        }
        Diagnostics diagnostics;
        io::check_template(text, "form.txt", output::template_fields(), diagnostics);
        return diagnostics;
    };
    CHECK(faults("{notes}", bounds::placeholders).empty());
    const Diagnostics many = faults("{notes}", bounds::placeholders + 2);
    REQUIRE(many.size() == 1);
    CHECK(many[0].message == "There are more than 100 placeholders.");
    CHECK(many[0].position->column == 701);
    CHECK(faults("} ", bounds::errors).size() == bounds::errors);
    const Diagnostics wrong = faults("} ", 3 * bounds::errors);
    CHECK(wrong.size() == bounds::errors + 1);
    CHECK(wrong.back().code == Code::errors_too_many);
}
