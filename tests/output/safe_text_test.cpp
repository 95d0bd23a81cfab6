#include "output/safe_text.hpp"

#include <string>

#include <doctest/doctest.h>

using namespace trayworth::output;

TEST_CASE("nothing in a text can act on a terminal") {
    const std::string mark = "\xEF\xBF\xBD";
    CHECK(safe("plain \xC3\xA9 \xE2\x82\xAC \xF0\x9F\x98\x80") ==
          "plain \xC3\xA9 \xE2\x82\xAC \xF0\x9F\x98\x80");
    CHECK(safe("\x1B[31m") == mark + "[31m");
    CHECK(safe(std::string("a\0b\n\t\x7F", 6)) == "a" + mark + "b" + mark + mark + mark);
    CHECK(safe("\xC2\x9B") == mark);                        // U+009B, a control sequence introducer
    CHECK(safe("\xE2\x80\xAE") == mark);                    // U+202E, right-to-left override
    CHECK(safe("\xE2\x81\xA6\xE2\x81\xA9") == mark + mark); // U+2066, U+2069
    CHECK(safe("\xEF\xBB\xBF") == mark);                    // U+FEFF
}

TEST_CASE("what is not UTF-8 is replaced byte by byte") {
    const std::string mark = "\xEF\xBF\xBD";
    CHECK(safe("\xFF") == mark);
    CHECK(safe("\xC3") == mark);
    CHECK(safe("\xC0\xAF") == mark + mark);                       // an overlong slash
    CHECK(safe("\xED\xA0\x80") == mark + mark + mark);            // a surrogate
    CHECK(safe("\xF4\x90\x80\x80") == mark + mark + mark + mark); // beyond U+10FFFF
    CHECK(safe("\xE2\x82x") == mark + mark + "x");
}

TEST_CASE("fitted texts are cut between characters") {
    CHECK(fitted("opal", 4) == "opal");
    CHECK(fitted("opals", 4) == "opa\xE2\x80\xA6");
    CHECK(fitted("\xC3\xA9\xC3\xA9\xC3\xA9", 2) == "\xC3\xA9\xE2\x80\xA6");
    CHECK(fitted("", 3).empty());
    CHECK(length_of("\xC3\xA9\xE2\x80\xA6") == 2);
}

TEST_CASE("wrapped texts break at blanks") {
    CHECK(wrapped("one two three", 7, 2) == "one two\n  three");
    CHECK(wrapped("one two three", 100, 2) == "one two three");
    CHECK(wrapped("overlong a", 4, 0) == "overlong\na");
    CHECK(wrapped("\xC3\xA9\xC3\xA9 \xC3\xA9", 4, 0) == "\xC3\xA9\xC3\xA9 \xC3\xA9");
    CHECK(wrapped("", 4, 0).empty());
}
