#include "output/json_writer.hpp"

#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using output::JsonWriter;
using output::Layout;

namespace {

std::string written(Layout layout, int depth = 0) {
    std::string out;
    JsonWriter json(out, layout, depth);
    json.begin_object();
    json.member("a", "x");
    json.key("b");
    json.begin_array();
    json.number(1);
    json.null();
    json.begin_array();
    json.end_array();
    json.begin_object();
    json.end_object();
    json.end_array();
    json.key("c");
    json.boolean(true);
    json.member("d", Money{163050, 2});
    json.key("e");
    json.raw(R"({"own":[1]})");
    json.end_object();
    return out;
}

std::string text(std::string_view value) {
    std::string out;
    JsonWriter(out, Layout::compact).text(value);
    return out;
}

std::string number(double value) {
    std::string out;
    JsonWriter(out, Layout::compact).number(value);
    return out;
}

} // namespace

TEST_CASE("compact is one line, pretty a line an entry") {
    CHECK(written(Layout::compact) ==
          R"({"a":"x","b":[1,null,[],{}],"c":true,"d":1630.50,"e":{"own":[1]}})");
    CHECK(written(Layout::pretty) == R"({
  "a": "x",
  "b": [
    1,
    null,
    [],
    {}
  ],
  "c": true,
  "d": 1630.50,
  "e": {"own":[1]}
})");
    CHECK(written(Layout::pretty, 1).ends_with("\n    \"e\": {\"own\":[1]}\n  }"));
    CHECK(nlohmann::json::parse(written(Layout::pretty)) ==
          nlohmann::json::parse(written(Layout::compact)));
}

TEST_CASE("texts are escaped where JSON asks for it, and always UTF-8") {
    CHECK(text("plain") == R"("plain")");
    CHECK(text("a \"b\" \\ c/d") == R"("a \"b\" \\ c/d")");
    CHECK(text(std::string("\0\x1f\n", 3)) == R"("\u0000\u001f\n")");
    CHECK(text("\xC3\xA9\xE2\x82\xAC") == "\"\xC3\xA9\xE2\x82\xAC\"");
    CHECK(text("bad \xFF byte") == "\"bad \xEF\xBF\xBD byte\"");
    CHECK(text("") == R"("")");
}

TEST_CASE("numbers read back as themselves") {
    for (const double value : {0.1, 1.0 / 3, 1e-9, 123456789.125, 1e21, -0.5, 5e-324}) {
        CHECK(nlohmann::json::parse(number(value)).get<double>() == value);
    }
    CHECK(number(0.1) == "0.1");
    CHECK(number(3) == "3");
}
