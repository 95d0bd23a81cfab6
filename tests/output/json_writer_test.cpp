#include "output/json_writer.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <random>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>
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

// std::to_chars without a format gives the shortest digits too ([charconv.to.chars]); without an
// exponent where that is no longer.
TEST_CASE("numbers have the fewest digits, in the size of prices without an exponent") {
    const auto fewest = [](double value) {
        std::array<char, 400> text{};
        const auto end =
            std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
        return std::string(text.data(), end.ptr);
    };
    for (const double ends : {0.0001, 0.0001234567, 0.05, 0.9999999, 0.99999999, 1.0, 1.000001,
                              1.0000001, 9.999999, 99999.95, 9999999.0, 9999999.5, 9999999.96}) {
        CAPTURE(ends);
        CHECK(number(ends) == fewest(ends));
    }
    std::mt19937_64 random(1);
    for (int i = 0; i < 20000; ++i) {
        const auto digits = static_cast<double>(random() % 100'000'000);
        const double decimals = std::pow(10, static_cast<int>(random() % 9));
        const double value = digits / decimals;
        if (value >= 0.0001) {
            CAPTURE(value);
            CHECK(number(value) == fewest(value));
            CHECK(number(value * 1.0000001) == fewest(value * 1.0000001));
        }
    }
    CHECK(number(0) == "0");
    CHECK(number(0.00001) == "1e-05");
}

TEST_CASE("money has all its decimals") {
    const auto money = [](Money value) {
        std::string out;
        JsonWriter(out, Layout::compact).money(value);
        return out;
    };
    CHECK(money({0, 2}) == "0.00");
    CHECK(money({5, 2}) == "0.05");
    CHECK(money({100, 2}) == "1.00");
    CHECK(money({-163050, 2}) == "-1630.50");
    CHECK(money({1630, 0}) == "1630");
    CHECK(money({1, 3}) == "0.001");
    CHECK(money({9'200'000'000'000'000'000, 3}) == "9200000000000000.000");
}

// The writer appends in pieces of a size that nobody should notice.
TEST_CASE("texts of every length stand in their place") {
    std::string out = "before ";
    std::string expected = out + "[";
    JsonWriter json(out, Layout::compact);
    json.begin_array();
    for (std::size_t length = 0; length < 3000; length += length < 40 ? 1 : 97) {
        const std::string text(length, 'x');
        json.text(text);
        json.begin_object();
        json.member("length", length);
        json.end_object();
        expected += fmt::format(R"({}"{}",{{"length":{}}})", length == 0 ? "" : ",", text, length);
    }
    json.end_array();
    CHECK(out == expected + "]");
}

TEST_CASE("one byte to be escaped is found wherever it stands") {
    for (std::size_t length = 1; length < 40; ++length) {
        for (std::size_t at = 0; at < length; ++at) {
            std::string plain(length, 'x');
            plain[at] = '"';
            CAPTURE(length);
            CAPTURE(at);
            CHECK(nlohmann::json::parse(text(plain)).get<std::string>() == plain);
            plain[at] = '\x1F';
            CHECK(nlohmann::json::parse(text(plain)).get<std::string>() == plain);
            plain[at] = '\x7F';
            CHECK(text(plain).find("\\u007f") == at + 1);
        }
    }
}
