#include "io/framer.hpp"
#include "io/reading.hpp"
#include "io/record_reader.hpp"

#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

using namespace trayworth;
using io::Shape;

namespace {

constexpr std::size_t pieces[] = {1, 2, 7, 1 << 20};

// A line a frame: pointer, place and text, or what is said of a text that is no record. The caret
// of a diagnostic must stand under the first byte of the frame.
std::vector<std::string> frames(io::Framer& framer) {
    std::vector<std::string> lines;
    while (const std::optional<io::Frame> frame = framer.next()) {
        std::string line =
            fmt::format("{} {}:{} ", frame->pointer, frame->origin.line, frame->origin.column);
        if (frame->broken) {
            CHECK(frame->broken->position->line == frame->origin.line);
            CHECK(frame->broken->position->column == frame->origin.column);
            CHECK(frame->broken->source_line.substr(frame->broken->caret) == frame->text);
            line += "! " + frame->broken->message;
        } else {
            line += frame->text;
        }
        lines.push_back(line);
    }
    return lines;
}

void check_frames(const std::string& text,
                  Shape shape,
                  const std::vector<std::string>& expected,
                  bool by_lines = false) {
    for (const std::size_t piece : pieces) {
        CAPTURE(text);
        CAPTURE(piece);
        test::MemorySource source(text, piece);
        io::Framer framer(source, by_lines ? io::Form::lines : io::Form::any);
        CHECK(framer.shape() == shape);
        const std::vector<std::string> found = frames(framer);
        CHECK(fmt::format("{}", fmt::join(found, "\n")) ==
              fmt::format("{}", fmt::join(expected, "\n")));
        CHECK_FALSE(framer.next().has_value());
    }
}

const std::string missing = "! A record is missing here: a comma stands between two records.";
const std::string not_closed = "! The array of stones is not closed.";

} // namespace

TEST_CASE("one object is one record, compact or pretty") {
    check_frames(R"({"id":"a"})", Shape::single, {R"( 1:1 {"id":"a"})"});
    check_frames("{\"id\":\"a\"}\n\n", Shape::single, {" 1:1 {\"id\":\"a\"}\n\n"});
    check_frames("\n  {\n  \"id\": \"a\"\n}\n", Shape::single, {" 2:3 {\n  \"id\": \"a\"\n}\n"});
    check_frames("{\r\n\"id\": \"a\"\r\n}", Shape::single, {" 1:1 {\r\n\"id\": \"a\"\r\n}"});
    check_frames("{\"cut\":\n{\"outline\":\n\"oval\"}}", Shape::single,
                 {" 1:1 {\"cut\":\n{\"outline\":\n\"oval\"}}"});
    check_frames("{\"faults\": [\n{\"kind\": \"crack\"},\n{\"kind\": \"sand\"}]}", Shape::single,
                 {" 1:1 {\"faults\": [\n{\"kind\": \"crack\"},\n{\"kind\": \"sand\"}]}"});
    check_frames("{\n} {\n}", Shape::single, {" 1:1 {\n} {\n}"});
    check_frames(R"({"notes":"}\"]{"})", Shape::single, {R"( 1:1 {"notes":"}\"]{"})"});
}

TEST_CASE("an empty input is one record that is not there") {
    check_frames("", Shape::single, {" 1:1 "});
    check_frames(" \n\t", Shape::single, {" 2:2 "});
    check_frames("\xEF\xBB\xBF", Shape::single, {" 1:1 "});
    check_frames("", Shape::lines, {}, true);
    check_frames("\n \r\n", Shape::lines, {}, true);
}

TEST_CASE("an array gives its elements, wherever they stand") {
    check_frames("[]", Shape::array, {});
    check_frames(" [ ] \n", Shape::array, {});
    check_frames(R"([{"a":1},{"b":[2]}])", Shape::array,
                 {R"(/0 1:2 {"a":1})", R"(/1 1:10 {"b":[2]})"});
    check_frames("[\n  {\"a\": \"x,]\\\"\"},\n\n  {\n\"b\": 2}\n]\n", Shape::array,
                 {"/0 2:3 {\"a\": \"x,]\\\"\"}", "/1 4:3 {\n\"b\": 2}"});
    check_frames("[\r\n{},\r\n{}\r\n]", Shape::array, {"/0 2:1 {}", "/1 3:1 {}"});
    check_frames("\xEF\xBB\xBF[{}]", Shape::array, {"/0 1:2 {}"});
    check_frames("[1,\xEF\xBB\xBF{},{}]", Shape::array,
                 {"/0 1:2 1", "/1 1:4 \xEF\xBB\xBF{}", "/2 1:8 {}"});
    check_frames("[\"\xC3\xA9\xC3\xA9\", {}]", Shape::array,
                 {"/0 1:2 \"\xC3\xA9\xC3\xA9\"", "/1 1:8 {}"});
}

TEST_CASE("what is no object in an array is a frame of its own") {
    check_frames(R"([1, "two, ]", null,true ,[3,[4]],-1.5e3])", Shape::array,
                 {"/0 1:2 1", "/1 1:5 \"two, ]\"", "/2 1:15 null", "/3 1:20 true",
                  "/4 1:26 [3,[4]]", "/5 1:34 -1.5e3"});
}

TEST_CASE("commas and brackets at fault are reported in place, and the rest goes on") {
    check_frames("[{} {}]", Shape::array,
                 {"/0 1:2 {}", "/1 1:5 ! A comma is missing between two records.", "/1 1:5 {}"});
    check_frames("[{},]", Shape::array, {"/0 1:2 {}", "/1 1:5 " + missing});
    check_frames("[{},,{}]", Shape::array, {"/0 1:2 {}", "/1 1:5 " + missing, "/1 1:6 {}"});
    check_frames("[{},,,{}]", Shape::array,
                 {"/0 1:2 {}", "/1 1:5 " + missing, "/1 1:6 " + missing, "/1 1:7 {}"});
    check_frames("[,{}]", Shape::array, {"/0 1:2 " + missing, "/0 1:3 {}"});
    check_frames("[{},\n{}", Shape::array, {"/0 1:2 {}", "/1 2:1 {}", "/2 2:3 " + not_closed});
    check_frames("[", Shape::array, {"/0 1:2 " + not_closed});
    check_frames("[{},\n", Shape::array, {"/0 1:2 {}", "/1 2:1 " + not_closed});
    check_frames("[{\"a\":1", Shape::array, {"/0 1:2 {\"a\":1", "/1 1:8 " + not_closed});
    check_frames("[{}]\n\n[{}]", Shape::array,
                 {"/0 1:2 {}", "/1 3:1 ! There is text after the end of the array."});
}

TEST_CASE("what is shown of a fault does not depend on how the bytes came") {
    const std::string record = R"({"id": "b", "notes": "a comma is missing before this"})";
    const std::string text = "[{}\n " + record + ",\n{}]";
    for (const std::size_t piece : pieces) {
        CAPTURE(piece);
        test::MemorySource source(text, piece);
        io::Framer framer(source);
        framer.next();
        const std::optional<io::Frame> fault = framer.next();
        REQUIRE(fault->broken);
        CHECK(fault->broken->source_line == " " + record + ",");
    }
}

TEST_CASE("a tray gives its stones, its defaults before or after them") {
    const std::string before = "{\"tray\": {\"id\": \"t\"},\n \"stones\": [{\"a\":1},\n{}]}";
    check_frames(before, Shape::tray, {"/stones/0 2:13 {\"a\":1}", "/stones/1 3:1 {}"});
    const std::string after = "{\"stones\": [{\"a\":1},\n{}],\n\"tray\": {\"id\": \"t\"}}";
    check_frames(after, Shape::tray, {"/stones/0 1:13 {\"a\":1}", "/stones/1 2:1 {}"});
    check_frames("\xEF\xBB\xBF{\"tray\":{},\"stones\":[]}", Shape::tray, {});
    check_frames(R"({"stones": {}})", Shape::single, {R"( 1:1 {"stones": {}})"});
    check_frames(R"({"x": {"stones": []}})", Shape::single, {R"( 1:1 {"x": {"stones": []}})"});
    check_frames(R"({"notes": "stones", "id": ["stones"]})", Shape::single,
                 {R"( 1:1 {"notes": "stones", "id": ["stones"]})"});
    for (const std::size_t piece : pieces) {
        CAPTURE(piece);
        test::MemorySource first(before, piece);
        io::Framer framer(first);
        CHECK(framer.envelope().head == "{\"tray\": {\"id\": \"t\"},\n \"stones\": [");
        CHECK(framer.envelope().tail_to_come);
        frames(framer);
        CHECK(framer.envelope().tail == "]}");
        CHECK_FALSE(framer.envelope().tail_to_come);
        CHECK(framer.envelope().tail_origin.line == 3);
        CHECK(framer.envelope().tail_origin.column == 3);

        test::MemorySource second(after, piece);
        io::Framer known_at_once(second);
        CHECK(known_at_once.envelope().head == "{\"stones\": [");
        CHECK(known_at_once.envelope().tail == "],\n\"tray\": {\"id\": \"t\"}}");
        CHECK(known_at_once.envelope().tail_origin.line == 2);
        CHECK(known_at_once.envelope().tail_origin.column == 3);
    }
}

TEST_CASE("defaults after the stones hold, whatever else is named tray before them") {
    const std::string stones = R"("stones": [{"id": "a"}], "tray": {"treatments": ["smoke"]}})";
    for (const std::string start :
         {"{", R"({"x-is": "tray", )", R"({"x-in": {"tray": 1}, )", R"({"x-l": ["tray"], )"}) {
        CAPTURE(start);
        const std::vector<test::Read> all = test::read_all_records(start + stones);
        REQUIRE(all.size() == 1);
        CHECK(test::rendered(all[0].diagnostics).empty());
        CHECK(all[0].stone.treatments == std::vector<std::string>{"smoke"});
    }
}

TEST_CASE("a tray cut short has no defaults to guess") {
    const std::string text = R"({"stones": [{"id": "a"}, {"id": "b"}], "tray": {"mounted": true}})";
    for (std::size_t length = text.find('['); length < text.size(); ++length) {
        CAPTURE(length);
        const std::vector<test::Read> all = test::read_all_records(text.substr(0, length));
        REQUIRE(all.size() == 1);
        CHECK_FALSE(all[0].diagnostics.empty());
        CHECK_FALSE(all[0].accepted);
    }
}

TEST_CASE("NDJSON is a record a line") {
    check_frames("{\"a\":1}\n{\"b\":2}\n", Shape::lines, {R"( 1:1 {"a":1})", R"( 2:1 {"b":2})"});
    check_frames("{\"a\":1}\n{\"b\":2}", Shape::lines, {R"( 1:1 {"a":1})", R"( 2:1 {"b":2})"});
    check_frames("{\"a\":1}\r\n\r\n  \n{\"b\":2}\r\n", Shape::lines,
                 {R"( 1:1 {"a":1})", R"( 4:1 {"b":2})"});
    check_frames("\n\n{}\n{}", Shape::lines, {" 3:1 {}", " 4:1 {}"});
    check_frames("\r\n \n 1\n2", Shape::lines, {" 3:2 1", " 4:1 2"});
    check_frames("\xEF\xBB\xBF{\"a\":1}\n {}\n", Shape::lines, {R"( 1:1 {"a":1})", " 2:1  {}"});
    check_frames("{} {}", Shape::lines, {" 1:1 {} {}"});
    check_frames("{}\n", Shape::lines, {" 1:1 {}"}, true);
    check_frames("[1]\n3\n", Shape::lines, {" 1:1 [1]", " 2:1 3"}, true);
    check_frames("nonsense\n{}\n", Shape::lines, {" 1:1 nonsense", " 2:1 {}"});
}

TEST_CASE("a broken first line does not swallow the lines after it") {
    check_frames("{\"a\":\n{\"b\":2}\n{\"c\":3}\n", Shape::lines,
                 {" 1:1 {\"a\":", R"( 2:1 {"b":2})", R"( 3:1 {"c":3})"});
    check_frames("{\"a\":{\"x\":1\n{\"b\":2}\n", Shape::lines,
                 {R"( 1:1 {"a":{"x":1)", R"( 2:1 {"b":2})"});
    check_frames("{\"a\":\"cut sho\n{\"b\":2}\n", Shape::lines,
                 {R"( 1:1 {"a":"cut sho)", R"( 2:1 {"b":2})"});
    check_frames("{\"a\":\"x:\n{\"b\":2}\n", Shape::lines, {R"( 1:1 {"a":"x:)", R"( 2:1 {"b":2})"});
    check_frames("{\"a\":1\r\n{\"b\":2}\r\n", Shape::lines, {R"( 1:1 {"a":1)", R"( 2:1 {"b":2})"});
}

TEST_CASE("records larger than what is read at a time are whole") {
    const std::string long_text(300'000, 'x');
    std::string array = "[";
    std::vector<std::string> expected;
    for (int i = 0; i < 4; ++i) {
        const std::string record = fmt::format(R"({{"id":"{}","notes":"{}"}})", i, long_text);
        array += (i == 0 ? "\n" : ",\n") + record;
        expected.push_back(fmt::format("/{} {}:1 {}", i, i + 2, record));
    }
    for (const std::size_t piece : {std::size_t{100'000}, std::size_t{1} << 20U}) {
        test::MemorySource source(array + "]", piece);
        io::Framer framer(source);
        CHECK((frames(framer) == expected));
    }
}

TEST_CASE("UTF-16 is refused before anything is read") {
    for (const std::string& text : {std::string("\xFF\xFE{\0", 4), std::string("\xFE\xFF\0{", 4)}) {
        for (const std::size_t piece : pieces) {
            test::MemorySource source(text, piece);
            CHECK_THROWS_WITH_AS(io::Framer{source},
                                 "the text is UTF-16, and JSON is exchanged as UTF-8.",
                                 io::FileError);
        }
    }
}
