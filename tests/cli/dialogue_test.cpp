#include "cli/dialogue.hpp"
#include "core/diagnostic.hpp"
#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "valuation/model.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using namespace trayworth::cli;

namespace {

using json = nlohmann::ordered_json;
using Lines = std::vector<std::string_view>;

const pricing::Matrix& matrix() {
    static const pricing::Matrix demonstration = [] {
        Diagnostics diagnostics;
        return *io::read_matrix(io::demonstration_matrix(), "matrix", diagnostics);
    }();
    return demonstration;
}

// A dialogue, and what it said last.
struct Talk {
    explicit Talk(std::string_view given = "{\n}")
        : dialogue(matrix(), io::RecordDraft(given), {}), question(dialogue.ask()) {}

    Talk& say(const Lines& lines) {
        for (const std::string_view line : lines) {
            answer = dialogue.take(line);
            question = dialogue.ask();
        }
        return *this;
    }
    [[nodiscard]] bool asks(std::string_view label) const {
        return question.find(std::string(label)) != std::string::npos;
    }
    [[nodiscard]] bool told(std::string_view words) const {
        return answer.find(std::string(words)) != std::string::npos;
    }
    [[nodiscard]] json record() const { return json::parse(dialogue.record()); }

    Dialogue dialogue;
    std::string question;
    std::string answer;
};

// To the question of a label, leaving out what may be left out.
const Lines to_tone{"A", "solid", "none", "no", "lamp"};
const Lines to_play{"A", "solid", "none", "no", "", "N3", "", "opaque"};
const Lines to_colours{"A", "solid", "none", "no", "", "N3", "", "opaque", "yes", "3", "5", "5"};

} // namespace

TEST_CASE("a whole sheet is answered and gives its record") {
    Talk talk;
    talk.say({"B-014",
              "Solid",
              "none",
              "no",
              "daylight lamp",
              "n3 to N4",
              "none",
              "translucent",
              "yes",
              "2 to 2.5",
              "5",
              "5",
              "Blue 0.60",
              "green 0.35-0.45",
              "",
              "rolling flash",
              "0.9",
              "slight",
              "potch line, face, minor; crack, girdle, minor to moderate",
              "",
              "oval",
              "medium",
              "flat",
              "good",
              "12.10",
              "9.9",
              "4.4",
              "0.02",
              "no",
              "3.61",
              "0.005",
              "found in the tailings"});
    CHECK(talk.asks("What was given"));
    CHECK(talk.asks("N3 to N4"));
    CHECK(talk.asks("blue 0.60; green 0.35-0.45"));
    CHECK(!talk.asks("Not yet"));
    CHECK(!talk.dialogue.finished());
    talk.say({""});
    CHECK(talk.dialogue.finished());
    CHECK(talk.record() == json::parse(R"({
      "id": "B-014", "type": "solid", "treatments": [], "body_tone": ["N3", "N4"],
      "body_hue": null, "transparency": "translucent", "hydrophane": false,
      "brightness": {"grade": [2, 2.5], "steps": 5, "brightest": 5},
      "play_of_colour": {
        "colours": [{"colour": "blue", "share": 0.60}, {"colour": "green", "share": [0.35, 0.45]}],
        "pattern": "rolling flash", "coverage": 0.9, "directionality": "slight"},
      "faults": [{"kind": "potch line", "place": "face", "severity": "minor"},
                 {"kind": "crack", "place": "girdle", "severity": ["minor", "moderate"]}],
      "cut": {"outline": "oval", "dome": "medium", "back": "flat", "polish": "good"},
      "dimensions_mm": {"length": 12.10, "width": 9.9, "depth": 4.4, "uncertainty": 0.02},
      "weight_ct": {"value": 3.61, "uncertainty": 0.005}, "mounted": false,
      "notes": "found in the tailings", "x-light": "daylight lamp"})"));
    CHECK(talk.dialogue.record().find("12.10") != std::string::npos);
    CHECK(!has_errors(check_record(talk.dialogue.record())));
}

TEST_CASE("a wrong answer is refused in the words of the record's reader, and asked again") {
    struct Wrong {
        Lines before;
        std::string_view line;
        std::string_view words;
    };
    const Wrong wrongs[] = {
        {{"A"}, "soled", "Did you mean \"solid\"?"},
        {{"A", "solid", "", ""}, "\xff", "not UTF-8"},
        {to_tone, "N12", "\"N12\" is not one of: N1"},
        {to_tone, "N4 to N3", "backwards"},
        {to_play, "perhaps", "Answer yes or no."},
        {to_colours, "blue", "A colour and its share"},
        {to_colours, "blue 60", "60 % is 0.6"},
        {to_colours, "blue 0,6", "comma"},
        {to_colours, "blue 0.6; gren 0.4", "Did you mean \"green\"?"},
    };
    for (const Wrong& wrong : wrongs) {
        CAPTURE(wrong.line);
        Talk talk;
        talk.say(wrong.before);
        const std::string question = talk.question;
        const std::string record = talk.dialogue.record();
        talk.say({wrong.line});
        CHECK_MESSAGE(talk.told(wrong.words), talk.answer);
        CHECK(talk.question == question.substr(question.size() - talk.question.size()));
        CHECK(talk.dialogue.record() == record);
    }
}

TEST_CASE("a word that the matrix lacks is kept when it is given again") {
    Talk talk;
    talk.say(to_colours).say({"blue 1", "", "rollng flash"});
    CHECK(talk.told("Did you mean \"rolling"));
    talk.say({"herring bone"});
    CHECK(talk.told("has no price"));
    talk.say({"herring bone"});
    CHECK(talk.record()["play_of_colour"]["pattern"] == "herring bone");
}

TEST_CASE("a grade that its scale does not have is asked again") {
    Talk talk;
    talk.say(to_play).say({"yes", "7", "5", "5"});
    CHECK(talk.told("A grade on a scale of 5 lies between 1 and 5."));
    CHECK(talk.asks("Brightness"));
    CHECK(talk.asks("Now: 7. Enter keeps it."));
    talk.say({"4"});
    CHECK(talk.asks("Colours"));
    CHECK(talk.record()["brightness"] ==
          json::parse(R"({"grade": 4, "steps": 5, "brightest": 5})"));
}

TEST_CASE("the brightest grade is one end of the scale") {
    Talk talk;
    talk.say(to_play).say({"yes", "3", "5", "3"});
    CHECK(talk.told("The brightest of 5 grades is 1 or 5, not 3."));
    CHECK(talk.asks("Its brightest grade"));
}

TEST_CASE("back goes back, keeps what was answered and returns to where it was") {
    Talk talk;
    talk.say({"back"});
    CHECK(talk.told("This is the first question."));
    talk.say(to_tone).say({"N3", "back", "back"});
    CHECK(talk.asks("Now: lamp. Enter keeps it, - leaves it out."));
    talk.say({"-"});
    CHECK(!talk.record().contains("x-light"));
    CHECK(talk.asks("Hue of the body"));
    talk.say({"back", "back", "N5"});
    CHECK(talk.asks("Hue of the body"));
    CHECK(talk.record()["body_tone"] == "N3");
    CHECK(talk.record()["x-light"] == "N5");
}

TEST_CASE("back takes the entries of a list back one by one") {
    Talk talk;
    talk.say(to_colours).say({"blue 0.6; red 0.4", "back"});
    CHECK(talk.asks("So far: blue 0.6."));
    talk.say({"back"});
    CHECK(!talk.record().contains("play_of_colour"));
    talk.say({"back"});
    CHECK(talk.asks("Its brightest grade"));
}

TEST_CASE("a line of semicolons says nothing, not that there is none") {
    Talk talk;
    talk.say({"A", "solid", ";"});
    CHECK(talk.asks("Treatments"));
    CHECK(!talk.record().contains("treatments"));
}

TEST_CASE("what valuing needs is not left out, and the rest is") {
    Talk talk;
    talk.say({"", ""});
    CHECK(talk.told("cannot be left out"));
    talk.say({"solid", "", "", ""});
    CHECK(talk.asks("Body tone"));
    CHECK(talk.record() == json::parse(R"({"type": "solid"})"));
    // The questions that are needed are the fields that valuing asks for.
    Diagnostics missing;
    valuation::require_grading(Stone{}, missing);
    REQUIRE(!missing.empty());
    for (const Diagnostic& diagnostic : missing) {
        CHECK_MESSAGE(std::any_of(questions().begin(), questions().end(),
                                  [&](const Question& each) {
                                      return each.needed &&
                                             each.pointer.starts_with(diagnostic.pointer);
                                  }),
                      diagnostic.pointer);
    }
}

TEST_CASE("common opal is not asked about its colours, also where it had some at first") {
    Talk talk;
    talk.say(to_colours).say({"blue 1", "", "flash"});
    CHECK(talk.asks("Coverage"));
    talk.say({"back", "back", "back", "back", "back", "back", "back"});
    CHECK(talk.asks("Play-of-colour"));
    talk.say({"no"});
    CHECK(talk.asks("Faults"));
    CHECK(talk.record()["play_of_colour"] == nullptr);
    CHECK(!talk.record().contains("brightness"));
    talk.say({"back", "yes"});
    CHECK(talk.asks("Brightness"));
    CHECK(!talk.record().contains("play_of_colour"));
}

TEST_CASE("what was given beforehand is not contradicted") {
    Talk talk(R"({"brightness": {"grade": 3, "steps": 5, "brightest": 5}})");
    talk.say(to_play).say({"no"});
    CHECK(talk.told("A stone without play-of-colour has no grade of brightness."));
    CHECK(talk.asks("Play-of-colour"));
}

TEST_CASE("an answer that was taken back takes those with it that hang on it") {
    Talk talk;
    talk.say(to_play).say({"no", "none", "", "", "", "", "", "", "", "", "3.5", "0.01"});
    CHECK(talk.record()["weight_ct"].size() == 2);
    talk.say({"back", "back", "-"});
    CHECK(!talk.record().contains("weight_ct"));
    CHECK(talk.asks("Density"));
}

TEST_CASE("a record without a weight is not complete until it can be estimated") {
    Talk talk;
    talk.say(to_play).say({"no", "none", "", "", "", "", "", "", "", "", "", "", ""});
    CHECK(talk.asks("Not yet: There is no weight"));
    talk.say({""});
    CHECK(talk.told("not complete"));
    CHECK(!talk.dialogue.finished());
    talk.say({"99"});
    CHECK(talk.told("none of the numbers"));
    talk.say({"27", "1.86", "", ""});
    CHECK(talk.dialogue.finished());
    CHECK(talk.record()["weight_ct"] == json::parse(R"({"value": 1.86})"));
}

TEST_CASE("limits of a weight have no uncertainty") {
    Talk talk;
    talk.say(to_play).say({"no", "none", "", "", "", "", "", "", "", "", "3.5 to 3.7"});
    CHECK(talk.asks("Notes"));
    CHECK(talk.record()["weight_ct"]["value"] == json::parse("[3.5, 3.7]"));
}

TEST_CASE("what is given beforehand is not asked") {
    Talk talk(R"({"id": "A", "type": "solid", "treatments": [], "weight_ct": 1.2})");
    CHECK(talk.asks("Hydrophane"));
    talk.say({"", "", "N3", "", "opaque", "no", "none", "", "", "", "", "", "", "", ""});
    CHECK(talk.asks("Notes"));
    talk.say({"", ""});
    CHECK(talk.dialogue.finished());
    CHECK(talk.record()["weight_ct"] == 1.2);
}

TEST_CASE("every question has its help, and fits an 80-column page") {
    Talk talk;
    talk.say({"A", "solid", "?"});
    CHECK(talk.told("Everything done to the stone"));
    CHECK(talk.asks("Treatments"));
    for (const Question& each : questions()) {
        CAPTURE(each.pointer);
        CHECK(each.help.size() > 20);
        CHECK(each.how.size() + (each.words == nullptr ? 0 : each.words(matrix()).size()) > 0);
        CHECK(each.form <= AnswerForm::faults);
    }
    for (std::string_view rest = talk.question; !rest.empty();) {
        const std::size_t end = std::min(rest.find('\n'), rest.size());
        CHECK(end <= 80);
        rest.remove_prefix(std::min(end + 1, rest.size()));
    }
}

TEST_CASE("JSON is an answer too, as hints write it") {
    Talk talk;
    talk.say(to_tone).say({R"(["N3", "N4"])"});
    CHECK(talk.record()["body_tone"] == json::parse(R"(["N3", "N4"])"));
}
