#include "core/diagnostic.hpp"

#include <set>
#include <string>

#include <doctest/doctest.h>

using namespace trayworth;

TEST_CASE("pointer tokens are escaped as RFC 6901 has it") {
    // The keys of the example in section 5, with the tokens that lead to them there.
    CHECK(pointer_token("foo") == "foo");
    CHECK(pointer_token("").empty());
    CHECK(pointer_token("a/b") == "a~1b");
    CHECK(pointer_token("c%d") == "c%d");
    CHECK(pointer_token("e^f") == "e^f");
    CHECK(pointer_token("g|h") == "g|h");
    CHECK(pointer_token("i\\j") == "i\\j");
    CHECK(pointer_token("k\"l") == "k\"l");
    CHECK(pointer_token(" ") == " ");
    CHECK(pointer_token("m~n") == "m~0n");
    // Section 4: "~01" stands for "~1", so "~" is escaped first.
    CHECK(pointer_token("~1") == "~01");
    CHECK(pointer_token("~/") == "~0~1");
}

TEST_CASE("every code has a name of its own, in small letters and hyphens") {
    std::set<std::string> names;
    const auto count = static_cast<std::size_t>(Code::count_);
    for (std::size_t i = 0; i < count; ++i) {
        const std::string name(name_of(static_cast<Code>(i)));
        CAPTURE(i);
        CAPTURE(name);
        CHECK_FALSE(name.empty());
        CHECK(name.find_first_not_of("abcdefghijklmnopqrstuvwxyz-") == std::string::npos);
        CHECK(names.insert(name).second);
    }
    CHECK(names.size() == count);
    // The first and the last, and one between: the table is not shifted.
    CHECK(name_of(Code::json_syntax) == "json-syntax");
    CHECK(name_of(Code::not_priced) == "not-priced");
    CHECK(name_of(Code::matrix_dated) == "matrix-dated");
    CHECK(severity_of(Code::file_access) == Severity::error);
    CHECK(severity_of(Code::not_stated) == Severity::warning);
}

TEST_CASE("a warning is no error") {
    Diagnostics diagnostics;
    CHECK_FALSE(has_errors(diagnostics));
    diagnostics.push_back({Code::shares_sum, Severity::warning, "", "", ""});
    CHECK_FALSE(has_errors(diagnostics));
    diagnostics.push_back({Code::not_priced, Severity::error, "", "", ""});
    CHECK(has_errors(diagnostics));
}

TEST_CASE("warnings can be made errors") {
    Diagnostics diagnostics{{Code::shares_sum, Severity::warning, "", "", ""},
                            {Code::not_priced, Severity::error, "", "", ""}};
    make_errors(diagnostics);
    CHECK(diagnostics[0].severity == Severity::error);
    CHECK(diagnostics[1].severity == Severity::error);
}
