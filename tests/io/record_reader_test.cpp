#include "io/reading.hpp"
#include "io/record_reader.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using test::Read;
using test::read_one;
using test::rendered;
using test::with;
using json = nlohmann::ordered_json;

namespace {

Reading exactly(double value, double resolution) {
    return {.low = value, .high = value, .resolution = resolution};
}

void check_reading(const std::optional<Reading>& found, const Reading& expected) {
    REQUIRE(found.has_value());
    CHECK(found->low == expected.low);
    CHECK(found->high == expected.high);
    CHECK(std::abs(found->resolution - expected.resolution) <= 1e-12);
    CHECK(found->standard_uncertainty == expected.standard_uncertainty);
}

json ordinary() {
    return json::parse(test::ordinary_record);
}

std::string parent_of(const std::string& pointer) {
    return pointer.substr(0, pointer.rfind('/'));
}

std::string last_of(const std::string& pointer) {
    return pointer.substr(pointer.rfind('/') + 1);
}

// The place that the reader has to name when the value at `pointer` is wrong: the ends of a range
// and the entries of a list of words are judged together.
bool is_below(const std::string& pointer, const std::string& ancestor) {
    return pointer == ancestor || pointer.starts_with(ancestor + "/");
}

} // namespace

TEST_CASE("every field of a record arrives as what it says") {
    const Read read = read_one(std::string(test::ordinary_record));
    CAPTURE(rendered(read.diagnostics));
    REQUIRE(read.accepted);
    const Stone& stone = read.stone;
    CHECK(stone.id == "B-014");
    CHECK(stone.type == StoneType::solid);
    CHECK(stone.treatments == std::vector<std::string>{"smoke"});
    CHECK(stone.body_tone == Range<int>{3, 4});
    CHECK(stone.body_hue == "honey");
    CHECK(stone.transparency ==
          Range<Transparency>{Transparency::transparent, Transparency::translucent});
    CHECK(stone.hydrophane == false);
    REQUIRE(stone.brightness.has_value());
    CHECK(stone.brightness->grade == Range<double>{2.5, 3});
    CHECK(stone.brightness->steps == 5);
    CHECK(stone.brightness->brightest == 5);
    REQUIRE(stone.play_of_colour.has_value());
    CHECK_FALSE(stone.no_play_of_colour);
    const PlayOfColour& play = *stone.play_of_colour;
    REQUIRE(play.colours.has_value());
    REQUIRE(play.colours->size() == 2);
    CHECK((*play.colours)[0].colour == "green");
    CHECK((*play.colours)[0].share == Range<double>{0.6, 0.6});
    CHECK((*play.colours)[1].colour == "blue");
    CHECK((*play.colours)[1].share == Range<double>{0.3, 0.5});
    CHECK(play.pattern == Words{"flash", "broad flash"});
    CHECK(play.coverage == Range<double>{0.9, 0.95});
    CHECK(play.directionality == Words{"slight", "slight"});
    REQUIRE(stone.faults.has_value());
    REQUIRE(stone.faults->size() == 1);
    CHECK(stone.faults->front().kind == "potch line");
    CHECK(stone.faults->front().place == "back");
    CHECK(stone.faults->front().severity == Words{"minor", "moderate"});
    CHECK(stone.cut.outline == "oval");
    CHECK(stone.cut.dome == Words{"low", "medium"});
    CHECK(stone.cut.back == "flat");
    CHECK(stone.cut.polish == Words{"good", "good"});
    check_reading(stone.cut.area_mm2, exactly(93.1, 0.01));
    const Dimensions& mm = stone.dimensions_mm;
    check_reading(mm.length, exactly(12.1, 0.01));
    check_reading(mm.width, {9.9, 9.9, 0.1, 0.03});
    check_reading(mm.depth, {4.3, 4.5, 0, {}});
    check_reading(mm.wall, exactly(1, 1));
    check_reading(mm.dome, {2.9, 3.1, 0, {}});
    check_reading(mm.back, exactly(0.4, 0.1));
    CHECK(mm.uncertainty == 0.02);
    check_reading(stone.weight_ct, {3.61, 3.61, 0.01, 0.005});
    check_reading(stone.density, {2.06, 2.14, 0, {}});
    CHECK_FALSE(stone.density_variety.has_value());
    CHECK(stone.mounted == true);
    REQUIRE(stone.cost.has_value());
    CHECK(stone.cost->amount == 140.5);
    CHECK(stone.cost->currency == "AUD");
    CHECK(stone.cost->note == "a gift");
    CHECK(stone.notes == "no notes");
    REQUIRE(stone.extensions.size() == 1);
    CHECK(stone.extensions[0].name == "x-own");
    CHECK(stone.extensions[0].json == R"({"a": [1, "two"]})");
}

TEST_CASE("every choice of a word is read as itself") {
    for (const auto& named : stone_types) {
        CHECK(read_one(fmt::format(R"({{"type":"{}"}})", named.name)).stone.type == named.value);
    }
    for (const auto& named : transparencies) {
        CHECK(read_one(fmt::format(R"({{"transparency":"{}"}})", named.name)).stone.transparency ==
              Range<Transparency>{named.value, named.value});
    }
    for (int tone = 1; tone <= 9; ++tone) {
        CHECK(read_one(fmt::format(R"({{"body_tone":"N{}"}})", tone)).stone.body_tone ==
              Range<int>{tone, tone});
    }
}

TEST_CASE("the last decimal that was written is the resolution") {
    const std::map<std::string, double> resolutions{
        {"4", 1},        {"4.0", 0.1}, {"4.40", 0.01}, {"4.400", 0.001}, {"40e-1", 0.1},
        {"0.44e1", 0.1}, {"1.5E1", 1}, {"4e+0", 1},    {"12e0", 1},      {"1e2", 100}};
    for (const auto& written : resolutions) {
        CAPTURE(written.first);
        const Read read = read_one(R"({"weight_ct":)" + written.first + "}");
        REQUIRE(read.stone.weight_ct.has_value());
        CHECK(read.stone.weight_ct->resolution ==
              doctest::Approx(written.second).epsilon(1e-12).scale(0));
    }
}

TEST_CASE("nothing, none and not stated are three things") {
    const Read silent = read_one("{}");
    CHECK(silent.accepted);
    CHECK_FALSE(silent.stone.treatments.has_value());
    CHECK_FALSE(silent.stone.faults.has_value());
    CHECK_FALSE(silent.stone.play_of_colour.has_value());
    CHECK_FALSE(silent.stone.no_play_of_colour);
    const Read none = read_one(R"({"treatments": [], "faults": [], "play_of_colour": null,
                                   "brightness": null, "body_hue": null})");
    CAPTURE(rendered(none.diagnostics));
    CHECK(none.accepted);
    CHECK(none.stone.treatments == std::vector<std::string>{});
    REQUIRE(none.stone.faults.has_value());
    CHECK(none.stone.faults->empty());
    CHECK(none.stone.no_play_of_colour);
    CHECK_FALSE(none.stone.play_of_colour.has_value());
    CHECK_FALSE(none.stone.brightness.has_value());
    CHECK(read_one(R"({"density": "australian"})").stone.density_variety == "australian");
}

TEST_CASE("zero, minus zero and the smallest numbers are what they are") {
    for (const std::string zero : {"0", "-0", "0.0", "-0.0", "0e9", "1e-400"}) {
        CAPTURE(zero);
        const Read weight = read_one(R"({"weight_ct":)" + zero + "}");
        CHECK_FALSE(weight.accepted);
        REQUIRE(weight.diagnostics.size() == 1);
        CHECK(weight.diagnostics[0].code == Code::value_range);
        const Read coverage = read_one(R"({"dimensions_mm":{"uncertainty":)" + zero + "}}");
        CHECK(coverage.accepted);
        CHECK(coverage.stone.dimensions_mm.uncertainty == 0);
    }
    CHECK(read_one(R"({"weight_ct":1e9})").accepted);
}

TEST_CASE("what a tray states holds for every stone that does not say otherwise") {
    const std::vector<Read> all = test::read_all_records(R"({"format": "trayworth/stone/1",
      "x-of-the-file": 1,
      "tray": {
        "id": "Tray 7", "x-of-the-tray": 2, "type": "solid", "treatments": ["smoke"],
        "hydrophane": false,
        "brightness": {"steps": 5, "brightest": 5},
        "play_of_colour": {"pattern": "flash", "directionality": "slight",
          "colours": [{"colour": "red", "share": 1}, {"colour": "blue", "share": 0}]},
        "faults": [{"kind": "crack", "place": "face", "severity": "minor"}],
        "cut": {"outline": "oval", "back": "flat"},
        "dimensions_mm": {"uncertainty": 0.02, "width": 5},
        "weight_ct": {"uncertainty": 0.005},
        "density": "australian", "cost": {"currency": "AUD"}
      },
      "stones": [
        {},
        {"id": "a", "type": "boulder", "treatments": [], "brightness": {"grade": 3},
         "play_of_colour": {"pattern": "straw", "coverage": 0.5,
                            "colours": [{"colour": "green", "share": 1}]},
         "faults": [], "cut": {"back": "convex"}, "dimensions_mm": {"length": 7},
         "weight_ct": 2.5, "density": 2.1, "cost": {"amount": 3}},
        {"play_of_colour": null, "brightness": null, "weight_ct": {"value": 2, "uncertainty": 0.1},
         "dimensions_mm": {"uncertainty": 0.1}}
      ]})");
    REQUIRE(all.size() == 3);
    for (const Read& read : all) {
        CAPTURE(rendered(read.diagnostics));
        CHECK(read.accepted);
        CHECK(read.stone.extensions.empty());
    }

    const Stone& plain = all[0].stone;
    CHECK_FALSE(plain.id.has_value());
    CHECK(plain.type == StoneType::solid);
    CHECK(plain.treatments == std::vector<std::string>{"smoke"});
    CHECK(plain.brightness->steps == 5);
    CHECK_FALSE(plain.brightness->grade.has_value());
    CHECK(plain.play_of_colour->colours->size() == 2);
    CHECK(plain.faults->size() == 1);
    CHECK(plain.cut.back == "flat");
    CHECK(plain.dimensions_mm.uncertainty == 0.02);
    CHECK_FALSE(plain.weight_ct.has_value());
    CHECK(plain.weight_uncertainty == 0.005);
    CHECK(plain.density_variety == "australian");
    CHECK_FALSE(plain.cost->amount.has_value());

    const Stone& own = all[1].stone;
    CHECK(own.id == "a");
    CHECK(own.type == StoneType::boulder);
    CHECK(own.treatments == std::vector<std::string>{});
    CHECK(own.hydrophane == false);
    CHECK(own.brightness->grade == Range<double>{3, 3});
    CHECK(own.brightness->steps == 5);
    CHECK(own.play_of_colour->pattern == Words{"straw", "straw"});
    CHECK(own.play_of_colour->directionality == Words{"slight", "slight"});
    CHECK(own.play_of_colour->coverage == Range<double>{0.5, 0.5});
    REQUIRE(own.play_of_colour->colours->size() == 1);
    CHECK(own.play_of_colour->colours->front().colour == "green");
    CHECK(own.faults->empty());
    CHECK(own.cut.outline == "oval");
    CHECK(own.cut.back == "convex");
    CHECK(own.dimensions_mm.length->low == 7);
    CHECK(own.dimensions_mm.width->low == 5);
    CHECK(own.dimensions_mm.uncertainty == 0.02);
    CHECK(own.weight_ct->low == 2.5);
    CHECK(own.weight_uncertainty == 0.005);
    CHECK(own.density->low == 2.1);
    CHECK_FALSE(own.density_variety.has_value());
    CHECK(own.cost->amount == 3);
    CHECK(own.cost->currency == "AUD");

    const Stone& common = all[2].stone;
    CHECK(common.no_play_of_colour);
    CHECK_FALSE(common.play_of_colour.has_value());
    CHECK_FALSE(common.brightness.has_value());
    CHECK(common.weight_ct->standard_uncertainty == 0.1);
    CHECK(common.dimensions_mm.uncertainty == 0.1);
    CHECK(common.dimensions_mm.width->low == 5);
}

TEST_CASE("play of colour in the stone takes back a tray that says there is none") {
    const std::vector<Read> all = test::read_all_records(
        R"({"tray": {"play_of_colour": null}, "stones": [{}, {"play_of_colour":
            {"pattern": "flash", "colours": [{"colour": "red", "share": 1}]}}]})");
    REQUIRE(all.size() == 2);
    CHECK(all[0].stone.no_play_of_colour);
    CHECK_FALSE(all[1].stone.no_play_of_colour);
    CHECK(all[1].stone.play_of_colour.has_value());
}

TEST_CASE("each key left out in turn: refused where it is required, else accepted") {
    const std::set<std::string> required{"/brightness/steps",
                                         "/brightness/brightest",
                                         "/play_of_colour/colours",
                                         "/play_of_colour/colours/0/colour",
                                         "/play_of_colour/colours/0/share",
                                         "/play_of_colour/colours/1/colour",
                                         "/play_of_colour/colours/1/share",
                                         "/play_of_colour/pattern",
                                         "/faults/0/kind",
                                         "/faults/0/place",
                                         "/faults/0/severity",
                                         "/dimensions_mm/width/value",
                                         "/dimensions_mm/dome/value",
                                         "/weight_ct/value",
                                         "/cost/amount",
                                         "/cost/currency"};
    std::size_t tried = 0;
    for (const std::string& pointer : test::pointers_of(ordinary())) {
        if (last_of(pointer).find_first_not_of("0123456789") == std::string::npos) {
            continue;
        }
        ++tried;
        json record = ordinary();
        record.at(json::json_pointer(parent_of(pointer))).erase(last_of(pointer));
        const Read read = read_one(record.dump());
        CAPTURE(pointer);
        CAPTURE(rendered(read.diagnostics));
        const bool needed = required.contains(pointer);
        CHECK(read.accepted == !needed);
        REQUIRE(read.diagnostics.size() == (needed ? 1 : 0));
        if (needed && parent_of(pointer) == "/brightness") {
            CHECK(read.diagnostics[0].code == Code::brightness_scale);
            CHECK(read.diagnostics[0].pointer == "/brightness");
        } else if (needed) {
            CHECK(read.diagnostics[0].code == Code::field_missing);
            CHECK(read.diagnostics[0].pointer == pointer);
        }
    }
    CHECK(tried == 52);
}

TEST_CASE("each value given as every wrong type is refused in its place") {
    const std::map<std::string, std::string> wrong{{"null", "null"},     {"true", "true or false"},
                                                   {"7.5", "a number"},  {R"("text")", "a text"},
                                                   {"{}", "an object"},  {"[]", "an array"},
                                                   {"[[1]]", "an array"}};
    // What happens to be right, or is wrong as a number or a word and not as a type.
    const auto may_pass = [](const std::string& pointer, const std::string& value) {
        static const std::map<std::string, std::set<std::string>> right{
            {"/body_hue", {"null", "\"text\""}},
            {"/brightness", {"null", "{}"}},
            {"/play_of_colour", {"null"}},
            {"/treatments", {"[]"}},
            {"/faults", {"[]"}},
            {"/cut", {"{}"}},
            {"/dimensions_mm", {"{}"}},
            {"/hydrophane", {"true"}},
            {"/mounted", {"true"}},
            {"/density", {"7.5", "\"text\""}}};
        const auto found = right.find(pointer);
        return found != right.end() && found->second.contains(value);
    };
    static const std::set<std::string> texts{"id",     "notes",          "note",     "colour",
                                             "kind",   "place",          "severity", "pattern",
                                             "polish", "directionality", "outline"};
    static const std::set<std::string> numbers{"length",    "width",    "depth",
                                               "wall",      "value",    "amount",
                                               "weight_ct", "area_mm2", "uncertainty"};
    std::size_t tried = 0;
    for (const std::string& pointer : test::pointers_of(ordinary())) {
        const std::string name = last_of(pointer);
        const json own = ordinary().at(json::json_pointer(pointer));
        const bool in_list = name.find_first_not_of("0123456789") == std::string::npos;
        const bool in_dimensions = parent_of(pointer) == "/dimensions_mm";
        for (const auto& given : wrong) {
            const auto& [value, said] = given;
            const bool text_passes =
                value == "\"text\"" &&
                (texts.contains(name) || (in_list && own.is_string() &&
                                          (pointer.starts_with("/treatments") ||
                                           pointer.starts_with("/play_of_colour/pattern") ||
                                           pointer.starts_with("/faults/0/severity"))));
            const bool upper_end = pointer == "/density/1" || pointer == "/dimensions_mm/depth/1" ||
                                   pointer == "/dimensions_mm/dome/value/1";
            const bool number_passes =
                value == "7.5" &&
                (numbers.contains(name) || (in_dimensions && name != "width") || upper_end);
            if (text_passes || number_passes || may_pass(pointer, value)) {
                continue;
            }
            ++tried;
            json record = ordinary();
            record.at(json::json_pointer(pointer)) = json::parse(value);
            const Read read = read_one(record.dump());
            CAPTURE(pointer);
            CAPTURE(given.first);
            CAPTURE(rendered(read.diagnostics));
            CHECK_FALSE(read.accepted);
            REQUIRE_FALSE(read.diagnostics.empty());
            const Diagnostic& first = read.diagnostics.front();
            CHECK((is_below(first.pointer, pointer) ||
                   (in_list && first.pointer == parent_of(pointer))));
            CHECK(first.position.has_value());
        }
    }
    CHECK(tried > 350);
}

TEST_CASE("each range given backwards is refused with the mend") {
    const std::vector<std::array<std::string, 3>> reversals{
        {R"("body_tone": ["N3", "N4"])", R"("body_tone": ["N4", "N3"])", R"(["N3", "N4"])"},
        {R"(["transparent", "translucent"])", R"(["opaque", "translucent"])",
         R"(["translucent", "opaque"])"},
        {R"("grade": [2.5, 3])", R"("grade": [3, 2.5])", "[2.5, 3]"},
        {R"("share": [0.3, 0.5])", R"("share": [0.5, 0.3])", "[0.3, 0.5]"},
        {R"("coverage": [0.9, 0.95])", R"("coverage": [0.95, 0.9])", "[0.9, 0.95]"},
        {R"("area_mm2": 93.10)", R"("area_mm2": [94, 93])", "[93, 94]"},
        {R"("length": 12.10)", R"("length": [12.2, 12.1])", "[12.1, 12.2]"},
        {R"({"value": 9.9, "uncertainty": 0.03})", "[10, 9.9]", "[9.9, 10]"},
        {R"("depth": [4.3, 4.5])", R"("depth": [4.5, 4.3])", "[4.3, 4.5]"},
        {R"("wall": 1)", R"("wall": [1.1, 1])", "[1, 1.1]"},
        {R"("value": [2.9, 3.1])", R"("value": [3.1, 2.9])", "[2.9, 3.1]"},
        {R"("back": 0.4)", R"("back": [0.4, 0.3])", "[0.3, 0.4]"},
        {R"({"value": 3.61, "uncertainty": 0.005})", "[3.62, 3.61]", "[3.61, 3.62]"},
        {R"("density": [2.06, 2.14])", R"("density": [2.14, 2.06])", "[2.06, 2.14]"}};
    for (const auto& reversal : reversals) {
        const auto& [from, to, mend] = reversal;
        const Read read = read_one(with(test::ordinary_record, from, to));
        CAPTURE(reversal[1]);
        CAPTURE(rendered(read.diagnostics));
        CHECK_FALSE(read.accepted);
        REQUIRE(read.diagnostics.size() == 1);
        CHECK(read.diagnostics[0].code == Code::range_reversed);
        CHECK(read.diagnostics[0].hint == "Write " + mend + ".");
    }
}

TEST_CASE("a range of one point is a point") {
    const Read read = read_one(with(test::ordinary_record, "[0.9, 0.95]", "[0.9, 0.9]"));
    CHECK(read.accepted);
    CHECK(read.stone.play_of_colour->coverage == Range<double>{0.9, 0.9});
}

TEST_CASE("an unknown key is refused at every level, with the name that was meant") {
    const std::vector<std::array<std::string, 3>> slips{
        {R"("hydrophane")", R"("hydrophan")", "hydrophane"},
        {R"("grade")", R"("grad")", "grade"},
        {R"("pattern")", R"("patern")", "pattern"},
        {R"("colour": "green")", R"("color": "green")", "colour"},
        {R"("severity")", R"("serverity")", "severity"},
        {R"("outline")", R"("otuline")", "outline"},
        {R"("wall")", R"("wal")", "wall"},
        {R"("value": 3.61)", R"("valeu": 3.61)", "value"},
        {R"("value": 9.9)", R"("vaule": 9.9)", "value"},
        {R"("currency")", R"("currancy")", "currency"}};
    for (const auto& slip : slips) {
        const auto& [from, to, meant] = slip;
        const Read read = read_one(with(test::ordinary_record, from, to));
        CAPTURE(slip[1]);
        CAPTURE(rendered(read.diagnostics));
        CHECK_FALSE(read.accepted);
        REQUIRE_FALSE(read.diagnostics.empty());
        const Diagnostic& first = read.diagnostics.front();
        CHECK(first.code == Code::field_unknown);
        CHECK(first.hint == "Did you mean \"" + meant + "\"?");
        CHECK(first.source_line.substr(first.caret).starts_with(to.substr(0, to.find(':'))));
    }
    for (const std::string level :
         {"brightness", "play_of_colour", "cut", "dimensions_mm", "cost"}) {
        CAPTURE(level);
        const Read read = read_one(fmt::format(R"({{"{}": {{"x-own": 1}}}})", level));
        CHECK_FALSE(read.accepted);
        CHECK(read.diagnostics.front().pointer == "/" + level + "/x-own");
        CHECK(read.diagnostics.front().hint.starts_with("Known here: "));
    }
}

TEST_CASE("a key that stands twice is refused at every level") {
    const std::vector<std::array<std::string, 2>> doubled{
        {R"("id": "B-014",)", "/id"},
        {R"("x-own": {"a": [1, "two"]})", "/x-own"},
        {R"("steps": 5,)", "/brightness/steps"},
        {R"("coverage": [0.9, 0.95],)", "/play_of_colour/coverage"},
        {R"("colour": "blue",)", "/play_of_colour/colours/1/colour"},
        {R"("place": "back",)", "/faults/0/place"},
        {R"("back": "flat",)", "/cut/back"},
        {R"("wall": 1,)", "/dimensions_mm/wall"},
        {R"("value": 9.9,)", "/dimensions_mm/width/value"},
        {R"("value": 3.61,)", "/weight_ct/value"},
        {R"("currency": "AUD",)", "/cost/currency"}};
    for (const auto& twofold : doubled) {
        const auto& [member, pointer] = twofold;
        const std::string twice = member + (member.ends_with(',') ? " " : ", ") + member;
        const Read read = read_one(with(test::ordinary_record, member, twice));
        CAPTURE(twofold[1]);
        CAPTURE(rendered(read.diagnostics));
        CHECK_FALSE(read.accepted);
        REQUIRE(read.diagnostics.size() == 1);
        const Diagnostic& first = read.diagnostics.front();
        CHECK(first.code == Code::json_key_repeated);
        CHECK(first.pointer == pointer);
        const std::string key = member.substr(0, member.find(':'));
        CHECK(first.source_line.substr(0, first.caret).find(key) != std::string::npos);
        CHECK(first.source_line.substr(first.caret).starts_with(key));
    }
}

TEST_CASE("a user's own field may bear one name in the file and in its tray, not twice in one") {
    const auto codes = [](const std::string& text) {
        std::vector<std::string> found;
        for (const Read& read : test::read_all_records(text)) {
            for (const Diagnostic& diagnostic : read.diagnostics) {
                found.push_back(fmt::format("{} {}", name_of(diagnostic.code), diagnostic.pointer));
            }
        }
        return found;
    };
    using Found = std::vector<std::string>;
    CHECK(codes(R"({"x-a": 1, "tray": {"x-a": 2}, "stones": []})") == Found{});
    CHECK(codes(R"({"tray": {"x-a": 2, "x-a": 2}, "stones": []})") ==
          Found{"json-key-repeated /tray/x-a"});
    CHECK(codes(R"({"x-a": 1, "tray": {}, "x-a": 2, "stones": []})") ==
          Found{"json-key-repeated /x-a"});
    CHECK(codes(R"({"tray": {"typ": "solid"}, "stones": []})") == Found{"field-unknown /tray/typ"});
    CHECK(codes(R"({"trai": {}, "stones": []})") ==
          Found{"field-unknown /trai", "field-missing /tray"});
}

TEST_CASE("a record cut short at any byte is refused, and nowhere beyond its end") {
    const std::string whole(test::ordinary_record);
    const std::size_t lines =
        static_cast<std::size_t>(std::count(whole.begin(), whole.end(), '\n')) + 1;
    for (std::size_t length = 0; length < whole.size(); ++length) {
        CAPTURE(length);
        const std::string text = whole.substr(0, length);
        const Read read = read_one(text);
        CHECK_FALSE(read.accepted);
        REQUIRE_FALSE(read.diagnostics.empty());
        const Diagnostic& slip = read.diagnostics.front();
        CHECK((slip.code == Code::json_syntax));
        REQUIRE(slip.position.has_value());
        const std::size_t line_start = text.rfind('\n') + 1; // npos + 1 is 0
        CHECK(slip.position->line <= lines);
        if (slip.position->line ==
            static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 1) {
            CHECK(slip.position->column <= text.size() - line_start + 1);
        }
        CHECK(slip.caret <= slip.source_line.size());
    }
    CHECK(read_one(whole).accepted);
}

TEST_CASE("every byte of a record made a control byte or a broken character is noticed") {
    const std::string whole(test::ordinary_record);
    for (const char byte : {'\0', '\x01', '\xFF', '\xC0', '\x80'}) {
        for (std::size_t at = 0; at < whole.size(); ++at) {
            std::string text = whole;
            text[at] = byte;
            const std::vector<Read> all = test::read_all_records(text);
            CAPTURE(at);
            CAPTURE(static_cast<int>(byte));
            const bool accepted =
                std::all_of(all.begin(), all.end(), [](const Read& r) { return r.accepted; });
            CHECK_FALSE(accepted);
        }
    }
}

TEST_CASE("several faults of one record are all reported, in their order") {
    const Read read = read_one(R"({"id": 3, "type": "sold", "body_tone": ["N4", "N3"],
 "brightness": {"grade": true, "stepz": 5}, "weight_ct": -1, "nots": "", "cut": {"back": "round"},
 "faults": [{"kind": "crack"}, 7], "density": 1e10})");
    std::string found;
    for (const Diagnostic& d : read.diagnostics) {
        found += fmt::format("{}:{} {} {}\n", d.position->line, d.position->column, name_of(d.code),
                             d.pointer);
    }
    CHECK(found == "1:8 value-type /id\n"
                   "1:19 value-unknown /type\n"
                   "1:40 range-reversed /body_tone\n"
                   "2:26 value-type /brightness/grade\n"
                   "2:32 field-unknown /brightness/stepz\n"
                   "2:58 value-range /weight_ct\n"
                   "2:62 field-unknown /nots\n"
                   "2:90 value-unknown /cut/back\n"
                   "3:13 field-missing /faults/0/place\n"
                   "3:13 field-missing /faults/0/severity\n"
                   "3:32 value-type /faults/1\n"
                   "3:47 number-size /density\n");
    CHECK_FALSE(read.accepted);
}

TEST_CASE("a fault that hides what else is missing is reported alone") {
    for (const std::string brightness : {R"({"grade": 3, "steps": 5, "brightest": "5"})",
                                         R"({"grade": 3, "steps": 2.5, "brightest": 5})",
                                         R"({"grade": 3, "steps": 5, "brigtest": 5})"}) {
        const Read read = read_one(R"({"brightness": )" + brightness + "}");
        CAPTURE(rendered(read.diagnostics));
        CHECK(read.diagnostics.size() == 1);
    }
    const Read play = read_one(R"({"play_of_colour": {"pattern": 3, "colours": []}})");
    CHECK(play.diagnostics.size() == 2);
    const Read cost = read_one(R"({"cost": {"amount": "3", "currency": "AUD"}})");
    CHECK(cost.diagnostics.size() == 1);
}

TEST_CASE("deep nesting is refused without going down with it") {
    const std::size_t depth = 100'000;
    const std::string deep = std::string(depth, '[') + std::string(depth, ']');
    for (const std::string& text : {R"({"id": )" + deep + "}", R"({"x-own": )" + deep + "}",
                                    R"({"unknown": )" + deep + "}"}) {
        const Read read = read_one(text);
        CHECK_FALSE(read.accepted);
        REQUIRE_FALSE(read.diagnostics.empty());
        CHECK(read.diagnostics.back().code == Code::json_too_deep);
    }
    const std::string deep_enough = std::string(60, '[') + std::string(60, ']');
    CHECK(read_one(R"({"x-own": )" + deep_enough + "}").accepted);
    // The brackets of an array are the framer's, and what stands in it is a record.
    const std::vector<Read> elements = test::read_all_records(deep);
    CHECK(elements.size() == 1);
    CHECK_FALSE(elements.front().accepted);
}

TEST_CASE("only a stone within a tray may state the uncertainty of its weight alone") {
    CHECK_FALSE(read_one(R"({"weight_ct": {"uncertainty": 0.005}})").accepted);
    const auto in_tray = [](const std::string& tray) {
        return test::read_all_records(R"({"tray": )" + tray +
                                      R"(, "stones": [{"weight_ct": {"uncertainty": 0.1}}]})")
            .back();
    };
    CHECK_FALSE(in_tray("{}").accepted);
    const Read read = in_tray(R"({"weight_ct": 2})");
    CHECK(read.accepted);
    CHECK(read.stone.weight_ct->low == 2);
    CHECK(read.stone.weight_uncertainty == 0.1);
}

TEST_CASE("a stone without play-of-colour has no grade of brightness") {
    const auto refused = [](const std::string& tray, const std::string& stone) {
        const Read read =
            test::read_all_records(R"({"tray": {)" + tray + R"(}, "stones": [{)" + stone + "}]}")
                .back();
        return !read.accepted;
    };
    const std::string none = R"("play_of_colour": null)";
    const std::string scale = R"("brightness": {"steps": 5, "brightest": 5})";
    const std::string grade = R"("brightness": {"grade": 3, "steps": 5, "brightest": 5})";
    CHECK_FALSE(refused(scale, none));
    CHECK_FALSE(refused(grade, none + R"(, "brightness": null)"));
    CHECK(refused("", none + ", " + grade));
    CHECK(refused(grade, none));
}

TEST_CASE("the grade that a tray gives lies on a scale of some number of steps") {
    for (const std::string grade : {"0", "101", "[0, 3]"}) {
        const std::vector<Read> all = test::read_all_records(
            R"({"tray": {"brightness": {"grade": )" + grade + R"(}}, "stones": [{}]})");
        CHECK(all.size() == 1);
        CHECK(all.front().diagnostics.size() == 1);
    }
}

TEST_CASE("a cost is an amount in a currency, and a tray may give either") {
    const auto accepted = [](const std::string& tray, const std::string& stone) {
        return test::read_all_records(R"({"tray": {)" + tray + R"(}, "stones": [{)" + stone + "}]}")
            .back()
            .accepted;
    };
    const std::string amount = R"("cost": {"amount": 3})";
    const std::string currency = R"("cost": {"currency": "AUD"})";
    CHECK(accepted(currency, ""));
    CHECK(accepted(currency, amount));
    CHECK(accepted(amount, currency));
    CHECK_FALSE(accepted(amount, ""));
    CHECK_FALSE(accepted("", amount));
    CHECK_FALSE(accepted("", currency));
    CHECK_FALSE(accepted(currency, R"("cost": {"note": "a gift"})"));
}
