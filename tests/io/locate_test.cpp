#include "io/locate.hpp"

#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using io::Comments;
using io::locate;

namespace {

// The text from the place found: easier to read in a failure than an offset.
std::string_view from(std::string_view text,
                      std::string_view pointer,
                      Target target = Target::value,
                      Comments comments = Comments::refused) {
    return text.substr(locate(text, pointer, target, comments));
}

} // namespace

TEST_CASE("a pointer leads to its value, its key, or its key's second appearance") {
    constexpr std::string_view text = R"( {"a": [10, {"b": -2.5e3}, 30], "c": "x", "a": null})";
    CHECK(from(text, "") == text.substr(1));
    CHECK(from(text, "/a/0").starts_with("10,"));
    CHECK(from(text, "/a/1").starts_with("{"));
    CHECK(from(text, "/a/1/b").starts_with("-2.5e3}"));
    CHECK(from(text, "/a/1/b", Target::key).starts_with("\"b\""));
    CHECK(from(text, "/a/2").starts_with("30]"));
    CHECK(from(text, "/c").starts_with("\"x\""));
    CHECK(from(text, "/c", Target::key).starts_with("\"c\""));
    CHECK(from(text, "/a", Target::key).starts_with("\"a\": ["));
    CHECK(from(text, "/a", Target::second_key) == "\"a\": null}");
}

TEST_CASE("numbers at the end of arrays and objects do not swallow the bracket") {
    constexpr std::string_view text = R"([[1],[2.50],{"a":3e1},-4,[5,6]])";
    CHECK(from(text, "/0/0").starts_with("1]"));
    CHECK(from(text, "/1").starts_with("[2.50]"));
    CHECK(from(text, "/1/0").starts_with("2.50]"));
    CHECK(from(text, "/2/a").starts_with("3e1}"));
    CHECK(from(text, "/3").starts_with("-4,"));
    CHECK(from(text, "/4/1") == "6]]");
    CHECK(io::member_texts(R"({"x-a":1,"x-b":-2.5 ,"x-c":[3]})", {"x-c", "x-a", "x-b"}) ==
          std::vector<std::string_view>{"[3]", "1", "-2.5"});
}

TEST_CASE("a pointer into nothing leads to the nearest that is there") {
    constexpr std::string_view text = R"({"cut": {"dome": "low"}, "id": "a"})";
    CHECK(from(text, "/cut/back").starts_with(R"({"dome")"));
    CHECK(from(text, "/cut/dome/0").starts_with("\"low\""));
    CHECK(from(text, "/weight_ct").starts_with(R"({"cut")"));
    CHECK(from(text, "/cu").starts_with(R"({"cut")"));
    CHECK(from(text, "/cutter/dome").starts_with(R"({"cut")"));
    CHECK(from("", "/id").empty());
}

TEST_CASE("tildes and slashes of names are escaped in pointers") {
    constexpr std::string_view text = R"({"a/b": 1, "c~d": {"~1": 2, "/": 3}, "\u0065": 4})";
    CHECK(from(text, "/a~1b").starts_with("1,"));
    CHECK(from(text, "/c~0d/~01").starts_with("2,"));
    CHECK(from(text, "/c~0d/~1").starts_with("3}"));
    CHECK(from(text, "/e") == "4}");
    CHECK(io::member_texts(R"({"x-a/b": [1], "x-~": "t"})", {"x-a/b", "x-~"}) ==
          std::vector<std::string_view>{"[1]", "\"t\""});
}

TEST_CASE("comments are passed over where they are allowed, and brackets in them") {
    constexpr std::string_view text = "// { \"a\": 0\n{ /* [ \"a\" ] */ \"a\": // 1,\n 2 /* , */ , "
                                      "\"b\": [3 // ]\n, 4]}\n// end";
    CHECK(from(text, "/a", Target::value, Comments::allowed).starts_with("2 /*"));
    CHECK(from(text, "/a", Target::key, Comments::allowed).starts_with("\"a\": //"));
    CHECK(from(text, "/b/1", Target::value, Comments::allowed).starts_with("4]"));
    CHECK(from(text, "", Target::value, Comments::allowed).starts_with("{ /*"));
    constexpr std::string_view in_text = R"({"a": "// not a comment", "b": 1})";
    CHECK(from(in_text, "/b", Target::value, Comments::allowed) == "1}");
}

TEST_CASE("keys that repeat are found wherever they are, each once") {
    CHECK(io::repeated_keys(R"({"a":1,"b":{"a":1,"c":[{"a":2,"a":3},{"a":1}]},"a":2,"a":3})",
                            Comments::refused) == std::vector<std::string>{"/b/c/0/a", "/a"});
    CHECK(io::repeated_keys(R"({"a":{"b":1},"c":{"b":1}})", Comments::refused).empty());
    CHECK(io::repeated_keys("{\"a\":1, // \"a\":\n\"b\":2}", Comments::allowed).empty());
    CHECK(io::repeated_keys(R"({"\u0061":1,"a":2})", Comments::refused) ==
          std::vector<std::string>{"/a"});
}

TEST_CASE("positions count lines from 1 and characters from 1") {
    const std::string text = "\xEF\xBB\xBF{\n\xC3\xA9\xE2\x82\xAC\xF0\x9F\x98\x80x\r\ny";
    const auto at = [&text](std::string_view what) {
        return io::position_at(text, text.find(what));
    };
    CHECK(at("{").line == 1);
    CHECK(at("{").column == 1);
    CHECK(at("\xC3\xA9").line == 2);
    CHECK(at("\xC3\xA9").column == 1);
    CHECK(at("\xF0").column == 3);
    CHECK(at("x").column == 4);
    CHECK(at("y").line == 3);
    CHECK(at("y").column == 1);
    const Position end = io::position_at(text, text.size());
    CHECK(end.line == 3);
    CHECK(end.column == 2);
    const Position inner = io::position_at("ab\ncd", 1, {7, 5});
    CHECK(inner.line == 7);
    CHECK(inner.column == 6);
    const Position next = io::position_at("ab\ncd", 4, {7, 5});
    CHECK(next.line == 8);
    CHECK(next.column == 2);
}

TEST_CASE("a diagnostic gets the line it stands in and a caret under its byte") {
    const std::string text = "first\r\n  second \xC3\xA9 third\nlast";
    Diagnostic diagnostic;
    io::place(diagnostic, text, text.find("third"));
    CHECK(diagnostic.source_line == "  second \xC3\xA9 third");
    CHECK(diagnostic.source_line.substr(diagnostic.caret) == "third");
    CHECK(diagnostic.position->line == 2);
    CHECK(diagnostic.position->column == 12);
    io::place(diagnostic, text, text.find("second"), {4, 9}, "[ ");
    CHECK(diagnostic.source_line == "  second \xC3\xA9 third");
    CHECK(diagnostic.position->line == 5);
    io::place(diagnostic, text, 2, {4, 9}, "[ {}, ");
    CHECK(diagnostic.source_line == "[ {}, first");
    CHECK(diagnostic.source_line.substr(diagnostic.caret) == "rst");
    CHECK(diagnostic.position->column == 11);
    io::place(diagnostic, text, text.size());
    CHECK(diagnostic.source_line == "last");
    CHECK(diagnostic.caret == 4);
    io::place(diagnostic, "ends\n", 5);
    CHECK(diagnostic.source_line.empty());
    CHECK(diagnostic.position->line == 2);
}
