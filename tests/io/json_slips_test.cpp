// What is said of a text that is not JSON, and how far it is read on. The texts are those that
// people type, that spreadsheets export and that other notations allow.
#include "io/json_slips.hpp"

#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using io::mend_json;
using io::Mended;

namespace {

struct Case {
    std::string text;
    std::string from; // what stands at the place that is reported
    std::string pointer;
    std::string message;
    std::string hint;
    std::string mended; // empty: what was meant cannot be known
};

const std::string curly = "\xE2\x80\x9Cx\xE2\x80\x9D";

const std::vector<Case> cases{
    {R"({"a":1,})", ",}", "", "A comma stands before a closing }.", "Remove the comma.",
     R"({"a":1 })"},
    {"[1,\n]", ",\n]", "", "A comma stands before a closing ].", "Remove the comma.", "[1 \n]"},
    {R"({"a":{"b":12,1}})", ",1}}", "/a", "A comma stands inside a number.",
     "Write its decimals after a point: 12.1.", R"({"a":{"b":12.1}})"},
    {R"({"a":-0,15})", ",15}", "", "A comma stands inside a number.",
     "Write its decimals after a point: -0.15.", R"({"a":-0.15})"},
    {R"({"a":1,234.5})", ",234", "", "A comma stands inside a number.", "Write 1234.5.",
     R"({"a":  234.5})"},
    {R"({"a":1, 5})", ", 5}", "", "A comma stands inside a number.",
     "Write its decimals after a point: 1.5.", ""},
    {R"({"a":"b", 5:3})", "5:3", "", "A field's name is due here.",
     "Write it in double quotes, a colon, and its value.", ""},
    {R"({"a":1 "b":2})", "\"b\"", "", "A comma is missing before this.",
     "Write it, or close the bracket or quote that is still open.", R"({"a":1,"b":2})"},
    {R"({"a":1"b":2})", "\"b\"", "", "A comma is missing before this.",
     "Write it, or close the bracket or quote that is still open.", ""},
    {R"([{"a":1} {"a":2}])", "{\"a\":2", "", "A comma is missing before this.",
     "Write it, or close the bracket or quote that is still open.", R"([{"a":1},{"a":2}])"},
    {R"({"a":true "b":2})", "\"b\"", "", "A comma is missing before this.",
     "Write it, or close the bracket or quote that is still open.", R"({"a":true,"b":2})"},
    {R"([0.5 true])", "true]", "", "\"true\" stands behind a number.",
     "Write the number alone: the field's name says its unit, and a share is a part of 1.",
     R"([0.5     ])"},
    {R"({"a" 1})", "1}", "", "A colon is missing between the field's name and its value.",
     "Write \"name\": value.", R"({"a":1})"},
    {R"({"a"=1})", "=1}", "", "An equals sign stands where a colon belongs.", "Write a colon.",
     R"({"a":1})"},
    {R"({"a"})", "}", "", "The field has no value.",
     "Write a colon and its value, or leave the field out.", ""},
    {R"({"a":})", "}", "", "The field has no value.", "Write its value, or leave the field out.",
     ""},
    {R"({"a":,"b":1})", ",\"b\"", "", "The field has no value.",
     "Write its value, or leave the field out.", ""},
    {R"({"a":1,,"b":2})", ",\"b\"", "", "A comma stands twice.", "Remove it.", R"({"a":1, "b":2})"},
    {R"({,"b":2})", ",\"b\"", "", "A comma has nothing before it.", "Remove it.", R"({ "b":2})"},
    {R"({"a":1;"b":2})", ";\"b\"", "", "A semicolon stands where a comma belongs.",
     "Write a comma.", R"({"a":1,"b":2})"},
    {R"({"a":[1,2}})", "}}", "/a", "A } closes what was opened with [.",
     "Close [ with ] and { with }, the last opened first.", ""},
    {R"({"a":1]})", "]}", "", "A ] closes what was opened with {.",
     "Close [ with ] and { with }, the last opened first.", ""},
    {R"({"a":1}})", "}", "", "The text goes on after its last closing bracket.",
     "Is a bracket closed twice? Otherwise give each record a line of its own (NDJSON), or write [ "
     "and ] around them and commas between them.",
     ""},
    {R"({"a":[1,{"b":2)", "", "/a/1", "The text ends before its last bracket is closed.",
     "Is the file cut short? Close every bracket and quote that was opened.", ""},
    {R"({"a":"x)", "", "", "The text ends inside a quoted text.",
     "Is the file cut short? Close every bracket and quote that was opened.", ""},
    {"{\"a\":\"x\n}", "\n}", "", "A line ends inside a quoted text.",
     "Is its closing quote missing? A line break that belongs to the text is written \\n.", ""},
    {"{\"a\":\"x\ty\"}", "\ty", "", "A tab stands inside a quoted text.",
     "Write it as \\t, or as blanks.", "{\"a\":\"x y\"}"},
    {"{\"a\":\"x\x1b[2Jy\"}", "\x1b", "",
     "The control character U+001B stands inside a quoted text.", "Remove it.",
     "{\"a\":\"x [2Jy\"}"},
    {R"({"a":"C:\gems"})", "gems", "",
     "A backslash stands before a letter that it gives no meaning to.",
     "A backslash that belongs to the text is written \\\\.", R"({"a":"C:/gems"})"},
    {R"({"a":"\u12g4"})", "g4", "", "\\u is not followed by four hexadecimal digits.",
     "Write the character itself, or its four digits, as \\u00e9.", ""},
    {R"({"a":5.})", "}", "", "The number is not complete here.",
     "Write its digits: 5 or 5.0, not \"5.\".", R"({"a":5 })"},
    {R"({"a":-})", "}", "", "The number is not complete here.",
     "Write its digits: 5 or 5.0, not \"5.\".", ""},
    {R"({"a":05.2})", "5.2", "", "A number begins with 0 and another digit.", "Write 5.2.",
     R"({"a": 5.2})"},
    {R"({"a":1.234.5})", ".5", "", "A number has two points.",
     "Write one point, in front of the decimals, and nothing between the other digits.",
     R"({"a":1.234  })"},
    {R"({"a":1_234.5})", "_234.5", "", "The digits of a number are grouped.", "Write 1234.5.",
     R"({"a":1      })"},
    {R"({"a":1'234})", "'234", "", "The digits of a number are grouped.", "Write 1234.",
     R"({"a":1    })"},
    {R"({"a":1 234})", "234}", "", "Two numbers stand side by side.",
     "Write a comma between them, or, when it is one number, 1234.", R"({"a":1    })"},
    {R"({"a":12.1mm})", "mm}", "", "\"mm\" stands behind a number.",
     "Write the number alone: the field's name says its unit, and a share is a part of 1.",
     R"({"a":12.1  })"},
    {R"({"a":60 %})", "%}", "", "\"%\" stands behind a number.",
     "Write the number alone: the field's name says its unit, and a share is a part of 1.",
     R"({"a":60  })"},
    {R"({"a":+1})", "+1", "", "A number begins with a plus.", "Write it without.", R"({"a": 1})"},
    {R"({"a": .9})", ".9", "", "A number begins with its point.",
     "Write a 0 before the point: 0.9.", R"({"a":0.9})"},
    {R"({"a":'x y'})", "'x", "", "A text stands in single quotes.",
     "Write straight double quotes: \"text\".", R"({"a":"x y"})"},
    {R"({'a':1})", "'a'", "", "A text stands in single quotes.",
     "Write straight double quotes: \"text\".", R"({"a":1})"},
    {R"({"a":'it's', "b":1})", "'it's", "", "A text stands in single quotes.",
     "Write straight double quotes: \"text\".", R"({"a":"it's", "b":1})"},
    {R"({"a":'x)"
     "\n}",
     "'x", "", "A text stands in single quotes.", "Write straight double quotes: \"text\".", ""},
    {"{\"a\":" + curly + "}", curly, "", "A text stands in the curly quotes of a word processor.",
     "Write straight double quotes: \"text\".", "{\"a\":  \"x\"  }"},
    {R"({"a":True})", "True", "", "True is written in small letters.", "Write true.",
     R"({"a":true})"},
    {R"({"a":NULL})", "NULL", "", "NULL is written in small letters.", "Write null.",
     R"({"a":null})"},
    {R"({"a":None})", "None", "", "None is no value of JSON.",
     "Write null, or leave the field out.", R"({"a":null})"},
    {R"({"a":undefined})", "undefined", "", "undefined is no value of JSON.",
     "Write null, or leave the field out.", ""},
    {R"({"a":yes})", "yes", "", "yes is no value of JSON.", "Write true or false.", ""},
    {R"({"a":NaN})", "NaN", "", "NaN is no number of JSON.", "Leave out what was not measured.",
     ""},
    {R"({"a":translucent})", "translucent", "", "The text translucent stands without quotes.",
     "Write \"translucent\".", ""},
    {R"({"a":N3})", "N3", "", "The text N3 stands without quotes.", "Write \"N3\".", ""},
    {R"({body_tone:"N3"})", "body_tone", "", "The field's name body_tone stands without quotes.",
     "Write \"body_tone\".", ""},
    {R"({"a":"12" x"})", "x\"", "", "A quoted text ends before this.",
     "A quote inside a text is written \\\"; otherwise remove what stands here.", ""},
    {"{\"a\":1 // c\n}", "// c", "", "A record has no comments.", "\"notes\" is there for them.",
     "{\"a\":1     \n}"},
    {"{/* one\ntwo */\"a\":1}", "/* one", "", "A record has no comments.",
     "\"notes\" is there for them.", "{             \"a\":1}"},
    {"{\"a\":1} /* open", "/* open", "", "The text goes on after its last closing bracket.",
     "Is a bracket closed twice? Otherwise give each record a line of its own (NDJSON), or write [ "
     "and ] around them and commas between them.",
     ""},
    {"{\"a\": /* open 1}", "/* open", "", "A comment is not closed.", "Close it with */.", ""},
    {"{\"a\":1, # c\n\"b\":2}", "# c", "", "A comment begins with #.",
     "A record has no comments; \"notes\" is there for them. In a matrix a comment begins with //.",
     "{\"a\":1,    \n\"b\":2}"},
};

} // namespace

TEST_CASE("what is not JSON is named as what it is, and mended where it can mean only one thing") {
    for (const Case& each : cases) {
        CAPTURE(each.text);
        const Mended mended = mend_json(each.text);
        REQUIRE_FALSE(mended.slips.empty());
        const Diagnostic& first = mended.slips.front();
        CHECK(first.code == Code::json_syntax);
        CHECK(first.message == each.message);
        CHECK(first.hint == each.hint);
        CHECK(first.pointer == each.pointer);
        const std::string_view there = std::string_view(each.text).substr(mended.offsets.front());
        CHECK(there.substr(0, each.from.size()) == each.from);
        CHECK(there.empty() == each.from.empty());
        CHECK(mended.is_json == !each.mended.empty());
        CHECK(mended.is_json == nlohmann::json::accept(mended.text));
        CHECK(mended.text.size() == each.text.size());
        if (mended.is_json) {
            CHECK(mended.text == each.mended);
            CHECK(mended.slips.size() == 1);
        }
    }
}

TEST_CASE("reading goes on from slip to slip, as far as twenty") {
    const Mended several = mend_json(R"({"a":1,5, "b":[+1,], 'c':True, "d": .9mm})");
    CHECK(several.is_json);
    std::vector<std::string> messages;
    for (const Diagnostic& slip : several.slips) {
        messages.push_back(slip.pointer + " " + slip.message);
    }
    CHECK(messages == std::vector<std::string>{
                          " A comma stands inside a number.", "/b A number begins with a plus.",
                          "/b A comma stands before a closing ].",
                          " A text stands in single quotes.", " True is written in small letters.",
                          " A number begins with its point.", " \"mm\" stands behind a number."});
}

TEST_CASE("bytes that are not UTF-8 are passed over one by one") {
    const Mended mended = mend_json("{\"a\":\"\xE9t\xE9\",\"b\":+1}");
    CHECK(mended.is_json);
    REQUIRE(mended.slips.size() == 3);
    CHECK(mended.slips[0].code == Code::json_encoding);
    CHECK(mended.slips[1].code == Code::json_encoding);
    CHECK(mended.slips[2].code == Code::json_syntax);
    CHECK(mended.offsets == std::vector<std::size_t>{6, 8, 15});
    // A character of three bytes that is cut short, one that no character begins with, and one too
    // many behind a whole character.
    CHECK(mend_json("[\"\xE2\x82\"]").offsets == std::vector<std::size_t>{2});
    CHECK(mend_json("[\"\xE2\x82\"]").text == "[\"??\"]");
    CHECK(mend_json("[\"\xFFx\"]").text == "[\"?x\"]");
    CHECK(mend_json("[\"\xC3\xA9\xA9\"]").offsets == std::vector<std::size_t>{4});
    CHECK(mend_json("[\"\xC3\xA9\xA9\"]").text == "[\"\xC3\xA9?\"]");
    CHECK(mend_json("[\"\xF0\x9F\x98\xC3\xA9\"]").text == "[\"???\xC3\xA9\"]");
    CHECK(mend_json("[\"\xC0\xAF\xED\xA0\x80\"]").is_json);
}

TEST_CASE("a number too large to be held ends the reading") {
    const Mended mended = mend_json(R"({"a":[0,1e999], "b":+1})");
    CHECK_FALSE(mended.is_json);
    REQUIRE(mended.slips.size() == 1);
    CHECK(mended.slips[0].code == Code::number_size);
    CHECK(mended.slips[0].pointer == "/a");
    CHECK(mended.offsets[0] == 8);
}

TEST_CASE("a text with more slips than are looked for") {
    std::string text = "[";
    for (int i = 0; i < 100; ++i) {
        text += "+1,";
    }
    text += "1]";
    const Mended mended = mend_json(text);
    CHECK_FALSE(mended.is_json);
    CHECK(mended.slips.size() == 20);
}

TEST_CASE("comments are written over, and what looks like one inside a text is not") {
    CHECK(io::without_comments("{// x \"\n\"a//b\": /* \"c\" */ 1, \"d\\\"//\": 2} //") ==
          "{      \n\"a//b\":           1, \"d\\\"//\": 2}   ");
    CHECK(io::without_comments("/* a\n b */[]") == "    \n     []");
    CHECK(io::without_comments("[1] /* open") == "[1] /* open");
    CHECK(io::without_comments("[1/2]") == "[1/2]");
    CHECK(io::without_comments("/") == "/");
}
