// The rules of RFC 4180, section 2, and what spreadsheets do beside them.
#include "io/csv_reader.hpp"

#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using Rows = std::vector<std::vector<std::string>>;

namespace {

Rows rows_of(const std::string& text) {
    Diagnostics diagnostics;
    const auto table = io::read_csv(text, "t.csv", diagnostics);
    REQUIRE(table);
    CHECK(diagnostics.empty());
    Rows rows;
    for (const io::CsvRow& row : table->rows) {
        rows.emplace_back();
        for (const io::CsvCell& cell : row) {
            rows.back().push_back(cell.text);
        }
    }
    return rows;
}

// "line:column code message | hint"
std::string fault_of(const std::string& text, const io::CsvLimits& limits = {}) {
    Diagnostics diagnostics;
    CHECK_FALSE(io::read_csv(text, "t.csv", diagnostics, limits));
    REQUIRE(diagnostics.size() == 1);
    const Diagnostic& fault = diagnostics.front();
    CHECK(fault.file == "t.csv");
    CHECK(fault.severity == Severity::error);
    REQUIRE(fault.position);
    return std::to_string(fault.position->line) + ":" + std::to_string(fault.position->column) +
           " " + std::string(name_of(fault.code)) + " " + fault.message + " | " + fault.hint;
}

} // namespace

TEST_CASE("csv: the rules of RFC 4180, section 2, one by one") {
    CHECK(rows_of("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n") ==
          Rows{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}}); // rule 1
    CHECK(rows_of("aaa,bbb,ccc\r\nzzz,yyy,xxx") ==
          Rows{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}});                    // 2
    CHECK(rows_of("aaa, b b ,\r\n") == Rows{{"aaa", " b b ", ""}});               // 4
    CHECK(rows_of("\"aaa\",\"bbb\",\"ccc\"\r\n") == Rows{{"aaa", "bbb", "ccc"}}); // 5
    CHECK(rows_of("\"aaa\",\"b\r\nbb\",\"c,c\"\r\nzzz,yyy,xxx") ==
          Rows{{"aaa", "b\r\nbb", "c,c"}, {"zzz", "yyy", "xxx"}});                  // 6
    CHECK(rows_of("\"aaa\",\"b\"\"bb\",\"\"\"\"") == Rows{{"aaa", "b\"bb", "\""}}); // 7
}

TEST_CASE("csv: line ends, byte order mark, empty lines and no lines") {
    CHECK(rows_of("").empty());
    CHECK(rows_of("\xEF\xBB\xBF").empty());
    CHECK(rows_of("\xEF\xBB\xBF"
                  "a,b\n1,2\r3,4\r\n") == Rows{{"a", "b"}, {"1", "2"}, {"3", "4"}});
    CHECK(rows_of("a\n\nb\n") == Rows{{"a"}, {""}, {"b"}});
    CHECK(rows_of("a,\n") == Rows{{"a", ""}});
    CHECK(rows_of("\"\"") == Rows{{""}});
    CHECK(rows_of("\xEF\xBB\xBF\"a\"\"\",b") == Rows{{"a\"", "b"}});
}

TEST_CASE("csv: the separator is what the first row shows") {
    CHECK(rows_of("a;b\n1,5;2\n") == Rows{{"a", "b"}, {"1,5", "2"}});
    CHECK(rows_of("a\tb;c\n1\t2;3\n") == Rows{{"a\tb", "c"}, {"1\t2", "3"}});
    CHECK(rows_of("a\tb\n1\t2,5\n") == Rows{{"a", "b"}, {"1", "2,5"}});
    CHECK(rows_of("\"a;b\",c\n1;2,3\n") == Rows{{"a;b", "c"}, {"1;2", "3"}});
    CHECK(rows_of("\"a,\"\"b\";c\n1,2;3\n") == Rows{{"a,\"b", "c"}, {"1,2", "3"}});
    CHECK(rows_of("alone\n1;2\n") == Rows{{"alone"}, {"1;2"}});
}

TEST_CASE("csv: a byte order mark takes no column") {
    CHECK(fault_of("\xEF\xBB\xBF"
                   "a,\xFF") ==
          "1:3 csv-encoding A byte here is not UTF-8. | Save the file as CSV in UTF-8 (Unicode).");
}

TEST_CASE("csv: cells keep the place they have in the file") {
    const std::string text = "\xEF\xBB\xBF"
                             "a,\"b\nc\"\n,d";
    Diagnostics diagnostics;
    const auto table = io::read_csv(text, "t.csv", diagnostics);
    REQUIRE(table);
    CHECK(table->separator == ',');
    CHECK(table->rows[0][0].offset == 3);
    CHECK(table->rows[0][1].offset == 5);
    CHECK(table->rows[1][0].offset == 11);
    CHECK(table->rows[1][1].offset == 12);
}

TEST_CASE("csv: what is no CSV is refused where it goes wrong") {
    CHECK(fault_of("a,b\n1,\"2") ==
          "2:3 csv-syntax The quotation mark here is never closed. | Close it where the cell "
          "ends, and write each one within it twice.");
    CHECK(fault_of("a,b\n1,12\"\n") ==
          "2:5 csv-syntax A quotation mark stands inside a cell. | Write the cell between "
          "quotation marks, and each one in it twice.");
    CHECK(fault_of("a,\"b\" c\n") ==
          "1:6 csv-syntax Text follows the closing quotation mark. | Put the whole cell between "
          "the marks, and write each one in it twice.");
    CHECK(fault_of("a,caf\xE9\n") == "1:6 csv-encoding A byte here is not UTF-8. | Save the file "
                                     "as CSV in UTF-8 (Unicode).");
    CHECK(fault_of(std::string("a\0b", 3)).starts_with("1:2 csv-encoding"));
    CHECK(fault_of("\xFF\xFE"
                   "a")
              .starts_with("1:1 csv-encoding"));
}

TEST_CASE("csv: sizes are limited") {
    io::CsvLimits limits;
    limits.rows = 2;
    CHECK(fault_of("a\nb\nc\n", limits).starts_with("3:1 csv-too-large More than 2 rows."));
    limits = {};
    limits.columns = 2;
    CHECK(fault_of("a,b,c", limits).starts_with("1:5 csv-too-large More than 2 cells in a row."));
    limits = {};
    limits.cell_bytes = 3;
    CHECK(fault_of("abc,abcd", limits).starts_with("1:5 csv-too-large A cell has more than 3"));
    CHECK(fault_of("\"ab\"\"cd\"", limits).starts_with("1:1 csv-too-large A cell has more than 3"));
    limits = {};
    limits.bytes = 3;
    CHECK(fault_of("a,bc", limits).starts_with("1:1 csv-too-large The file has 4 bytes"));
}

TEST_CASE("csv: whatever is written between quotes is read back, and no text goes astray") {
    // Every text of up to five characters over an alphabet of those that mean something.
    const std::string alphabet = "a\",;\n\r";
    std::size_t refused = 0;
    std::size_t tried = 0;
    std::vector<std::string> texts{""};
    for (std::size_t begin = 0, length = 1; length <= 5; ++length) {
        const std::size_t end = texts.size();
        for (; begin < end; ++begin) {
            for (const char c : alphabet) {
                texts.push_back(texts[begin] + c);
            }
        }
    }
    for (const std::string& text : texts) {
        std::string quoted = "\"";
        for (const char c : text) {
            quoted += c == '"' ? "\"\"" : std::string(1, c);
        }
        CHECK(rows_of("x," + quoted + "\"\r\n") == Rows{{"x", text}});
        Diagnostics diagnostics;
        ++tried;
        if (const auto table = io::read_csv(text, "t.csv", diagnostics)) {
            for (const io::CsvRow& row : table->rows) {
                CHECK_FALSE(row.empty());
            }
        } else {
            ++refused;
        }
    }
    CHECK(tried == 9331);
    CHECK(refused > 1000);
    CHECK(refused < 9000);
}

TEST_CASE("csv: a number is what JSON takes for one, its text unchanged") {
    for (const char* text :
         {"0", "-0", "12", "120.0", "1.50", "0.05", "1e3", "1E-09", "-2.5e+10"}) {
        CAPTURE(text);
        CHECK(io::csv_number(text).text == text);
        CHECK(nlohmann::json::accept(text));
    }
    CHECK(io::csv_number(" 12 ").text == "12");
    for (const char* text : {"", "+1", "01", ".5", "1.", "1,5", "1e", "0x10", "nan", "inf", "1 2",
                             "--1", "1.2.3", "$5", "5%", "twelve", "1e1.5", "\xEF\xBC\x91"}) {
        CAPTURE(text);
        const io::CsvNumber none = io::csv_number(text);
        CHECK(none.text.empty());
        CHECK(none.message.ends_with("."));
        CHECK(none.hint.ends_with("."));
        CHECK_FALSE(nlohmann::json::accept(text));
    }
}

TEST_CASE("csv: a decimal comma is refused with both ways to mend it") {
    CHECK(io::csv_number("1,500").message == "\"1,500\" is not a number.");
    CHECK(io::csv_number("1,500").hint ==
          "A comma is never read as a decimal point or a thousand: write 1.500 or 1500, whichever "
          "is meant.");
    CHECK(io::csv_number("1,234,500").hint ==
          "Write the digits without anything between them, and a decimal point.");
    CHECK(io::csv_number("1 200").hint ==
          "Write the digits without anything between them, and a decimal point.");
    CHECK(io::csv_number(".5").hint == "Write a digit in front of the decimal point, as in 0.5.");
}

TEST_CASE("csv: cells are named as spreadsheets name them") {
    CHECK(io::cell_name(0, 0) == "A1");
    CHECK(io::cell_name(6, 1) == "B7");
    CHECK(io::cell_name(0, 25) == "Z1");
    CHECK(io::cell_name(9, 26) == "AA10");
    CHECK(io::cell_name(0, 701) == "ZZ1");
    CHECK(io::cell_name(0, 702) == "AAA1");
    CHECK(io::cell_name(0, 16383) == "XFD1");
}
