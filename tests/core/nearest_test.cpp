#include "core/nearest.hpp"

#include <array>
#include <string>

#include <doctest/doctest.h>

using trayworth::nearest;

namespace {

constexpr std::array<std::string_view, 6> patterns{"harlequin", "rolling flash", "broad flash",
                                                   "flash",     "pinfire",       "moss"};

std::string found(std::string_view name) {
    return std::string(nearest(name, patterns).value_or("(none)"));
}

} // namespace

TEST_CASE("a slip of the finger finds the word that was meant") {
    CHECK(found("harlequin") == "harlequin");
    CHECK(found("harlekin") == "harlequin");  // two letters
    CHECK(found("harelquin") == "harlequin"); // two neighbours swapped
    CHECK(found("pinfir") == "pinfire");      // one left out
    CHECK(found("pinnfire") == "pinfire");    // one too many
    CHECK(found("rolling flahs") == "rolling flash");
    CHECK(found("mos") == "moss");
    CHECK(found("Flash") == "flash");
}

TEST_CASE("a swap of neighbours counts once, not twice") {
    // "ab" and "ba" are 1 apart; with two substitutions they would be too far for their length.
    constexpr std::array<std::string_view, 1> one{"ab"};
    CHECK(nearest("ba", one) == "ab");
    CHECK_FALSE(nearest("xy", one));
}

TEST_CASE("what is too far is not offered") {
    CHECK(found("ribbon") == "(none)");
    CHECK(found("") == "(none)");
    CHECK(found("x") == "(none)");
    CHECK(found(std::string(65, 'a')) == "(none)");
    CHECK_FALSE(nearest("flash", {}));
    // A third of nine letters is three: four slips are too many, three are not.
    constexpr std::array<std::string_view, 1> nine{"abcdefghi"};
    CHECK(nearest("xxxdefghi", nine) == "abcdefghi");
    CHECK_FALSE(nearest("xxxxefghi", nine));
    // Of eight letters a third is 2.7, rounded to three.
    constexpr std::array<std::string_view, 1> eight{"abcdefgh"};
    CHECK(nearest("xxxdefgh", eight) == "abcdefgh");
    // Of seven it is 2.3, rounded to two.
    constexpr std::array<std::string_view, 1> seven{"abcdefg"};
    CHECK(nearest("xxcdefg", seven) == "abcdefg");
    CHECK_FALSE(nearest("xxxdefg", seven));
}

TEST_CASE("the nearest of several, the first of two as near") {
    constexpr std::array<std::string_view, 3> words{"minor", "manor", "mirror"};
    CHECK(nearest("minor", words) == "minor");
    CHECK(nearest("miror", words) == "minor"); // as near to "mirror", which comes later
    CHECK(nearest("mirorr", words) == "mirror");
}
