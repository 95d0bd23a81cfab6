#include "core/bounds.hpp"
#include "io/reading.hpp"
#include "io/record_draft.hpp"

#include <array>
#include <optional>
#include <string>
#include <utility>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using namespace trayworth::io;

namespace {

using json = nlohmann::ordered_json;

std::string after(std::string_view text, std::string_view pointer, std::string_view value) {
    RecordDraft draft(text);
    const std::optional<Diagnostic> why = draft.set(pointer, value);
    return why ? why->message : json::parse(draft.text()).dump();
}

} // namespace

TEST_CASE("every field of a record can be taken out and set again, and comes to the same place") {
    const json whole = json::parse(test::ordinary_record);
    for (const std::string& pointer : test::pointers_of(whole)) {
        CAPTURE(pointer);
        RecordDraft draft(test::ordinary_record);
        const std::string value = *draft.at(pointer);
        CHECK(json::parse(value) == whole.at(json::json_pointer(pointer)));
        REQUIRE(!draft.set(pointer, value));
        CHECK(json::parse(draft.text()) == whole);
    }
    for (const auto& [name, value] : whole.items()) {
        RecordDraft draft(test::ordinary_record);
        REQUIRE(!draft.unset("/" + name));
        CHECK(!draft.at("/" + name));
        REQUIRE(!draft.set("/" + name, value.dump()));
        CHECK(json::parse(draft.text()).at(name) == value);
    }
}

TEST_CASE("a new field goes where the format has it, and nothing else moves") {
    CHECK(after(R"({"x-shop": 1, "id": "A", "body_tone": "N3"})", "/type", "\"solid\"") ==
          R"({"x-shop":1,"id":"A","type":"solid","body_tone":"N3"})");
    CHECK(after(R"({"body_tone": "N3", "id": "A"})", "/notes", "\"n\"") ==
          R"({"body_tone":"N3","id":"A","notes":"n"})");
    CHECK(after(R"({"cut": {"polish": "good"}})", "/cut/outline", "\"oval\"") ==
          R"({"cut":{"outline":"oval","polish":"good"}})");
    CHECK(after(R"({"tray": {}, "stones": [{"notes": "n"}]})", "/stones/0/id", "\"A\"") ==
          R"({"tray":{},"stones":[{"id":"A","notes":"n"}]})");
}

TEST_CASE("what leads to a value is made") {
    CHECK(after("{}", "/weight_ct/value", "1.5") == R"({"weight_ct":{"value":1.5}})");
    CHECK(after("{}", "/faults/-/kind", "\"crack\"") == R"({"faults":[{"kind":"crack"}]})");
    CHECK(after("{}", "/x-a~1b/c~0d", "1") == R"({"x-a/b":{"c~d":1}})");
    CHECK(after(R"({"faults": [1, 2]})", "/faults/2", "3") == R"({"faults":[1,2,3]})");
}

TEST_CASE("digits, order and own fields stay as they are written") {
    RecordDraft draft(R"({"weight_ct": 12.10, "x-b": {"z": 1.0e1, "a": [ 2.50 ]}, "id": "A"})");
    REQUIRE(!draft.set("/id", "\"B\""));
    CHECK(draft.text() ==
          "{\"weight_ct\": 12.10, \"x-b\": {\"z\": 1.0e1, \"a\": [2.50]}, \"id\": \"B\"}\n");
}

TEST_CASE("what cannot be set is said") {
    CHECK(after("{}", "id", "1") == "\"id\" is no JSON Pointer to a field.");
    CHECK(after("{}", "", "1") == "\"\" is no JSON Pointer to a field.");
    CHECK(after("{}", "/a~2", "1") == "\"/a~2\" is no JSON Pointer to a field.");
    CHECK(after("{}", "/a~", "1") == "\"/a~\" is no JSON Pointer to a field.");
    CHECK(after(R"({"weight_ct": 1})", "/weight_ct/value", "2") ==
          "There is a single value here, which has no \"value\".");
    CHECK(after(R"({"brightness": null})", "/brightness/grade", "2") ==
          "There is null here, which has no \"grade\".");
    for (const char* index : {"2", "01", "a", "", "99999999999"}) {
        CHECK(after(R"({"faults": [1]})", std::string("/faults/") + index, "2") ==
              std::string("\"") + index + "\" is no element of the array, which has 1.");
    }
}

TEST_CASE("taking the last field out of an object takes the object out, and an array stays") {
    RecordDraft draft(R"({"cut": {"outline": "oval"}, "treatments": ["oil"], "id": "A"})");
    REQUIRE(!draft.unset("/cut/outline"));
    REQUIRE(!draft.unset("/treatments/0"));
    CHECK(json::parse(draft.text()).dump() == R"({"treatments":[],"id":"A"})");
    CHECK(draft.unset("/cut/outline")->message == "There is nothing to take out.");
    CHECK(draft.unset("cut")->message == "\"cut\" is no JSON Pointer to a field.");
}

TEST_CASE("a pointer is settled by what stands there, or by a value above it") {
    const RecordDraft draft(R"({"weight_ct": 1, "play_of_colour": null, "cut": {"back": "flat"}})");
    CHECK(draft.settles("/weight_ct"));
    CHECK(draft.settles("/weight_ct/value"));
    CHECK(draft.settles("/play_of_colour/pattern"));
    CHECK(draft.settles("/cut/back"));
    CHECK(!draft.settles("/cut/outline"));
    CHECK(!draft.settles("/id"));
}

TEST_CASE("what is given is JSON where it is that, and else a text") {
    CHECK(json_or_text("12.10") == "12.10");
    CHECK(json_or_text("[1, 2]") == "[1, 2]");
    CHECK(json_or_text("null") == "null");
    CHECK(json_or_text("N4") == "\"N4\"");
    CHECK(json_or_text("say \"cheese\"") == R"("say \"cheese\"")");
    CHECK(json_or_text("") == "\"\"");
    CHECK(!json_or_text("\xff"));
    CHECK(json_or_text(std::string(40, '[') + std::string(40, ']')));
    CHECK(!json_or_text(std::string(bounds::nesting, '[') + std::string(bounds::nesting, ']')));
    CHECK(!json_or_text(std::string(100'000, '[') + std::string(100'000, ']')));
}
