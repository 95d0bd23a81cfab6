#include "output/diagnostic_text.hpp"
#include "output/safe_text.hpp"

#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using output::diagnostic_text;

namespace {

constexpr output::TextStyle on_terminal{80, false, true};
constexpr output::TextStyle in_pipe{80, false, false};

Diagnostic about(const std::string& before, const std::string& behind) {
    Diagnostic diagnostic{Code::value_range, Severity::error, "/w", "Wrong.", "Mend it."};
    diagnostic.file = "f.json";
    diagnostic.position = Position{7, 3};
    diagnostic.source_line = before + behind;
    diagnostic.caret = before.size();
    return diagnostic;
}

struct Shown {
    std::string line;
    std::string caret;
};

Shown shown(const std::string& before, const std::string& behind, output::TextStyle style) {
    const std::string text = diagnostic_text(about(before, behind), style);
    const std::size_t from = text.find("  7 | ");
    const std::size_t end = text.find('\n', from);
    const std::string_view second = std::string_view(text).substr(end + 1);
    return {text.substr(from + 6, end - from - 6),
            std::string(second.substr(6, second.find('\n') - 6))};
}

std::string repeated(std::string_view text, int times) {
    std::string all;
    for (int i = 0; i < times; ++i) {
        all += text;
    }
    return all;
}

} // namespace

TEST_CASE("a diagnostic in a pipe and on a terminal") {
    const Diagnostic diagnostic = about("  \"w\": ", "0,");
    CHECK(diagnostic_text(diagnostic, in_pipe) == "f.json:7:3: error: Wrong. [value-range]\n"
                                                  "  at /w\n"
                                                  "  Mend it.\n");
    CHECK(diagnostic_text(diagnostic, on_terminal) == "f.json:7:3: error: Wrong. [value-range]\n"
                                                      "  at /w\n"
                                                      "  7 |   \"w\": 0,\n"
                                                      "    |        ^\n"
                                                      "  Mend it.\n");
    CHECK(diagnostic_text(diagnostic, {80, true, true}).find("^\x1b[0m") != std::string::npos);
}

TEST_CASE("what has no place shows none") {
    CHECK(diagnostic_text({Code::usage, Severity::error, "", "Wrong.", "Mend it."}, on_terminal) ==
          "error: Wrong. [usage]\n  Mend it.\n");
    Diagnostic at_end = about("", "");
    CHECK(diagnostic_text(at_end, on_terminal) == diagnostic_text(at_end, in_pipe));
}

TEST_CASE("the caret stands under the character, whatever stands before it") {
    // A tab is shown as a blank; two columns a character in East Asian scripts.
    CHECK(shown("\t\"w\":\t", "0", on_terminal).line == " \"w\": 0");
    CHECK(shown("\t\"w\":\t", "0", on_terminal).caret == "      ^");
    CHECK(shown("\xC3\xA9\xE2\x82\xAC", "0", on_terminal).caret == "  ^");
    CHECK(shown("\xE3\x82\xAA\xE3\x83\x91", "0", on_terminal).caret == "    ^");
    // Controls, bidirectional controls and stray bytes take one column and act on nothing.
    const Shown hostile = shown("\x1b[31m\xE2\x80\xAE\xFF", "0", on_terminal);
    CHECK(hostile.line == "\xEF\xBF\xBD[31m\xEF\xBF\xBD\xEF\xBF\xBD"
                          "0");
    CHECK(hostile.caret == "       ^");
}

TEST_CASE("a long line is cut around the caret to the width of the page") {
    const std::vector<std::string> units{"x", "\xC3\xA9", "\xE3\x82\xAA"};
    for (const std::string& unit : units) {
        for (const int before : {0, 1, 20, 36, 37, 38, 70, 74, 75, 300}) {
            for (const int behind : {0, 1, 20, 37, 38, 70, 75, 300}) {
                for (const std::size_t width : {std::size_t{80}, std::size_t{132}}) {
                    CAPTURE(unit);
                    CAPTURE(before);
                    CAPTURE(behind);
                    CAPTURE(width);
                    const Shown page = shown(repeated(unit, before), "^" + repeated(unit, behind),
                                             {width, false, true});
                    // As wide as the page, if there is so much; the ends are the line's own or cut.
                    const std::size_t wide = output::width_of(unit);
                    const std::size_t whole = 1 + wide * static_cast<std::size_t>(before + behind);
                    const std::size_t columns = output::width_of(page.line);
                    CHECK(columns <= width - 6);
                    CHECK(columns >= std::min(whole, width - 6 - 2));
                    const std::size_t caret = page.line.find('^');
                    CHECK(page.caret.size() == output::width_of(page.line.substr(0, caret)) + 1);
                    CHECK(page.caret.ends_with("^"));
                    CHECK((whole > width - 6) ==
                          (page.line.find("\xE2\x80\xA6") != std::string::npos));
                }
            }
        }
    }
}
