#include "core/diagnostic.hpp"

#include <set>
#include <string>
#include <string_view>
#include <vector>

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

// RFC 6901, section 5: pointers into its example document, and the names that they lead to.
TEST_CASE("a JSON Pointer is taken apart into the names that it leads through") {
    CHECK(pointer_tokens("").empty());
    CHECK((pointer_tokens("/foo/0") == std::vector<std::string>{"foo", "0"}));
    CHECK((pointer_tokens("/") == std::vector<std::string>{""}));
    CHECK((pointer_tokens("/a~1b") == std::vector<std::string>{"a/b"}));
    CHECK((pointer_tokens("/m~0n") == std::vector<std::string>{"m~n"}));
    CHECK((pointer_tokens("/~01") == std::vector<std::string>{"~1"})); // section 4
    for (const std::string_view name : {"a/b", "~1", "", "x~y/z"}) {
        CHECK((pointer_tokens("/" + pointer_token(name)) == std::vector{std::string(name)}));
    }
    CHECK(is_pointer("/a~0b/c~1d"));
    CHECK_FALSE(is_pointer("a"));
    CHECK_FALSE(is_pointer("/a~2"));
    CHECK_FALSE(is_pointer("/a~"));
}
