// One fault at a time is planted in the matrix that ships, which has none itself.
#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "pricing/lint.hpp"
#include "pricing/lint_parts.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using json = nlohmann::ordered_json;

namespace {

json shipped() {
    const std::string_view text = io::demonstration_matrix();
    return json::parse(text.begin(), text.end(), nullptr, true, true);
}

json::json_pointer at(const std::string& pointer) {
    return json::json_pointer(pointer);
}

// Errors of the reader, or else what lint() finds.
Diagnostics found_in(const json& matrix) {
    Diagnostics diagnostics;
    const auto read = io::read_matrix(matrix.dump(1), "own.json", diagnostics);
    return read ? pricing::lint(*read) : diagnostics;
}

std::vector<std::string> codes_and_places(const Diagnostics& diagnostics) {
    std::vector<std::string> all;
    for (const Diagnostic& one : diagnostics) {
        CHECK(one.message.back() == '.');
        CHECK((one.hint.back() == '.' || one.hint.back() == '?'));
        all.push_back(std::string(name_of(one.code)) + " " + one.pointer);
    }
    return all;
}

using Expected = std::vector<std::string>;

struct Planted {
    const char* what;
    std::vector<std::pair<std::string, json>> edits; // a value that is discarded erases
    Expected expected;
};

json planted(const Planted& fault) {
    json matrix = shipped();
    for (const auto& [pointer, value] : fault.edits) {
        if (value.is_discarded()) {
            matrix = matrix.patch(json::array({{{"op", "remove"}, {"path", pointer}}}));
        } else if (pointer.ends_with("/-")) {
            matrix[at(pointer.substr(0, pointer.size() - 2))].push_back(value);
        } else {
            matrix[at(pointer)] = value;
        }
    }
    return matrix;
}

const json gone(json::value_t::discarded);

const std::vector<Planted>& faults() {
    static const std::vector<Planted> all{
        {"a lighter tone dearer than a darker",
         {{"/grids/0/per_carat/3/1", {190, 320}}},
         {"tone-order /grids/0/per_carat/3/1"}},
        {"a dimmer stone dearer than a brighter",
         {{"/grids/2/per_carat/0/2", {430, 730}}, {"/grids/2/per_carat/0/3", {400, 740}}},
         {"brightness-order /grids/2/per_carat/0/2", "price-jump /grids/2/per_carat/0/2"}},
        {"a decimal place too many",
         {{"/grids/1/per_carat/2/1", {1700, 2900}}},
         {"brightness-order /grids/1/per_carat/2/1", "tone-order /grids/1/per_carat/2/1",
          "price-jump /grids/1/per_carat/2/1"}},
        {"a decimal place too few",
         {{"/grids/4/per_carat/8/4", {2.8, 5.4}}},
         {"brightness-order /grids/4/per_carat/8/3", "price-jump /grids/4/per_carat/8/4"}},
        {"digits turned round, within the order of brightness",
         {{"/grids/0/per_carat/0/1", {520, 850}}},
         {"price-jump /grids/0/per_carat/0/1"}},
        {"high end with a digit too many",
         {{"/grids/3/per_carat/4/2", {20, 83}}},
         {"spread-odd /grids/3/per_carat/4/2"}},
        {"a single number among spans",
         {{"/grids/3/per_carat/4/2", 40}},
         {"spread-odd /grids/3/per_carat/4/2"}},
        {"a hole in a grid",
         {{"/grids/5/per_carat/4/2", nullptr}},
         {"grid-gap /grids/5/per_carat/4/2"}},
        {"a tone left out",
         {{"/grids/5/per_carat/4", gone}, {"/grids/5/body_tone/4", gone}},
         {"grid-gap /grids/5/body_tone/4"}},
        {"a grade of brightness left out",
         {{"/grids/5/brightness", {1, 2, 3, 5}},
          {"/grids/5/per_carat/0/3", gone},
          {"/grids/5/per_carat/1/3", gone},
          {"/grids/5/per_carat/2/3", gone},
          {"/grids/5/per_carat/3/3", gone},
          {"/grids/5/per_carat/4/3", gone},
          {"/grids/5/per_carat/5/3", gone},
          {"/grids/5/per_carat/6/3", gone},
          {"/grids/5/per_carat/7/3", gone},
          {"/grids/5/per_carat/8/3", gone}},
         {"grid-gap /grids/5/brightness/3"}},
        {"a transparency left out",
         {{"/grids/1/transparency", {"transparent"}}},
         {"grid-gap /grids"}},
        {"two grids for one stone",
         {{"/grids/1/transparency", {"transparent", "opaque"}}},
         {"value-range /grids/1"}},
        {"a curve that stops short",
         {{"/factors/3/points/5", gone}},
         {"curve-gap /factors/3/points"}},
        {"a curve that begins late",
         {{"/factors/3/points/0", gone}},
         {"curve-gap /factors/3/points"}},
        {"more coverage worth less",
         {{"/factors/3/points/4/factor", {0.65, 0.75}}},
         {"curve-order /factors/3/points/4"}},
        {"a curve's points that overlap",
         {{"/factors/3/points/4/at", 0.7}},
         {"range-reversed /factors/3/points/4"}},
        {"a slip in a curve",
         {{"/factors/4/points/5/factor", {10.8, 12.8}}},
         {"curve-jump /factors/4/points/5"}},
        {"a slip in a ratio's curve",
         {{"/factors/6/points/5/factor", {0.074, 0.082}}},
         {"curve-jump /factors/6/points/5"}},
        {"strong fading dearer than moderate",
         {{"/factors/2/values/strong", {0.76, 0.82}}},
         {"word-order /factors/2/values/strong"}},
        {"a severe fault dearer than a moderate one",
         {{"/factors/7/values/sand/face/severe", {0.65, 0.75}}},
         {"word-order /factors/7/values/sand/face/severe"}},
        {"fair polish dearer than good",
         {{"/factors/8/values/fair", {1.05, 1.1}}},
         {"word-order /factors/8/values/fair"}},
        {"hydrophane dearer than not",
         {{"/factors/10/values/yes", {1.05, 1.1}}},
         {"word-order /factors/10/values/yes"}},
        {"market levels out of order",
         {{"/market_levels/retail", {1.2, 1.4}}},
         {"level-order /market_levels/retail"}},
        {"rounding that gets finer",
         {{"/rounding/5/to_nearest", 40}},
         {"rounding-order /rounding/5/to_nearest"}},
        {"rounding too coarse for its prices",
         {{"/rounding/6/to_nearest", 20000}},
         {"rounding-coarse /rounding/6/to_nearest"}},
        {"rounding that swallows the cheapest stones",
         {{"/rounding/0/to_nearest", 1}},
         {"rounding-coarse /rounding/0/to_nearest"}},
        {"rounding finer than a cent",
         {{"/rounding/0/to_nearest", 0.001}},
         {"rounding-fine /rounding/0/to_nearest"}},
        {"a word that no record can say",
         {{"/factors/10/values/Yes", {0.45, 0.7}}},
         {"unreachable /factors/10/values/Yes"}},
        {"a word with a blank behind it",
         {{"/factors/1/values/flash ", {0.92, 1.08}}},
         {"unreachable /factors/1/values/flash "}},
        {"a factor for stones without a price",
         {{"/factors/-",
           {{"name", "backing"},
            {"kind", "category"},
            {"field", "/cut/back"},
            {"type", {"mosaic"}},
            {"if_absent", 1},
            {"values", {{"flat", 1}}}}}},
         {"unreachable /factors/13", "factor-gap /factors/13"}},
        {"one field read by two factors",
         {{"/factors/12/type", {"boulder", "solid"}}},
         {"counted-twice /factors/12/field"}},
        {"depth by itself and against the width",
         {{"/factors/-",
           {{"name", "depth"},
            {"kind", "curve"},
            {"field", "/dimensions_mm/depth"},
            {"spacing", "linear"},
            {"if_absent", 1},
            {"points", {{{"at", 0}, {"factor", 1}}, {{"at", 9}, {"factor", 0.9}}}}}}},
         {"counted-twice /factors/13/field"}},
        {"transparency in the grids and in a factor",
         {{"/factors/-",
           {{"name", "see-through"},
            {"kind", "category"},
            {"field", "/transparency"},
            {"type", {"solid"}},
            {"values", {{"transparent", 1.1}, {"translucent", 1}, {"opaque", 1}}}}}},
         {"counted-twice /factors/13/field", "factor-gap /factors/13"}},
        {"the type in the grids and in a factor, with a type that has no grid",
         {{"/factors/-",
           {{"name", "kind of stone"},
            {"kind", "category"},
            {"field", "/type"},
            {"if_absent", 1},
            {"values", {{"solid", 1.1}, {"mosaic", 1}}}}}},
         {"unreachable /factors/13/values/mosaic", "unreachable /factors/13/if_absent",
          "counted-twice /factors/13/field"}},
        {"a field that counts for some types only",
         {{"/factors/12", gone}},
         {"factor-gap /factors/11"}},
        {"not stated is better than stated",
         {{"/factors/2/if_absent", {1.0, 1.2}}},
         {"absent-pays /factors/2/if_absent"}},
        {"a fault that pays",
         {{"/factors/7/values/window/girdle/minor", {0.9, 1.97}}},
         {"fault-pays /factors/7/values/window/girdle/minor"}},
        {"a treatment that pays",
         {{"/factors/9/values/oil", {4.0, 6.5}}},
         {"fault-pays /factors/9/values/oil"}},
        {"a treatment that may pay",
         {{"/factors/9/values/oil", {0.9, 1.5}}},
         {"fault-pays /factors/9/values/oil"}},
        {"colours not stated are better than the best",
         {{"/factors/0/if_absent", 9.5}},
         {"absent-pays /factors/0/if_absent"}},
        {"the first field read by a second factor",
         {{"/factors/-",
           {{"name", "colours once more"},
            {"kind", "share-weighted"},
            {"field", "/play_of_colour/colours"},
            {"if_absent", 0.5},
            {"values", {{"red", 2}, {"blue", 1}}}}}},
         {"counted-twice /factors/13/field"}},
        {"a factor between almost nothing and everything",
         {{"/factors/1/values/straw", {0.02, 2.0}}},
         {"spread-odd /factors/1/values/straw"}},
        {"low above high",
         {{"/grids/0/per_carat/0/0", {130, 83}}},
         {"range-reversed /grids/0/per_carat/0/0"}},
        {"a currency unknown to ISO 4217", {{"/currency", "AUS"}}, {"value-unknown /currency"}},
        {"an acceptance of nothing",
         {{"/accepted", {{{"code", "grid-gap"}, {"at", "/grids/0"}, {"reason", "old"}}}}},
         {"acceptance-unused /accepted/0"}},
        {"an acceptance without a reason",
         {{"/accepted", {{{"code", "grid-gap"}, {"at", "/grids/0"}, {"reason", ""}}}}},
         {"value-type /accepted/0/reason"}},
        {"an acceptance of what is an error",
         {{"/accepted", {{{"code", "value-range"}, {"at", "/grids/0"}, {"reason", "mine"}}}}},
         {"value-unknown /accepted/0/code"}},
    };
    return all;
}

} // namespace

TEST_CASE("lint: silent on the matrix that ships") {
    CHECK(codes_and_places(found_in(shipped())).empty());
}

TEST_CASE("lint: every planted fault is found where it is, and nothing else") {
    CHECK(faults().size() >= 25);
    for (const Planted& fault : faults()) {
        CAPTURE(fault.what);
        std::vector<std::string> found = codes_and_places(found_in(planted(fault)));
        Expected expected = fault.expected;
        std::sort(found.begin(), found.end());
        std::sort(expected.begin(), expected.end());
        CHECK(found == expected);
    }
}

TEST_CASE("lint: every planted fault that is a warning can be accepted, there or above") {
    for (const Planted& fault : faults()) {
        CAPTURE(fault.what);
        json matrix = planted(fault);
        const Diagnostics found = found_in(matrix);
        if (has_errors(found) || found.front().code == Code::acceptance_unused) {
            continue;
        }
        json above = matrix;
        for (const Diagnostic& one : found) {
            matrix["accepted"].push_back(
                {{"code", name_of(one.code)}, {"at", one.pointer}, {"reason", "as it is"}});
            const std::string parent = one.pointer.substr(0, one.pointer.rfind('/'));
            above["accepted"].push_back({{"code", name_of(one.code)},
                                         {"at", parent.empty() ? one.pointer : parent},
                                         {"reason", "as it is"}});
        }
        CHECK(codes_and_places(found_in(matrix)).empty());
        CHECK(codes_and_places(found_in(above)).empty());
    }
}

TEST_CASE("lint: an acceptance covers whole tokens of a pointer alone, and its own code") {
    json matrix = shipped();
    matrix[at("/grids/5/per_carat/4/2")] = nullptr;
    for (const auto& acceptance :
         {std::tuple("grid-gap", "/grids/5", true), std::tuple("grid-gap", "/grids/5/per", false),
          std::tuple("grid-gap", "/grids/4", false), std::tuple("tone-order", "/grids/5", false)}) {
        const auto [code, pointer, accepted] = acceptance;
        matrix["accepted"] = json::array({{{"code", code}, {"at", pointer}, {"reason", "so"}}});
        CAPTURE(std::get<1>(acceptance));
        const Expected expected =
            accepted ? Expected{}
                     : Expected{"grid-gap /grids/5/per_carat/4/2", "acceptance-unused /accepted/0"};
        CHECK(codes_and_places(found_in(matrix)) == expected);
    }
}

TEST_CASE("lint: messages hold the numbers") {
    json matrix = shipped();
    matrix[at("/grids/0/per_carat/3/1")] = {190, 320};
    // sqrt(190 x 320) = 246.58, sqrt(180 x 300) = 232.38
    CHECK(found_in(matrix).front().message ==
          "N4 at brightness 2 is dearer than N3 at brightness 2, a darker tone: likely 246.6 "
          "against 232.4.");
    matrix = shipped();
    matrix[at("/grids/0/per_carat/0/1")] = {520, 850};
    // sqrt(520 x 850) = 664.8
    CHECK(found_in(matrix).front().message ==
          "N1 at brightness 2 is likely 664.8, 2.1 times dearer than the 320 that the cells around "
          "it suggest.");
    matrix = shipped();
    matrix[at("/factors/1/values/straw")] = {0.02, 0.987};
    CHECK(found_in(matrix).front().message ==
          "The high end of \"straw\" is 49.4 times its low end.");
    matrix = shipped();
    matrix[at("/market_levels/retail")] = {1.2, 1.4};
    CHECK(found_in(matrix).front().message == "The level \"retail\" stands after \"online\" and is "
                                              "below it: likely 1.296 against 1.53.");
}

TEST_CASE("lint: grids that a factor's field does not tell apart count nothing twice") {
    json matrix = shipped();
    json& grids = matrix["grids"] = json::array();
    for (const char* transparency : {"transparent", "translucent", "opaque"}) {
        grids.push_back({{"name", transparency},
                         {"type",
                          {"solid", "boulder", "matrix", "doublet", "triplet", "mosaic",
                           "synthetic", "imitation"}},
                         {"transparency", {transparency}},
                         {"body_tone", {"N2"}},
                         {"brightness", {3}},
                         {"per_carat", {{{80, 120}}}}});
    }
    matrix["factors"] = json::array({{{"name", "kind of stone"},
                                      {"kind", "category"},
                                      {"field", "/type"},
                                      {"values", {{"solid", 1.1}, {"boulder", 1}}}}});
    CHECK(codes_and_places(found_in(matrix)).empty());
    grids[0]["type"].erase(0);
    CHECK(codes_and_places(found_in(matrix)) ==
          Expected{"grid-gap /grids", "counted-twice /factors/0/field"});

    // By type, which a factor over transparency does not read.
    matrix["factors"][0]["field"] = "/transparency";
    matrix["factors"][0]["values"] = {{"transparent", 1.2}, {"translucent", 1.1}, {"opaque", 1}};
    for (std::size_t i = 0; i < grids.size(); ++i) {
        grids[i]["type"] = {(std::vector{"solid", "boulder", "doublet"})[i]};
        grids[i]["transparency"] = {"transparent", "translucent", "opaque"};
    }
    CHECK(codes_and_places(found_in(matrix)).empty());

    // Nor does a grid that is the only one.
    matrix["factors"][0]["field"] = "/type";
    matrix["factors"][0]["values"] = {{"solid", 1.1}};
    grids.erase(1);
    grids.erase(1);
    CHECK(codes_and_places(found_in(matrix)).empty());
}

TEST_CASE("lint: a brightness scale whose brightest is 1 is read the other way round") {
    json matrix = shipped();
    matrix["brightness"]["brightest"] = 1;
    for (json& grid : matrix["grids"]) {
        for (json& row : grid["per_carat"]) {
            std::reverse(row.begin(), row.end());
        }
    }
    CHECK(codes_and_places(found_in(matrix)).empty());
    std::swap(matrix[at("/grids/0/per_carat/0/3")], matrix[at("/grids/0/per_carat/0/4")]);
    const auto found = codes_and_places(found_in(matrix));
    CHECK(std::find(found.begin(), found.end(), "brightness-order /grids/0/per_carat/0/4") !=
          found.end());
}

TEST_CASE("lint: a curve of few points may bend, by less than three times") {
    json matrix = shipped();
    json& points = matrix["factors"][6]["points"];
    points = json::parse(R"([{"at": 0.1, "factor": 0.5}, {"at": 0.4, "factor": 1},
                             {"at": 3, "factor": 0.5}])");
    CHECK(codes_and_places(found_in(matrix)).empty());
    points[1]["factor"] = 2;
    matrix["factors"][6]["if_absent"] = 0.5;
    CHECK(codes_and_places(found_in(matrix)) == Expected{"curve-jump /factors/6/points/1"});
}

TEST_CASE("lint: a grid of one row is held against its neighbours along the row") {
    json matrix = shipped();
    json& grid = matrix["grids"][0];
    grid["body_tone"] = {"N4"};
    grid["per_carat"] = {{{50, 80}, {150, 250}, {350, 590}, {740, 1300}, {1300, 2600}}};
    CHECK(codes_and_places(found_in(matrix)).empty());
    grid["per_carat"][0][2] = {3500, 5900};
    const auto found = codes_and_places(found_in(matrix));
    CHECK(std::find(found.begin(), found.end(), "price-jump /grids/0/per_carat/0/2") !=
          found.end());
}

TEST_CASE("lint: a point is held against what is usual of the others, five deviations of it") {
    // A zigzag: every point between the ends is 0.1 off, now above and now below its neighbours.
    // Their robust deviation is 1.4826 x 0.1, and five of it are 0.741.
    std::vector<double> x;
    std::vector<double> zigzag;
    for (int i = 0; i < 10; ++i) {
        x.push_back(i);
        zigzag.push_back(i % 2 == 0 ? 0.05 : -0.05);
    }
    const auto with_point_raised_by = [&](double height) {
        std::vector<double> y = zigzag;
        y[4] += height;
        return pricing::out_of_line(x, y);
    };
    CHECK(with_point_raised_by(0).empty());
    CHECK(with_point_raised_by(0.6).empty()); // off by 0.7: more than 1.4 times, but usual here
    const std::vector<pricing::OutOfLine> found = with_point_raised_by(0.7);
    REQUIRE(found.size() == 1);
    CHECK(found[0].index == 4);
    CHECK(found[0].expected == doctest::Approx(-0.05));
}

TEST_CASE("lint: nothing is reported at a limit, and everything past it") {
    json matrix = shipped();
    matrix[at("/market_levels/online")] = 1;      // as trade is
    matrix[at("/rounding/6/to_nearest")] = 10000; // half of it is 0.1 of 50,000
    matrix[at("/factors/9/values/oil")] = {0.6, 1};
    CHECK(codes_and_places(found_in(matrix)).empty());
    matrix[at("/market_levels/online")] = 0.999;
    matrix[at("/rounding/6/to_nearest")] = 10001;
    CHECK(codes_and_places(found_in(matrix)) ==
          Expected{"level-order /market_levels/online", "rounding-coarse /rounding/6/to_nearest"});

    json small = shipped();
    small["factors"] = json::array();
    small["grids"] = json::parse(R"([{"name": "one", "type": ["solid"], "body_tone": ["N2"],
        "transparency": ["transparent", "translucent", "opaque"], "brightness": [3],
        "per_carat": [[[10, 100]]]}])");
    CHECK(codes_and_places(found_in(small)).empty());
    small[at("/grids/0/per_carat/0/0/1")] = 100.1;
    CHECK(codes_and_places(found_in(small)) == Expected{"spread-odd /grids/0/per_carat/0/0"});
    small[at("/grids/0/per_carat/0/0")] = 100;
    small["factors"] = json::parse(R"([{"name": "pattern", "kind": "category", "if_absent": 0.8,
        "field": "/play_of_colour/pattern", "values": {"flash": 0.8, "straw": 0.5}}])");
    CHECK(codes_and_places(found_in(small)).empty());
    small[at("/factors/0/if_absent")] = 0.9; // below 1, and yet above the best
    CHECK(codes_and_places(found_in(small)) == Expected{"absent-pays /factors/0/if_absent"});

    std::vector<double> x(12);
    std::iota(x.begin(), x.end(), 0.0);
    std::vector<double> y(12); // level, so that nothing is usual
    y[5] = std::log(pricing::limits::least_jump);
    CHECK(pricing::out_of_line(x, y).empty());
    y[5] = std::nextafter(y[5], 1);
    CHECK(pricing::out_of_line(x, y).size() == 1);
}
