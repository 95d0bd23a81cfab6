#include "io/extended_matrix.hpp"

#include <array>
#include <map>
#include <string>
#include <string_view>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using nlohmann::json;

namespace {

constexpr std::string_view base = R"({
  "format": "trayworth/price-matrix/1", "name": "Base", "currency": "AUD", "as_of": "2026-11-01",
  "market_level": "trade", "provenance": "made up", "coverage": 0.80,
  "brightness": {"steps": 5, "brightest": 5, "mapping_half_width": 0.5},
  "market_levels": {"trade": 1, "retail": [2.00, 2.50]},
  "grids": [
    {"name": "crystal", "type": ["solid"], "transparency": ["transparent", "translucent"],
     "body_tone": ["N2", "N3"], "brightness": [3, 4.50],
     "per_carat": [[[10.0, 20.0], [30, 40]], [[50, 60], null]]},
    {"name": "black / dark", "type": ["solid"], "transparency": ["opaque"],
     "body_tone": ["N1"], "brightness": [3], "per_carat": [[7]]}
  ],
  "factors": [
    {"name": "polish", "kind": "category", "field": "/cut/polish",
     "values": {"good": 1, "fair": [0.70, 0.80]}},
    {"name": "size", "kind": "curve", "field": "/weight_ct", "spacing": "log",
     "points": [{"at": 1.0, "factor": 1}, {"at": 10, "factor": 1.50}]}
  ],
  "rounding": [{"from": 0, "to_nearest": 1}],
  "x-doc": ORIGINAL
})";

std::string with(std::string_view text, std::string_view what, std::string_view by) {
    std::string found(text);
    return found.replace(found.find(what), what.size(), by);
}

struct Outcome {
    std::optional<io::WholeMatrix> whole;
    Diagnostics diagnostics;

    [[nodiscard]] json document() const {
        REQUIRE(whole);
        return json::parse(whole->text, nullptr, true, true);
    }
};

// `patch` without its braces, over ./base.json.
Outcome extended(std::string_view patch, std::string_view original = "0") {
    const std::map<std::string, std::string> files{
        {"./base.json", with(base, "ORIGINAL", original)}};
    const io::MatrixLibrary library({}, [&](const std::string& path) { return files.at(path); });
    Outcome outcome;
    outcome.whole = io::read_whole_matrix(
        {"own.json",
         fmt::format(
             "{{\"format\": \"trayworth/price-matrix/1\", \"extends\": \"./base.json\",\n{}}}",
             patch),
         "", "own.json"},
        library, outcome.diagnostics);
    return outcome;
}

Diagnostic refused(std::string_view patch) {
    const Outcome outcome = extended(patch);
    CHECK_FALSE(outcome.whole);
    REQUIRE_FALSE(outcome.diagnostics.empty());
    return outcome.diagnostics.front();
}

} // namespace

TEST_CASE("a matrix is extended as RFC 7396 has it") {
    // RFC 7396, appendix A, all fifteen: the original, the patch, the result.
    constexpr std::array<std::array<std::string_view, 3>, 15> examples{{
        {R"({"a":"b"})", R"({"a":"c"})", R"({"a":"c"})"},
        {R"({"a":"b"})", R"({"b":"c"})", R"({"a":"b","b":"c"})"},
        {R"({"a":"b"})", R"({"a":null})", R"({})"},
        {R"({"a":"b","b":"c"})", R"({"a":null})", R"({"b":"c"})"},
        {R"({"a":["b"]})", R"({"a":"c"})", R"({"a":"c"})"},
        {R"({"a":"c"})", R"({"a":["b"]})", R"({"a":["b"]})"},
        {R"({"a":{"b":"c"}})", R"({"a":{"b":"d","c":null}})", R"({"a":{"b":"d"}})"},
        {R"({"a":[{"b":"c"}]})", R"({"a":[1]})", R"({"a":[1]})"},
        {R"(["a","b"])", R"(["c","d"])", R"(["c","d"])"},
        {R"({"a":"b"})", R"(["c"])", R"(["c"])"},
        {R"({"a":"foo"})", "null", "null"},
        {R"({"a":"foo"})", R"("bar")", R"("bar")"},
        {R"({"e":null})", R"({"a":1})", R"({"e":null,"a":1})"},
        {R"([1,2])", R"({"a":"b","c":null})", R"({"a":"b"})"},
        {R"({})", R"({"a":{"bb":{"ccc":null}}})", R"({"a":{"bb":{}}})"},
    }};
    for (const auto& example : examples) {
        const auto& [original, patch, result] = example;
        CAPTURE(example[0]);
        CAPTURE(example[1]);
        const json whole = extended(fmt::format("\"x-doc\": {}", patch), original).document();
        // As a member, what is patched with null is taken out.
        CHECK(whole.value("x-doc", json()) == json::parse(result));
        CHECK(whole.contains("x-doc") == (patch != "null"));
        CHECK_FALSE(whole.contains("extends"));
    }
}

TEST_CASE("cells, words and points are changed one at a time") {
    const Outcome outcome = extended(R"("name": "Own",
        "grids": {"crystal": {"per_carat": {"N3": {"4.5": [70, 80]}, "N2": {"3": null}}},
                  "black / dark": null},
        "factors": {"polish": {"values": {"poor": 0.40, "good": null}},
                    "size": {"points": {"2": 1.10, "1": [0.90, 1]}},
                    "new": {"kind": "category", "field": "/cut/dome", "values": {"low": 0.9}}})");
    const json whole = outcome.document();
    CHECK(whole["name"] == "Own");
    REQUIRE(whole["grids"].size() == 1);
    CHECK(whole["grids"][0]["per_carat"] ==
          json::parse("[[null, [30, 40]], [[50, 60], [70, 80]]]"));
    CHECK(whole["factors"][0]["values"] == json::parse(R"({"fair": [0.70, 0.80], "poor": 0.40})"));
    CHECK(whole["factors"][1]["points"] == json::parse(R"([{"at": 1, "factor": [0.9, 1]},
        {"at": 2, "factor": 1.1}, {"at": 10, "factor": 1.5}])"));
    CHECK(whole["factors"][2]["name"] == "new");
    // The whole is a matrix of its own.
    Diagnostics diagnostics;
    const io::MatrixLibrary none({}, [](const std::string&) { return std::string(); });
    const auto again = io::read_whole_matrix({"whole.json", outcome.whole->text, "", "whole.json"},
                                             none, diagnostics);
    REQUIRE(again);
    CHECK(again->matrix.grids[0].cells[3]->high() == doctest::Approx(80));
}

TEST_CASE("numbers keep the digits that they are written with") {
    const std::string text = extended(R"("market_levels": {"retail": [2.10, 2.60]})").whole->text;
    CHECK(text.find("[2.10,2.60]") != std::string::npos);
    CHECK(text.find("[10.0,20.0]") != std::string::npos);
    CHECK(text.find("\"brightness\": [3,4.50]") != std::string::npos);
}

TEST_CASE("each number knows the file that it is from") {
    const Outcome outcome = extended(R"("grids": {"crystal": {"per_carat": {"N3": {"4.5": 70}}}},
        "factors": {"size": {"points": {"2": 1.10}}, "polish": {"values": {"fair": 0.7}}})");
    REQUIRE(outcome.whole);
    const pricing::Matrix& matrix = outcome.whole->matrix;
    const auto from = [&](std::string_view pointer) { return matrix.origin_of(pointer); };
    CHECK(from("/grids/0/per_carat/1/1") == "own.json");
    CHECK(from("/grids/0/per_carat/1/0") == "./base.json");
    CHECK(from("/grids/1/per_carat/0/0") == "./base.json");
    CHECK(from("/factors/0/values/fair") == "own.json");
    CHECK(from("/factors/0/values/good") == "./base.json");
    CHECK(from("/factors/1/points/1/factor") == "own.json"); // the new one, between the two
    CHECK(from("/factors/1/points/2/factor") == "./base.json");
    CHECK(from("/market_levels/retail") == "./base.json");
}

TEST_CASE("a fault is placed in the file that it is in") {
    const Diagnostic turned = refused(R"("factors": {"polish": {"values": {"fair": [2, 1]}}})");
    CHECK(turned.code == Code::range_reversed);
    CHECK(turned.file == "own.json");
    CHECK(turned.pointer == "/factors/polish/values/fair");
    CHECK(turned.position->line == 2);
    const Diagnostic tone = refused(R"("grids": {"crystal": {"per_carat": {"N4": {"3": 1}}}})");
    CHECK(tone.code == Code::value_unknown);
    CHECK(tone.message == "\"N4\" is not a body tone of this grid.");
    const Diagnostic point = refused(R"("factors": {"size": {"points": {"2.0": 1}}})");
    CHECK(point.message == "\"2.0\" is not the number of a point, in its shortest form.");
    CHECK(refused(R"("factors": {"size": {"points": {"inf": 1}}})").code == Code::value_unknown);
    // Taking a field away that a matrix has to have leaves no place but the matrix itself.
    CHECK(refused(R"("coverage": null)").code == Code::field_missing);
}

TEST_CASE("a warning of the whole is placed in the file that the number is from") {
    const Outcome outcome = extended(R"("grids": {"crystal": {"per_carat": {"N3": {"4.5": 70}}}})");
    REQUIRE(outcome.whole);
    Diagnostics found;
    report(found, Code::price_jump, "/grids/0/per_carat/1/1", "m", "h");
    report(found, Code::price_jump, "/grids/0/per_carat/1/0/1", "m", "h");
    outcome.whole->place(found);
    CHECK(found[0].file == "own.json");
    CHECK(found[0].pointer == "/grids/crystal/per_carat/N3/4.5");
    CHECK(found[0].position->line == 2);
    CHECK(found[1].file == "./base.json");
    CHECK(found[1].pointer == "/grids/0/per_carat/1/0/1");
    CHECK(found[1].position->line == 9);
}

TEST_CASE("folders are those of the XDG Base Directory Specification 0.8") {
    using Folders = std::vector<std::string>;
    CHECK(io::matrix_folders("/home/a", "", "") ==
          Folders{"/home/a/.local/share/trayworth/matrices", "/usr/local/share/trayworth/matrices",
                  "/usr/share/trayworth/matrices"});
    CHECK(
        io::matrix_folders("/home/a", "/data", "/one::relative:/two") ==
        Folders{"/data/trayworth/matrices", "/one/trayworth/matrices", "/two/trayworth/matrices"});
    CHECK(io::matrix_folders("/home/a", "relative", "/one") == Folders{"/one/trayworth/matrices"});
    CHECK(io::matrix_folders("", "", "/one") == Folders{"/one/trayworth/matrices"});
}
