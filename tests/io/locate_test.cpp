#include "io/locate.hpp"

#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using io::Comments;

namespace {

// The text from the place found: easier to read in a failure than an offset.
std::string_view from(std::string_view text,
                      std::string_view pointer,
                      Target target = Target::value,
                      Comments comments = Comments::refused) {
    const std::vector<io::Wanted> wanted{{pointer, target}};
    return text.substr(io::locate(text, wanted, comments).front());
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
    const std::string text = "{\n\xC3\xA9\xE2\x82\xAC\xF0\x9F\x98\x80x\r\ny";
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
    io::place(diagnostic, {text}, text.find("third"));
    CHECK(diagnostic.source_line == "  second \xC3\xA9 third");
    CHECK(diagnostic.source_line.substr(diagnostic.caret) == "third");
    CHECK(diagnostic.position->line == 2);
    CHECK(diagnostic.position->column == 12);
    io::place(diagnostic, {text, {4, 9}, "[ "}, text.find("second"));
    CHECK(diagnostic.source_line == "  second \xC3\xA9 third");
    CHECK(diagnostic.position->line == 5);
    io::place(diagnostic, {text, {4, 9}, "[ {}, "}, 2);
    CHECK(diagnostic.source_line == "[ {}, first");
    CHECK(diagnostic.source_line.substr(diagnostic.caret) == "rst");
    CHECK(diagnostic.position->column == 11);
    io::place(diagnostic, {text}, text.size());
    CHECK(diagnostic.source_line == "last");
    CHECK(diagnostic.caret == 4);
    io::place(diagnostic, {"ends\n"}, 5);
    CHECK(diagnostic.source_line.empty());
    CHECK(diagnostic.position->line == 2);
}

TEST_CASE("of a long line what is near is kept, in whole characters") {
    const std::string e = "\xC3\xA9";
    std::string text = "\n";
    for (int i = 0; i < 1000; ++i) {
        text += e;
    }
    const std::size_t middle = text.size() / 2 + (text.size() / 2 % 2 == 0 ? 1 : 0);
    Diagnostic diagnostic;
    io::place(diagnostic, {text}, middle);
    const std::string& line = diagnostic.source_line;
    const std::string cut = "\xE2\x80\xA6";
    CHECK(line.starts_with(cut + e));
    CHECK(line.ends_with(e + cut));
    CHECK(line.size() < 820);
    CHECK(line.substr(diagnostic.caret).starts_with(e));
    CHECK(diagnostic.position->column == 1 + (middle - 1) / 2);
    // What stands in front of the text is on the line only when its beginning is.
    io::place(diagnostic, {text.substr(1), {}, "[ "}, middle - 1);
    CHECK(line.starts_with(cut + e));
    io::place(diagnostic, {text.substr(1), {}, "[ "}, 2);
    CHECK(line.starts_with("[ " + e + e));
    CHECK(diagnostic.caret == 4);
}

TEST_CASE("many are placed in one walk, each where it would be placed alone") {
    const std::string text = R"({"a": [1, 2],
 "b": {"c": 3, "c": 4},
 "a": 5, "d/e": 6})";
    Diagnostics many;
    for (const auto& [pointer, target] :
         std::vector<std::pair<std::string, Target>>{{"/d~1e", Target::value},
                                                     {"/b/c", Target::second_key},
                                                     {"/a/1", Target::value},
                                                     {"", Target::value},
                                                     {"/b/x/y", Target::value},
                                                     {"/a", Target::second_key},
                                                     {"/b/c", Target::key},
                                                     {"/a/1", Target::value}}) {
        Diagnostic& diagnostic = many.emplace_back();
        diagnostic.pointer = pointer;
        diagnostic.target = target;
    }
    const std::vector<std::size_t> offsets = io::locate(text, io::wanted_by(many));
    CHECK(offsets == std::vector<std::size_t>{text.find("6}"), text.find("\"c\": 4"),
                                              text.find("2]"), 0, text.find("{\"c"),
                                              text.find("\"a\": 5"), text.find("\"c\": 3"),
                                              text.find("2]")});
    io::place_all(many, {text, {3, 7}, "before"}, offsets);
    for (std::size_t i = 0; i < many.size(); ++i) {
        Diagnostic alone;
        io::place(alone, {text, {3, 7}, "before"}, offsets[i]);
        CAPTURE(i);
        CHECK(many[i].position->line == alone.position->line);
        CHECK(many[i].position->column == alone.position->column);
        CHECK(many[i].source_line == alone.source_line);
        CHECK(many[i].caret == alone.caret);
    }
}
