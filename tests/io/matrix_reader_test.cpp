#include "core/bounds.hpp"
#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "io/reading.hpp"

#include <array>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using test::with;
using json = nlohmann::ordered_json;

namespace {

// Small, and with every kind of thing in it once.
const std::string small = R"(// a matrix for tests
{
  "format": "trayworth/price-matrix/1",
  "name": "small", // of no use
  "invented": true,
  "currency": "AUD",
  "as_of": "2024-02-29",
  "market_level": "trade",
  "provenance": "made up",
  "coverage": 0.8,
  "brightness": {"steps": 5, "brightest": 5, "mapping_half_width": 0.5},
  "market_levels": {"trade": 1, "retail": [1.8, 2.4]},
  "grids": [
    {"name": "black", "type": ["solid"], "transparency": ["opaque"],
     "body_tone": ["N1", "N3"], "brightness": [1, 2.5, 5],
     "per_carat": [[[10, 40], 50, null], // N1
                   [[1, 4], 5, [6, 7]]],
     "x-own": 1},
    {"name": "crystal", "type": ["solid"], "transparency": ["transparent", "translucent"],
     "body_tone": ["N1"], "brightness": [1], "per_carat": [[3]]}
  ],
  "factors": [
    {"name": "pattern", "kind": "category", "field": "/play_of_colour/pattern",
     "type": ["solid"], "transparency": ["opaque"], "if_absent": [0.5, 2],
     "values": {"flash": 1, "a/b~c": [2, 8]}, "x-own": 1},
    {"name": "colours", "kind": "share-weighted", "field": "/play_of_colour/colours",
     "values": {"red": 2}},
    {"name": "depth", "kind": "curve", "field": "/dimensions_mm/depth",
     "per": "/dimensions_mm/width", "spacing": "log",
     "points": [{"at": 0.1, "factor": 1}, {"at": 1, "factor": [0.4, 0.5]}]},
    {"name": "faults", "kind": "fault", "field": "/faults",
     "values": {"crack": {"face": {"minor": [0.5, 0.8]}}}}
  ],
  "rounding": [{"from": 0, "to_nearest": 1}, {"from": 100, "to_nearest": 5}],
  "x-own": {"x": 1},
  "list_prices": [{"from": 0.5, "to_nearest": 0.5}, {"from": 50, "to_nearest": 10, "ending": 9}]
})";

struct Outcome {
    std::optional<pricing::Matrix> matrix;
    Diagnostics diagnostics;
};

Outcome read(const std::string& text) {
    Outcome outcome;
    outcome.matrix = io::read_matrix(text, "own.json", outcome.diagnostics);
    CHECK(outcome.matrix.has_value() == outcome.diagnostics.empty());
    for (const Diagnostic& diagnostic : outcome.diagnostics) {
        CHECK(diagnostic.position.has_value());
        CHECK(diagnostic.file == "own.json");
        CHECK(diagnostic.message.back() == '.');
        CHECK(diagnostic.hint.back() != ' ');
    }
    return outcome;
}

// "line:column code pointer" of each, with semicolons between them.
std::string found(const Outcome& outcome) {
    std::string all;
    for (const Diagnostic& d : outcome.diagnostics) {
        all += fmt::format("{}{}:{} {} {}", all.empty() ? "" : "; ", d.position->line,
                           d.position->column, name_of(d.code), d.pointer);
    }
    return all;
}

json parsed() {
    return json::parse(small, nullptr, true, true);
}

bool ends_in_index(const std::string& pointer) {
    return pointer.find_first_not_of("0123456789", pointer.rfind('/') + 1) == std::string::npos;
}

} // namespace

TEST_CASE("a matrix arrives as what it says") {
    const Outcome outcome = read(small);
    CAPTURE(test::rendered(outcome.diagnostics));
    REQUIRE(outcome.matrix.has_value());
    const pricing::Matrix& matrix = *outcome.matrix;
    CHECK(matrix.name == "small");
    CHECK(matrix.invented);
    CHECK(matrix.currency == Currency{"AUD", 2});
    CHECK(matrix.as_of == "2024-02-29");
    CHECK(matrix.market_level == "trade");
    CHECK(matrix.provenance == "made up");
    CHECK(matrix.coverage == 0.8);
    // Phi^-1(0.9), to ten digits, from any table of the normal distribution.
    CHECK(matrix.coverage_factor == doctest::Approx(1.2815515655).epsilon(1e-10).scale(0));
    CHECK(matrix.brightness == BrightnessScale{5, 5});
    CHECK(matrix.mapping_half_width == 0.5);
    REQUIRE(matrix.market_levels.size() == 2);
    const pricing::Entry* retail = pricing::find(matrix.market_levels, "retail");
    REQUIRE(retail != nullptr);
    CHECK(retail->spread.low() == doctest::Approx(1.8).epsilon(1e-12).scale(0));
    CHECK(retail->spread.high() == doctest::Approx(2.4).epsilon(1e-12).scale(0));

    REQUIRE(matrix.grids.size() == 2);
    const pricing::Grid& black = matrix.grids[0];
    CHECK(black.name == "black");
    CHECK(black.pointer == "/grids/0");
    CHECK(black.tones == std::vector<double>{1, 3});
    CHECK(black.brightness == std::vector<double>{1, 2.5, 5});
    REQUIRE(black.cells.size() == 6);
    CHECK(std::exp(black.cell(0, 0)->log_middle) == doctest::Approx(20).epsilon(1e-12).scale(0));
    CHECK(black.cell(0, 1)->log_half == 0);
    CHECK_FALSE(black.cell(0, 2).has_value());
    CHECK(black.cell(1, 2)->high() == doctest::Approx(7).epsilon(1e-12).scale(0));
    CHECK(black.cell_pointer(1, 2) == "/grids/0/per_carat/1/2");
    for (const auto& type : stone_types) {
        for (const auto& transparency : transparencies) {
            const pricing::Grid* grid = matrix.grid_for(type.value, transparency.value);
            const bool solid = type.value == StoneType::solid;
            CHECK((grid != nullptr) == solid);
            if (solid) {
                CHECK(grid->name ==
                      (transparency.value == Transparency::opaque ? "black" : "crystal"));
            }
        }
    }

    REQUIRE(matrix.factors.size() == 4);
    CHECK(matrix.factors[0].if_absent->spread.log_middle == doctest::Approx(0).epsilon(1e-12));
    CHECK(matrix.factors[0].stones.admits(StoneType::solid, Transparency::opaque));
    CHECK_FALSE(matrix.factors[0].stones.admits(StoneType::solid, Transparency::translucent));
    CHECK_FALSE(matrix.factors[0].stones.admits(StoneType::boulder, Transparency::opaque));
    CHECK(matrix.factors[1].stones.admits(StoneType::imitation, Transparency::translucent));
    CHECK_FALSE(matrix.factors[1].if_absent.has_value());
    const auto& category = std::get<pricing::Category>(matrix.factors[0].rule);
    CHECK(category.field == pricing::WordField::pattern);
    CHECK(pricing::find(category.values, "a/b~c") != nullptr);
    CHECK(std::get<pricing::ShareWeighted>(matrix.factors[1].rule).values.size() == 1);
    const auto& curve = std::get<pricing::Curve>(matrix.factors[2].rule);
    CHECK(curve.field == pricing::NumberField::depth);
    CHECK(curve.per == pricing::NumberField::width);
    CHECK(curve.log_spacing);
    CHECK(curve.at == std::vector<double>{0.1, 1});
    const auto& faults = std::get<pricing::Faults>(matrix.factors[3].rule);
    REQUIRE(faults.kinds.size() == 1);
    CHECK(faults.kinds[0].name == "crack");
    CHECK(faults.kinds[0].places[0].name == "face");
    CHECK(faults.kinds[0].places[0].severities[0].name == "minor");
    REQUIRE(matrix.rounding.size() == 2);
    CHECK(matrix.rounding[1].from == 100);
    CHECK(matrix.rounding[1].to_nearest == 5);
    REQUIRE(matrix.list_prices.size() == 2);
    CHECK(matrix.list_prices[0].from.minor == 50);
    CHECK(matrix.list_prices[0].to_nearest.minor == 50);
    CHECK(matrix.list_prices[0].ending.minor == 0);
    CHECK(matrix.list_prices[1].from.minor == 5000);
    CHECK(matrix.list_prices[1].ending.minor == 900);
}

TEST_CASE("the demonstration matrix and the small example are accepted") {
    const Outcome demonstration = read(std::string(io::demonstration_matrix()));
    CAPTURE(test::rendered(demonstration.diagnostics));
    REQUIRE(demonstration.matrix.has_value());
    CHECK(demonstration.matrix->invented);
    io::FileSource file(TRAYWORTH_SOURCE_DIR "/examples/own-matrix.json");
    const Outcome own = read(io::read_all(file, bounds::document_bytes));
    CAPTURE(test::rendered(own.diagnostics));
    CHECK(own.matrix.has_value());
    CHECK(read("\xEF\xBB\xBF" + small).matrix.has_value());
}

TEST_CASE("a byte order mark is no part of the first line, and a second one is a fault") {
    const Outcome marked = read("\xEF\xBB\xBF[1]");
    REQUIRE(marked.diagnostics.size() == 1);
    CHECK(marked.diagnostics[0].source_line == "[1]");
    CHECK(marked.diagnostics[0].caret == 0);
    CHECK(marked.diagnostics[0].position->column == 1);
    const Outcome twice = read("\xEF\xBB\xBF\xEF\xBB\xBF" + small);
    REQUIRE(twice.diagnostics.size() == 1);
    CHECK(twice.diagnostics[0].code == Code::json_encoding);
    CHECK(twice.diagnostics[0].position->line == 1);
}

TEST_CASE("what is built in is what stands in data/") {
    const auto same = [](const char* name, std::string_view text) {
        CAPTURE(name);
        io::FileSource file(std::string(TRAYWORTH_SOURCE_DIR "/data/") + name);
        CHECK((io::read_all(file, bounds::document_bytes) == text));
    };
    same("demonstration-matrix.json", io::demonstration_matrix());
    same("record.schema.json", io::record_schema());
    same("matrix.schema.json", io::matrix_schema());
    same("valuation.schema.json", io::valuation_schema());
    same("offer.schema.json", io::offer_schema());
}

TEST_CASE("each key left out of a matrix in turn") {
    const std::set<std::string> optional{"/invented",
                                         "/market_levels/retail",
                                         "/factors/0/type",
                                         "/factors/0/transparency",
                                         "/factors/0/if_absent",
                                         "/factors/0/values/flash",
                                         "/factors/0/values/a~1b~0c",
                                         "/factors/2/per",
                                         "/list_prices",
                                         "/list_prices/1/ending"};
    // The last entry, without which the object that holds it is empty.
    const std::set<std::string> last_entries{"/factors/1/values/red", "/factors/3/values/crack",
                                             "/factors/3/values/crack/face",
                                             "/factors/3/values/crack/face/minor"};
    std::size_t tried = 0;
    for (const std::string& pointer : test::pointers_of(parsed())) {
        if (ends_in_index(pointer)) {
            continue;
        }
        ++tried;
        json matrix = parsed();
        const json::json_pointer at(pointer);
        matrix.at(at.parent_pointer()).erase(at.back());
        const Outcome outcome = read(matrix.dump(2));
        CAPTURE(pointer);
        CAPTURE(test::rendered(outcome.diagnostics));
        if (optional.contains(pointer)) {
            CHECK(outcome.matrix.has_value());
            continue;
        }
        REQUIRE(outcome.diagnostics.size() == 1);
        const Diagnostic& diagnostic = outcome.diagnostics.front();
        if (pointer == "/market_levels/trade") {
            CHECK(diagnostic.code == Code::value_unknown);
            CHECK(diagnostic.pointer == "/market_level");
        } else if (last_entries.contains(pointer)) {
            CHECK(diagnostic.code == Code::value_range);
            CHECK(diagnostic.pointer == at.parent_pointer().to_string());
        } else {
            CHECK(diagnostic.code == Code::field_missing);
            CHECK(diagnostic.pointer == pointer);
        }
    }
    CHECK(tried == 71);
}

TEST_CASE("each value of a matrix given as every wrong type is refused in its place") {
    std::size_t tried = 0;
    for (const std::string& pointer : test::pointers_of(parsed())) {
        const json own = parsed().at(json::json_pointer(pointer));
        const bool cell = pointer.find("/per_carat/") != std::string::npos;
        for (const std::string value :
             {"null", "true", "7.5", R"("text")", "{}", "[]", R"({"no": 1})", "[[1]]"}) {
            const json wrong = json::parse(value);
            const bool same_type = wrong.type() == own.type() ||
                                   (wrong.is_number() && own.is_number()) ||
                                   (own.is_object() && wrong.is_object());
            const bool spread =
                wrong.is_number() && own.is_array() && own.size() == 2 && own[0].is_number();
            if (same_type || spread || (cell && (wrong.is_null() || wrong.is_number()))) {
                continue;
            }
            ++tried;
            json matrix = parsed();
            matrix.at(json::json_pointer(pointer)) = wrong;
            const Outcome outcome = read(matrix.dump(2));
            CAPTURE(pointer);
            CAPTURE(value);
            CAPTURE(test::rendered(outcome.diagnostics));
            REQUIRE_FALSE(outcome.diagnostics.empty());
            const Diagnostic& first = outcome.diagnostics.front();
            CHECK((first.pointer == pointer || first.pointer.starts_with(pointer + "/") ||
                   (cell && pointer.starts_with(first.pointer))));
            CHECK((first.code == Code::value_type || first.code == Code::value_range));
        }
    }
    CHECK(tried > 500);
}

TEST_CASE("faults of a matrix are found where they stand, comments and all") {
    struct Case {
        std::string from;
        std::string to;
        std::string expected;
    };
    const std::vector<Case> cases{
        {R"("name": "small",)", R"("nam": "small",)",
         "4:3 field-unknown /nam; 2:1 field-missing /name"},
        {R"(trayworth/price-matrix/1)", R"(trayworth/price-matrix/2)",
         "3:13 format-version /format"},
        {R"("AUD")", R"("aud")", "6:15 value-unknown /currency"},
        {R"("AUD")", R"("XYZ")", "6:15 value-unknown /currency"},
        {R"("2024-02-29")", R"("2023-02-29")", "7:12 value-range /as_of"},
        {R"("2024-02-29")", R"("2024-13-01")", "7:12 value-range /as_of"},
        {R"("2024-02-29")", R"("2024-04-31")", "7:12 value-range /as_of"},
        {R"("2024-02-29")", R"("1/11/2026")", "7:12 value-range /as_of"},
        {R"("2024-02-29")", R"("1900-02-29")", "7:12 value-range /as_of"},
        {R"("market_level": "trade")", R"("market_level": "shop")",
         "8:19 value-unknown /market_level"},
        {R"("trade": 1,)", R"("trade": 1.1,)", "12:30 value-range /market_levels/trade"},
        {R"("coverage": 0.8)", R"("coverage": 80)", "10:15 value-range /coverage"},
        {R"("coverage": 0.8)", R"("coverage": 0.49)", "10:15 value-range /coverage"},
        {R"("coverage": 0.8)", R"("coverage": 1)", "10:15 value-range /coverage"},
        {R"("brightest": 5)", R"("brightest": 3)", "11:43 brightness-scale /brightness/brightest"},
        {R"("steps": 5)", R"("steps": 5.5)", "11:27 value-type /brightness/steps"},
        {R"("steps": 5)", R"("steps": 1)", "11:27 value-range /brightness/steps"},
        {R"("steps": 5)", R"("x-steps": 5)",
         "11:18 field-unknown /brightness/x-steps; 11:17 field-missing /brightness/steps"},
        {R"([1.8, 2.4])", "[2.4, 1.8]", "12:43 range-reversed /market_levels/retail"},
        {R"([1.8, 2.4])", "[0, 1.8]", "12:44 value-range /market_levels/retail/0"},
        {R"([1.8, 2.4])", "[1, 2, 3]", "12:43 value-type /market_levels/retail"},
        {R"("type": ["solid"], "transparency": ["opaque"],
     "body_tone")",
         R"("type": ["solid", "sold"], "transparency": [],
     "body_tone")",
         "14:41 value-unknown /grids/0/type/1; 14:66 value-range /grids/0/transparency"},
        {R"(["transparent", "translucent"])", R"(["opaque", "translucent", "opaque"])",
         "19:86 value-range /grids/1/transparency/2; 19:5 value-range /grids/1"},
        {R"(["N1", "N3"])", R"(["N3", "N1"])", "15:26 range-reversed /grids/0/body_tone/1"},
        {R"(["N1", "N3"])", R"(["N1", "N0"])", "15:26 value-unknown /grids/0/body_tone/1"},
        {R"(["N1", "N3"])", R"(["N1"])", "16:19 value-range /grids/0/per_carat"},
        {R"([1, 2.5, 5])", R"([1, 2.5, 2.5])", "15:56 range-reversed /grids/0/brightness/2"},
        {R"([1, 2.5, 5])", R"([1, 2.5, 6])", "15:56 value-range /grids/0/brightness/2"},
        {R"([1, 2.5, 5])", "[]", "15:47 value-range /grids/0/brightness"},
        {R"([[10, 40], 50, null])", R"([[10, 40], 50])", "16:20 value-range /grids/0/per_carat/0"},
        {R"([[10, 40], 50, null])", R"([[40, 10], -50, null])",
         "16:21 range-reversed /grids/0/per_carat/0/0; 16:31 value-range /grids/0/per_carat/0/1"},
        {R"([6, 7]])", R"([6, 7], 8])", "17:20 value-range /grids/0/per_carat/1"},
        {R"("kind": "category")", R"("kind": "categories")", "23:33 value-unknown /factors/0/kind"},
        {R"("field": "/play_of_colour/pattern")", R"("field": "/play_of_colour/patern")",
         "23:54 value-unknown /factors/0/field"},
        {R"("field": "/play_of_colour/pattern")", R"("field": "/weight_ct")",
         "23:54 value-unknown /factors/0/field"},
        {R"("name": "colours")", R"("name": "pattern")", "26:14 value-range /factors/1/name"},
        {R"("per": "/dimensions_mm/width")", R"("per": "/weight_ct")",
         "29:13 value-unknown /factors/2/per"},
        {R"("spacing": "log")", R"("spacing": "lag")", "29:48 value-unknown /factors/2/spacing"},
        {R"("at": 0.1,)", R"("at": 0,)", "30:24 value-range /factors/2/points/0/at"},
        {R"("at": 0.1,)", R"("at": 2,)", "30:41 range-reversed /factors/2/points/1"},
        {R"("at": 0.1,)", R"("x-at": 0, "at": 0.1,)",
         "30:18 field-unknown /factors/2/points/0/x-at"},
        {R"({"at": 0.1, "factor": 1}, )", "", "30:16 value-range /factors/2/points"},
        {R"({"face": {"minor": [0.5, 0.8]}})", "{}", "32:26 value-range /factors/3/values/crack"},
        {R"("values": {"red": 2})", R"("points": [], "values": {"red": 2})",
         "27:6 field-unknown /factors/1/points"},
        {R"({"from": 0, "to_nearest": 1}, )", "", "34:15 value-range /rounding"},
        {R"("from": 100)", R"("from": 0)", "34:46 range-reversed /rounding/1"},
        {R"("to_nearest": 5)", R"("to_nearest": 0)", "34:74 value-range /rounding/1/to_nearest"},
        {R"([{"from": 0.5, "to_nearest": 0.5}, {"from": 50, "to_nearest": 10, "ending": 9}])", "[]",
         "36:18 value-range /list_prices"},
        {R"("from": 50,)", R"("from": 0.5,)", "36:53 range-reversed /list_prices/1"},
        {R"("from": 0.5,)", R"("from": 0.505,)", "36:28 value-range /list_prices/0/from"},
        {R"("ending": 9)", R"("ending": 10)", "36:94 value-range /list_prices/1/ending"},
        {R"("ending": 9)", R"("endings": 9)", "36:84 field-unknown /list_prices/1/endings"},
        {R"("to_nearest": 0.5)", R"("to_nearest": 100, "ending": 60)",
         "36:19 value-range /list_prices/0"},
        {R"("rounding")", R"("currency": "USD", "rounding")", "34:3 json-key-repeated /currency"},
        {R"("flash": 1,)", R"("flash": 1, "flash": 2,)",
         "25:29 json-key-repeated /factors/0/values/flash"},
        {R"("x": 1)", R"("x": 1, "x": 1)", "35:21 json-key-repeated /x-own/x"},
        {R"("a/b~c": [2, 8])", R"("a/b~c": [8, 2])",
         "25:38 range-reversed /factors/0/values/a~1b~0c"},
        {R"("made up",)", R"("made up")", "10:3 json-syntax "},
        {R"("made up",)", R"("",)", "9:17 value-type /provenance"},
        {R"("coverage": 0.8)", R"("coverage": 1e400)", "10:15 number-size "},
        {R"("made up")", "\"made \xFF\"", "9:23 json-encoding "},
    };
    for (const Case& one : cases) {
        CAPTURE(one.to);
        const Outcome outcome = read(with(small, one.from, one.to));
        CAPTURE(test::rendered(outcome.diagnostics));
        CHECK(found(outcome) == one.expected);
    }
}

TEST_CASE("what is wrong with a matrix is said in full") {
    CHECK(
        test::rendered(read(with(small, R"(["N1", "N3"])", R"(["N1", "M3"])")).diagnostics) ==
        R"(own.json:15:26: error: "M3" is not one of: N1, N2, N3, N4, N5, N6, N7, N8, N9. [value-unknown]
  at /grids/0/body_tone/1
  15 |      "body_tone": ["N1", "M3"], "brightness": [1, 2.5, 5],
     |                          ^
  Did you mean "N3"?
)");
    CHECK(
        test::rendered(
            read(with(small, R"(["transparent", "translucent"])", R"(["opaque"])")).diagnostics) ==
        R"(own.json:19:5: error: The grids "black" and "crystal" are both for the same stones. [value-range]
  at /grids/1
  19 |     {"name": "crystal", "type": ["solid"], "transparency": ["opaque"],
     |     ^
  Give each class of stone, by type and transparency, one grid.
)");
    CHECK(test::rendered(read(with(small, "[[1, 4], 5, [6, 7]]", "[[1, 4], 5]")).diagnostics) ==
          R"(own.json:17:20: error: A row of prices has 2 entries, and its axis has 3. [value-range]
  at /grids/0/per_carat/1
  17 |                    [[1, 4], 5]],
     |                    ^
  Give one entry for each; null where there is no price.
)");
    CHECK(test::rendered(
              read(with(small, R"("field": "/faults")", R"("field": "/fault")")).diagnostics) ==
          R"(own.json:31:50: error: "/fault" is not one of: /faults. [value-unknown]
  at /factors/3/field
  31 |     {"name": "faults", "kind": "fault", "field": "/fault",
     |                                                  ^
  Did you mean "/faults"?
)");
    CHECK(test::rendered(read(with(small, R"("if_absent": [0.5, 2])", R"("if_missing": [0.5, 2])"))
                             .diagnostics) ==
          R"(own.json:24:53: error: "if_missing" is not a field here. [field-unknown]
  at /factors/0/if_missing
  24 | …  "type": ["solid"], "transparency": ["opaque"], "if_missing": [0.5, 2],
     |                                                   ^
  Known here: name, kind, field, type, transparency, if_absent, values. A field
  of your own begins with "x-".
)");
}

TEST_CASE("a text that is no matrix at all") {
    CHECK(found(read("")) == "1:1 json-syntax ");
    CHECK(found(read("[]")) == "1:1 value-type ");
    CHECK(found(read("3")) == "1:1 value-type ");
    CHECK(found(read(std::string("{\n\0}", 4))) == "2:1 json-encoding ");
    CHECK(read("{}").diagnostics.size() == 12);
}

TEST_CASE("a matrix cut short at any byte is refused, and nowhere beyond its end") {
    for (std::size_t length = 0; length < small.size(); ++length) {
        CAPTURE(length);
        const Outcome outcome = read(small.substr(0, length));
        REQUIRE(outcome.diagnostics.size() == 1);
        CHECK(outcome.diagnostics[0].code == Code::json_syntax);
        CHECK(outcome.diagnostics[0].caret <= outcome.diagnostics[0].source_line.size());
        CHECK(outcome.diagnostics[0].position->line <= 37);
    }
}
