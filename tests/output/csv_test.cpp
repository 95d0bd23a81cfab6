#include "output/csv.hpp"
#include "valuation/support.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;

namespace {

// RFC 4180, section 2, for one line that ends with CR LF.
std::vector<std::string> fields_of(std::string_view line) {
    REQUIRE(line.ends_with("\r\n"));
    line.remove_suffix(2);
    std::vector<std::string> fields(1);
    bool quoted = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
        if (line[i] == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
            fields.back() += line[++i];
        } else if (line[i] == '"') {
            quoted = !quoted;
        } else if (line[i] == ',' && !quoted) {
            fields.emplace_back();
        } else {
            fields.back() += line[i];
        }
    }
    CHECK_FALSE(quoted);
    return fields;
}

std::string field(const std::string& line, std::string_view column) {
    const std::vector<std::string> names = fields_of(output::csv_header());
    const std::vector<std::string> fields = fields_of(line);
    REQUIRE(fields.size() == names.size());
    const auto at = std::find(names.begin(), names.end(), column);
    REQUIRE(at != names.end());
    return fields[static_cast<std::size_t>(at - names.begin())];
}

std::string id_written(const std::string& id) {
    const std::string line =
        output::csv_refused(id, {{Code::not_priced, Severity::error, "", "M.", "H."}});
    return line.substr(0, line.find(",,,,"));
}

} // namespace

TEST_CASE("the header of the rows is stable") {
    CHECK(output::csv_header() ==
          "id,name,weight_ct,basis,low,likely,high,outer_low,outer_high,coverage,currency,"
          "market_level,matrix,as_of,invented,purpose,warnings,error,message,pointer,line,"
          "column,converted_from,rate,rate_date\r\n");
}

TEST_CASE("a stone's row, exact to the cent") {
    const pricing::Matrix matrix = test::Tiny{}.read();
    Stone stone = test::plain_stone(test::reading(2, 0.01));
    stone.id = "B-1";
    const test::Outcome valued = test::value_of(stone, matrix);
    const Diagnostics warnings{{Code::not_stated, Severity::warning, "", "M.", "H."},
                               {Code::shares_sum, Severity::warning, "", "M.", "H."}};
    // 2 ct at 1 AUD/ct; k 1.95996, u(ln) 0.005 of the weight.
    CHECK(output::csv_valued(stone, *valued.valuation, matrix, warnings) ==
          "B-1,black opal,2,weighed,1.98,2.00,2.02,1.98,2.02,0.95,AUD,trade,tiny,2026-11-01,yes,"
          "estimate for pricing a seller's own stock; not an appraisal,not-stated shares-sum,"
          ",,,,,,,\r\n");
}

TEST_CASE("amounts have the currency's own minor unit") {
    test::Tiny tiny;
    tiny.currency = "JPY";
    const pricing::Matrix yen = tiny.read();
    const Stone stone = test::plain_stone(test::reading(1234.5, 0.01));
    const std::string line =
        output::csv_valued(stone, *test::value_of(stone, yen).valuation, yen, {});
    CHECK(field(line, "likely") == "1235");
    CHECK(field(line, "weight_ct") == "1234.5");
    CHECK(field(line, "id").empty());
    CHECK(field(line, "warnings").empty());
}

TEST_CASE("a refused stone's row has its first error") {
    Diagnostics diagnostics{{Code::shares_sum, Severity::warning, "/w", "Warned.", "."},
                            {Code::value_type, Severity::error, "/a,b", "Say \"a\", not b.", "."},
                            {Code::value_range, Severity::error, "/b", "Second.", "."}};
    CHECK(output::csv_refused("B-1", diagnostics) ==
          "B-1,,,,,,,,,,,,,,,,,value-type,\"Say \"\"a\"\", not b.\",\"/a,b\",,,,,\r\n");
    diagnostics[1].position = Position{12, 3};
    const std::string placed = output::csv_refused(std::nullopt, diagnostics);
    CHECK(field(placed, "id").empty());
    CHECK(field(placed, "error") == "value-type");
    CHECK(field(placed, "line") == "12");
    CHECK(field(placed, "column") == "3");
}

TEST_CASE("fields are quoted only where they must be") {
    CHECK(id_written("B 1; 'x'") == "B 1; 'x'");
    CHECK(id_written("a,b") == "\"a,b\"");
    CHECK(id_written("6\" x") == "\"6\"\" x\"");
    CHECK(id_written(" a") == "\" a\"");
    CHECK(id_written("a ") == "\"a \"");
    CHECK(id_written("\xC3\xA9\xE2\x82\xAC") == "\xC3\xA9\xE2\x82\xAC");
}

TEST_CASE("no text can be a formula, and none can act") {
    const std::string mark = "\xEF\xBF\xBD";
    CHECK(id_written("=1+1") == "'=1+1");
    CHECK(id_written("+1") == "'+1");
    CHECK(id_written("-1") == "'-1");
    CHECK(id_written("@SUM(A1)") == "'@SUM(A1)");
    CHECK(id_written("  =1") == "'  =1");
    CHECK(id_written("\xEF\xBC\x9D\x31") == "'\xEF\xBC\x9D\x31");
    CHECK(id_written("=HYPERLINK(\"a\",\"b\")") == "\"'=HYPERLINK(\"\"a\"\",\"\"b\"\")\"");
    CHECK(id_written("T-1") == "T-1");
    CHECK(id_written("\t=1") == mark + "=1");
    CHECK(id_written("\r=1") == mark + "=1");
    CHECK(id_written("a\r\n=1") == "a" + mark + mark + "=1");
    CHECK(id_written("\x1B[31m") == mark + "[31m");
    CHECK(id_written("\xFF") == mark);

    // Whatever text of a record or a matrix comes into a row.
    pricing::Matrix matrix = test::Tiny{}.read();
    Stone stone = test::plain_stone();
    valuation::Valuation valued = *test::value_of(stone, matrix).valuation;
    valued.nomenclature.name = "=a";
    valued.market_level = "=b";
    matrix.name = "=c";
    matrix.as_of = "=d";
    const std::string line = output::csv_valued(stone, valued, matrix, {});
    CHECK(field(line, "name") == "'=a");
    CHECK(field(line, "market_level") == "'=b");
    CHECK(field(line, "matrix") == "'=c");
    CHECK(field(line, "as_of") == "'=d");
    const std::string refused =
        output::csv_refused({}, {{Code::value_type, Severity::error, "=p", "=m", "."}});
    CHECK(field(refused, "message") == "'=m");
    CHECK(field(refused, "pointer") == "'=p");
}
