#include "output/json.hpp"

#include <string>

#include <doctest/doctest.h>

using namespace trayworth;
using output::JsonWriter;
using output::Layout;

TEST_CASE("a diagnostic without a place has a null one, and no file") {
    Diagnostic diagnostic{Code::field_missing, Severity::warning, "/cut", "What.", "How."};
    std::string out;
    JsonWriter json(out, Layout::compact);
    output::write_diagnostic(json, diagnostic);
    CHECK(out == R"({"code":"field-missing","severity":"warning","message":"What.",)"
                 R"("pointer":"/cut","line":null,"column":null,"hint":"How."})");
    diagnostic.file = "a.json";
    diagnostic.position = Position{2, 3};
    diagnostic.severity = Severity::error;
    out.clear();
    JsonWriter placed(out, Layout::compact);
    output::write_diagnostic(placed, diagnostic);
    CHECK(out == R"({"code":"field-missing","severity":"error","message":"What.",)"
                 R"("pointer":"/cut","file":"a.json","line":2,"column":3,"hint":"How."})");
}

TEST_CASE("a refusal holds the errors, and the first of them by itself") {
    const Diagnostics diagnostics{{Code::shares_sum, Severity::warning, "/w", "Warned.", "."},
                                  {Code::value_type, Severity::error, "/a", "First.", "."},
                                  {Code::value_type, Severity::error, "/b", "Second.", "."}};
    std::string out;
    JsonWriter json(out, Layout::compact);
    output::write_refused(json, "B-1", diagnostics);
    const std::string first = R"({"code":"value-type","severity":"error","message":"First.",)"
                              R"("pointer":"/a","line":null,"column":null,"hint":"."})";
    CHECK(out.starts_with(R"({"id":"B-1","error":)" + first + R"(,"errors":[)" + first + ","));
    CHECK(out.find("Second.") != std::string::npos);
    CHECK(out.find("Warned.") == std::string::npos);
}

TEST_CASE("a user's own field comes out on one line and otherwise as it was written") {
    const auto written = [](const std::string& own) {
        Stone stone;
        stone.extensions.push_back({"x-own", own});
        weight::Weight weight;
        weight.ct.value = 1;
        std::string out;
        JsonWriter json(out, Layout::compact);
        output::write_weighed(json, stone, weight, {});
        const std::string key = "\"x-own\":";
        const std::size_t at = out.find(key) + key.size();
        return out.substr(at, out.size() - 1 - at);
    };
    CHECK(written("100.10") == "100.10");
    CHECK(written("{\n \"a b\": [1 ,\t2.50],\r\n\"c\" : \"d \\\" e\"\n}") ==
          R"({"a b":[1,2.50],"c":"d \" e"})");
    CHECK(written(R"("\\")") == R"("\\")");
    CHECK(written(R"(["a\\", " b "])") == R"(["a\\"," b "])");
}
