#include "core/bounds.hpp"
#include "io/plan_reader.hpp"
#include "io/written_json.hpp"

#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

using namespace trayworth;
using namespace trayworth::io;

namespace {

const std::string record = R"({"id": "A-1", "type": "solid", "faults": [],
    "brightness": {"grade": 3, "steps": 5, "brightest": 5},
    "dimensions_mm": {"length": 12.10, "width": 9.90, "depth": 4.40, "wall": 1.0},
    "cut": {"outline": "oval", "back": "flat"},
    "weight_ct": {"value": 3.60, "uncertainty": 0.005}})";

struct Read {
    std::optional<recutting::Plan> plan;
    Diagnostics diagnostics;
};

Read read(const std::string& text) {
    Read result;
    result.plan = read_plan(text, "plan.json", record, result.diagnostics);
    CHECK(result.plan.has_value() == result.diagnostics.empty());
    return result;
}

std::string plan(const std::string& alternatives, const std::string& head = "") {
    return R"({"format": "trayworth/plan/1", "currency": "AUD", )" + head + "\"alternatives\": [" +
           alternatives + "]}";
}

recutting::Plan accepted(const std::string& text) {
    Read result = read(text);
    for (const Diagnostic& d : result.diagnostics) {
        MESSAGE(d.pointer << ": " << d.message);
    }
    REQUIRE(result.plan);
    return *result.plan;
}

Diagnostic refused(const std::string& text) {
    const Read result = read(text);
    REQUIRE_FALSE(result.diagnostics.empty());
    const Diagnostic& first = result.diagnostics.front();
    CHECK(first.file == "plan.json");
    CHECK(first.position);
    CHECK_FALSE(first.hint.empty());
    return first;
}

void refused_as(const std::string& text,
                Code code,
                const std::string& pointer,
                const std::string& message) {
    const Diagnostic found = refused(text);
    CHECK(found.code == code);
    CHECK(found.pointer == pointer);
    CHECK(found.message == message);
}

std::string one(const std::string& outcome) {
    return plan(R"({"name": "a", "outcomes": [)" + outcome + "]}");
}

} // namespace

TEST_CASE("changes are merge patches, one upon the other, and numbers keep their digits") {
    const recutting::Plan found = accepted(plan(R"({"name": "grind", "minutes": 20, "materials": 2,
        "outcomes": [{"changes": {"dimensions_mm": {"depth": 4.10, "wall": null},
                                  "weight_ct": 3.3},
                      "alternatives": [{"name": "more", "outcomes": [
                          {"name": "good", "probability": 0.75,
                           "changes": {"faults": [{"kind": "sand", "place": "back",
                                                   "severity": "minor"}]}},
                          {"name": "bad", "probability": [0.2, 0.3], "changes": {"weight_ct": null}}
                      ]}]}]})",
                                                R"("rate_per_hour": 45, "name": "n", )"));
    CHECK(found.name == "n");
    CHECK(*found.rate_per_hour == 45);
    CHECK_FALSE(found.wealth);
    REQUIRE(found.alternatives.size() == 1);
    const recutting::Alternative& grind = found.alternatives.front();
    CHECK(grind.work.minutes == 20);
    CHECK(grind.work.materials == 2);
    const recutting::PlanOutcome& ground = grind.outcomes.front();
    CHECK(ground.name.empty());
    CHECK(ground.probability == point(1.0));
    CHECK(ground.stone.id == "A-1");
    CHECK(ground.stone.dimensions_mm.depth->middle() == 4.1);
    CHECK(ground.stone.dimensions_mm.depth->resolution == 0.01); // 4.10, not 4.1
    CHECK(ground.stone.dimensions_mm.length->resolution == 0.01);
    CHECK_FALSE(ground.stone.dimensions_mm.wall);
    CHECK(ground.stone.weight_ct->resolution == 0.1);
    CHECK_FALSE(ground.stone.weight_ct->standard_uncertainty);
    const recutting::Alternative& more = ground.alternatives.front();
    CHECK(more.outcomes[0].stone.faults->size() == 1);
    CHECK(more.outcomes[0].stone.dimensions_mm.depth->middle() == 4.1);
    CHECK_FALSE(more.outcomes[1].stone.weight_ct);
    CHECK(more.outcomes[1].probability == Range<double>{0.2, 0.3});
    CHECK(more.outcomes[1].changes_pointer ==
          "/alternatives/0/outcomes/0/alternatives/0/outcomes/1/changes");
}

TEST_CASE("comments are allowed, and own fields") {
    accepted("// mine\n" +
             plan(R"({"name": "a", "x-by": "me", "outcomes": [{}]})", R"("x-note": [1], )"));
}

TEST_CASE("changes that make no record are refused at the change") {
    refused_as(one(R"({"changes": {"brightness": {"grade": 7}}})"), Code::value_range,
               "/alternatives/0/outcomes/0/changes/brightness/grade",
               "With these changes the record is refused: A grade on a scale of 5 lies between 1 "
               "and 5.");
    const Diagnostic typo = refused(one(R"({"changes": {"wieght_ct": 3}})"));
    CHECK(typo.pointer == "/alternatives/0/outcomes/0/changes/wieght_ct");
    CHECK(typo.hint == "Did you mean \"weight_ct\"?");
    CHECK(typo.position->line == 1);
    CHECK(typo.source_line.substr(typo.caret, 11) == "\"wieght_ct\"");
    // A fault that a later decision would meet again is reported once.
    CHECK(read(one(R"({"changes": {"type": "stone"}, "alternatives":
                      [{"name": "b", "outcomes": [{}]}]})"))
              .diagnostics.size() == 1);
}

TEST_CASE("probabilities that cannot be") {
    const auto two = [](const std::string& a, const std::string& b) {
        return one(R"({"name": "x", "probability": )" + a + R"(}, {"name": "y", "probability": )" +
                   b + "}");
    };
    const std::string at = "/alternatives/0/outcomes";
    refused_as(two("0.5", "0.6"), Code::value_range, at, "The probabilities sum to 1.1, not to 1.");
    refused_as(two("0.5", "0.4"), Code::value_range, at, "The probabilities sum to 0.9, not to 1.");
    refused_as(two("[0.1, 0.3]", "[0.2, 0.6]"), Code::value_range, at,
               "The probabilities sum to 0.3 at least and 0.9 at most, and cannot sum to 1.");
    refused_as(two("[0.6, 0.7]", "0.5"), Code::value_range, at,
               "The probabilities sum to 1.1 at least and 1.2 at most, and cannot sum to 1.");
    refused_as(two("[0.6, 0.4]", "0.5"), Code::range_reversed, at + "/0/probability",
               "The range runs from 0.6 to 0.4, backwards.");
    refused_as(two("1.2", "0.5"), Code::value_range, at + "/0/probability",
               "1.2 does not lie between 0 and 1.");
    refused_as(two("\"0.5\"", "0.5"), Code::value_type, at + "/0/probability",
               "This is a number from 0 to 1 or [low, high], not a text.");
    refused_as(one(R"({"name": "x"}, {"name": "y", "probability": 1})"), Code::field_missing,
               at + "/0/probability", "\"probability\" is missing.");
    refused_as(one(R"({"probability": 0.9})"), Code::value_range, at,
               "The probabilities sum to 0.9, not to 1.");
    accepted(two("0.333333", "0.666667"));
    accepted(two("[0, 1]", "[0, 1]"));
}

TEST_CASE("what a plan lacks or repeats") {
    refused_as(plan(R"({"name": "a", "minutes": 5, "outcomes": [{}]})"), Code::field_missing,
               "/rate_per_hour",
               "The plan states minutes and not what an hour at the wheel is worth.");
    accepted(plan(R"({"name": "a", "minutes": 5, "outcomes": [{}]})", R"("rate_per_hour": 0, )"));
    refused_as(plan(R"({"name": "a", "outcomes": [{}]}, {"name": "a", "outcomes": [{}]})"),
               Code::value_range, "/alternatives/1/name", "Two alternatives are named \"a\".");
    refused_as(plan(""), Code::value_range, "/alternatives", "There is no alternative.");
    refused_as(plan(R"({"name": "a", "outcomes": []})"), Code::value_range,
               "/alternatives/0/outcomes", "There is no outcome.");
    refused_as(plan(R"({"name": "a", "minuts": 5, "outcomes": [{}]})"), Code::field_unknown,
               "/alternatives/0/minuts", "\"minuts\" is not a field here.");
    refused_as("[]", Code::value_type, "", "A plan is an object, not an array.");
    refused_as(R"({"format": "trayworth/plan/2", "currency": "AUD",
                   "alternatives": [{"name": "a", "outcomes": [{}]}]})",
               Code::format_version, "/format",
               "The format is \"trayworth/plan/2\", and this program reads \"trayworth/plan/1\".");
    refused_as(R"({"format": "trayworth/plan/1", "currency": "AUD", "currency": "USD",
                   "alternatives": [{"name": "a", "outcomes": [{}]}]})",
               Code::json_key_repeated, "/currency",
               "This key stands twice in one object, and which one is meant cannot be known.");
    CHECK(refused("{\"format\": ").code == Code::json_syntax);
    CHECK(refused(std::string("{}\0", 3)).code == Code::json_encoding);
}

TEST_CASE("plans that never end are refused") {
    std::string deep = R"([{"name": "a", "outcomes": [{}]}])";
    for (int i = 0; i < 8; ++i) {
        deep = R"([{"name": "a", "outcomes": [{"alternatives": )" + deep + "}]}]";
    }
    const Diagnostic found = refused(R"({"format": "trayworth/plan/1", "currency": "AUD",
        "alternatives": )" + deep + "}");
    CHECK(found.message == "More than 8 decisions follow one another.");

    std::string many;
    const std::string two =
        R"({"name": "b", "probability": 0.5}, {"name": "c", "probability": 0.5})";
    for (int i = 0; i < 251; ++i) {
        many += fmt::format(R"({}{{"name": "{}", "outcomes": [{}]}})", i == 0 ? "" : ", ", i, two);
    }
    CHECK(refused(plan(many)).message == "The plan has more than 500 outcomes.");

    std::string choices;
    for (int i = 0; i < 1000; ++i) {
        choices += fmt::format(R"({}{{"name": "{}", "outcomes": []}})", i == 0 ? "" : ", ", i);
    }
    const Read crowded = read(plan(choices));
    CHECK(crowded.diagnostics.size() == bounds::errors + 1);
    CHECK(crowded.diagnostics.back().code == Code::errors_too_many);
    choices.clear();
    for (int i = 0; i < 501; ++i) {
        choices += fmt::format(R"({}{{"name": "{}", "outcomes": [{{}}]}})", i == 0 ? "" : ", ", i);
    }
    const Diagnostics last = read(plan(choices)).diagnostics;
    REQUIRE(last.size() == 1);
    CHECK(last[0].message == "The plan has more than 500 alternatives.");
}

TEST_CASE("an object of too many members is refused in its place") {
    const auto with_members = [](int count, const std::string& before) {
        std::string members;
        for (int i = 0; i < count; ++i) {
            members += fmt::format(R"({}"m{}": 0)", i == 0 ? "" : ", ", i);
        }
        return plan(R"({"name": "a", "outcomes": [{}]})",
                    before + R"("x-a": [{"b": {)" + members + "}}], ");
    };
    accepted(with_members(1000, ""));
    refused_as(with_members(1001, ""), Code::list_size, "/x-a/0/b",
               "The object has more than 1,000 members.");
    const Read twice = read(with_members(1001, R"("wealth": +5000, )"));
    REQUIRE(twice.diagnostics.size() == 2);
    CHECK(twice.diagnostics[0].code == Code::json_syntax);
    CHECK(twice.diagnostics[1].pointer == "/x-a/0/b");
    CHECK(twice.diagnostics[1].position);
}

// The examples of RFC 7396, appendix A.
TEST_CASE("merge patches are those of the standard, and keep what is written") {
    const auto merged = [](const char* target, const char* patch) {
        WrittenJson document = read_written(target);
        document.merge_patch(read_written(patch));
        return text_of(document);
    };
    CHECK(merged(R"({"a":"b"})", R"({"a":"c"})") == R"({"a":"c"})");
    CHECK(merged(R"({"a":"b"})", R"({"b":"c"})") == R"({"a":"b","b":"c"})");
    CHECK(merged(R"({"a":"b"})", R"({"a":null})") == "{}");
    CHECK(merged(R"({"a":"b","b":"c"})", R"({"a":null})") == R"({"b":"c"})");
    CHECK(merged(R"({"a":["b"]})", R"({"a":"c"})") == R"({"a":"c"})");
    CHECK(merged(R"({"a":"c"})", R"({"a":["b"]})") == R"({"a":["b"]})");
    CHECK(merged(R"({"a":{"b":"c"}})", R"({"a":{"b":"d","c":null}})") == R"({"a":{"b":"d"}})");
    CHECK(merged(R"({"a":[{"b":"c"}]})", R"({"a":[1]})") == R"({"a":[1]})");
    CHECK(merged(R"(["a","b"])", R"(["c","d"])") == R"(["c","d"])");
    CHECK(merged(R"({"a":"b"})", R"(["c"])") == R"(["c"])");
    CHECK(merged(R"({"a":"foo"})", "null") == "null");
    CHECK(merged(R"({"a":"foo"})", R"("bar")") == R"("bar")");
    CHECK(merged(R"({"e":null})", R"({"a":1})") == R"({"e":null,"a":1})");
    CHECK(merged("[1,2]", R"({"a":"b","c":null})") == R"({"a":"b"})");
    CHECK(merged("{}", R"({"a":{"bb":{"ccc":null}}})") == R"({"a":{"bb":{}}})");
    CHECK(merged(R"({"a": 12.10, "b": 1e2, "c": -3, "d": "\u00e9\n"})", R"({"e": 0.30})") ==
          "{\"a\":12.10,\"b\":1e2,\"c\":-3,\"d\":\"\xC3\xA9\\n\",\"e\":0.30}");
}
