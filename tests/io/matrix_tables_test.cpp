// A matrix taken apart into tables and put together again.
#include "io/commented_json.hpp"
#include "io/csv_reader.hpp"
#include "io/embedded.hpp"
#include "io/files.hpp"
#include "io/locate.hpp"
#include "io/matrix_reader.hpp"
#include "io/matrix_tables.hpp"
#include "io/table_cells.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;
using json = nlohmann::ordered_json;

namespace {

using Folder = std::map<std::string, std::string>;

Folder exported(const std::string& text) {
    Diagnostics diagnostics;
    REQUIRE(io::read_matrix(text, "m.json", diagnostics));
    const auto files = io::export_matrix(text, "m.json", diagnostics);
    REQUIRE(files);
    CHECK(files->front().name == io::matrix_head_name);
    Folder folder;
    for (const io::NamedText& file : *files) {
        CHECK(folder.emplace(file.name, file.text).second);
    }
    return folder;
}

std::optional<std::string> imported(const Folder& folder, Diagnostics& diagnostics) {
    const auto read = [&folder](const std::string& name) {
        const auto found = folder.find(name);
        if (found == folder.end()) {
            throw io::FileError("cannot open " + name);
        }
        return found->second;
    };
    const auto matrix = io::import_matrix(read, "d/", diagnostics);
    CHECK(matrix.has_value() == diagnostics.empty());
    return matrix ? std::optional(matrix->json) : std::nullopt;
}

std::string trip(const std::string& text) {
    Diagnostics diagnostics;
    const auto back = imported(exported(text), diagnostics);
    REQUIRE(back);
    return *back;
}

json without_comments(const std::string& text) {
    return json::parse(text, nullptr, true, true);
}

// The numbers and texts, in order, as they are spelt.
std::vector<std::string> scalars(const io::JsonNode& node) {
    if (node.kind == io::JsonNode::Kind::scalar) {
        return {node.text};
    }
    std::vector<std::string> all;
    for (const io::JsonNode& child : node.children) {
        for (std::string& one : scalars(child)) {
            all.push_back(std::move(one));
        }
    }
    return all;
}

std::vector<std::string> comments_of(const std::string& text) {
    io::JsonDocument document = io::read_commented(text);
    std::vector<std::string> all = document.root.above;
    for (const auto& more :
         {io::take_inner_comments(document.root), document.root.beside, document.below}) {
        all.insert(all.end(), more.begin(), more.end());
    }
    std::erase(all, "");
    std::sort(all.begin(), all.end());
    return all;
}

const std::string shipped(io::demonstration_matrix());

// "file:line:column code message" of the first fault after a text in a file was replaced.
std::string fault_after(const std::string& file, const std::string& old, const std::string& with) {
    Folder folder = exported(shipped);
    REQUIRE(folder.contains(file));
    const std::size_t place = folder[file].find(old);
    REQUIRE(place != std::string::npos);
    folder[file].replace(place, old.size(), with);
    Diagnostics diagnostics;
    CHECK_FALSE(imported(folder, diagnostics));
    REQUIRE_FALSE(diagnostics.empty());
    const Diagnostic& fault = diagnostics.front();
    REQUIRE(fault.position);
    return fault.file + ":" + std::to_string(fault.position->line) + ":" +
           std::to_string(fault.position->column) + " " + std::string(name_of(fault.code)) + " " +
           fault.message;
}

constexpr const char* first_grid = "grid-1-solid-opaque-black-dark-and-light-opal.csv";

} // namespace

TEST_CASE("tables: the matrix that ships comes back byte for byte") {
    CHECK(trip(shipped) == shipped);
}

TEST_CASE("tables: a file for each grid and factor, the levels, the rounding and the rest") {
    const Folder folder = exported(shipped);
    CHECK(folder.size() == 6 + 13 + 3);
    const std::string& grid = folder.at(first_grid);
    CHECK(grid.starts_with("body_tone,1 low,1 high,2 low,2 high,3 low,3 high,4 low,4 high,5 low,"
                           "5 high,comment\r\n"));
    CHECK(grid.find("\r\nN3,61,97,180,300,430,720,900,1600,1600,3200,N3\r\n") != std::string::npos);
    CHECK(folder.at("market-levels.csv") ==
          "name,low,high,comment\r\n"
          "parcel,0.45,0.65,\"a cutter's whole parcel, good and bad together\"\r\n"
          "trade,1,,\r\nonline,1.3,1.8,\r\nretail,1.8,2.4,over the counter; keystone is 2\r\n");
    CHECK(folder.at("factor-08-faults.csv")
              .find("\r\nwindow,girdle,0.90,0.97,0.75,0.88,0.55,0.72,\r\n") != std::string::npos);
    CHECK(folder.at("factor-04-coverage-of-the-face.csv").find("\r\n0.50,0.40,0.52,\r\n") !=
          std::string::npos);
    CHECK(folder.at("grid-4-matrix.csv").find("\r\nN2,10.0,16,") != std::string::npos);
    const std::string& head = folder.at("matrix.json");
    CHECK(head.find("\"per_carat\": \"grid-2-solid-crystal.csv\"") != std::string::npos);
    CHECK(head.find("Less is lost towards the light tones") != std::string::npos);
    CHECK(head.find("[[") == std::string::npos);
}

TEST_CASE("tables: the comma, the quotation mark and the formula in names and comments") {
    json matrix = without_comments(shipped);
    json& patterns = matrix["factors"][1]["values"];
    const std::vector<std::string> names{
        "=1+1",     "+x",   "-x",      "@x",     " =x",    "'quoted",      "''",    "a,b",
        "a\"b",     "a\nb", "a\r\nb",  "//no",   "/* no ", " blank ",      "",      "name",
        "1.50",     "a;=1", "a;'=1",   ";;''-x", "x;'y",   "\xEF\xBC\x9D", "tab\t", "a;b",
        "\xC3\xA9", "\\n",  "comment", "~/~1"};
    for (const std::string& name : names) {
        patterns[name] = 1;
    }
    const std::string text = matrix.dump(2);
    const Folder folder = exported(text);
    Diagnostics diagnostics;
    for (const auto& [name, csv] : folder) {
        if (!name.ends_with(".csv")) {
            continue;
        }
        const auto table = io::read_csv(csv, name, diagnostics);
        REQUIRE(table);
        for (const io::CsvRow& row : table->rows) {
            CHECK(row.size() == table->rows.front().size());
            for (const io::CsvCell& cell : row) {
                const std::size_t start = cell.text.find_first_not_of(" \t\r\n");
                if (start != std::string::npos) {
                    CHECK(std::string("=+-@").find(cell.text[start]) == std::string::npos);
                }
            }
        }
    }
    const std::string once = trip(text);
    CHECK(without_comments(once) == matrix);
    CHECK(trip(once) == once);
}

TEST_CASE("tables: comments in every gap of the text are all there after the trip") {
    // Between any two tokens: two comments, on the line and on lines of their own.
    const std::string small = without_comments(R"({
      "format": "trayworth/price-matrix/1", "name": "small", "currency": "AUD",
      "as_of": "2024-02-29", "market_level": "trade", "provenance": "made up", "coverage": 0.80,
      "brightness": {"steps": 5, "brightest": 5, "mapping_half_width": 0.5},
      "market_levels": {"trade": 1, "retail": [1.80, 2.4]},
      "grids": [{"name": "black", "type": ["solid"], "transparency": ["opaque"],
        "body_tone": ["N1", "N2"], "brightness": [1, 2.50],
        "per_carat": [[[10, 40], 50.0], [null, [6, 7]]], "x-own": [1, {}]}],
      "factors": [
        {"name": "pattern", "kind": "category", "field": "/play_of_colour/pattern",
         "values": {"flash": 1, "a/b~c": [2, 8]}},
        {"name": "depth", "kind": "curve", "field": "/dimensions_mm/depth", "spacing": "log",
         "points": [{"factor": 1, "at": 0.1}, {"at": 1e0, "factor": [0.4, 0.5]}]},
        {"name": "faults", "kind": "fault", "field": "/faults", "values":
         {"crack": {"face": {"minor": [0.5, 0.8]}, "back": {"severe": 0.1, "minor": 0.2}},
          "sand": {"face": {"minor": 1}}}}],
      "rounding": [{"from": 0, "to_nearest": 1}], "x-own": {"x": []}})")
                                  .dump();
    const std::size_t tokens = io::tokens_of(small).size();
    CHECK(tokens > 150);
    std::mt19937 draw(5);
    const std::vector<std::string> gaps{"// line, %\n",
                                        "\n// own line %\n",
                                        "/* block % */",
                                        "\n/* block\n   over lines % */\n",
                                        " /* a % */ // b %\n",
                                        "\n\n\n// after a gap %\n\n\n// and %\n",
                                        "\r\n// dos %\r\n",
                                        "// =1+1 %\n",
                                        "//%\n",
                                        "//   far %\n",
                                        "/*%*/ /*%*/",
                                        "// /* % \n",
                                        "// // %\n",
                                        "// 'quoted %\n",
                                        "// \"x\", %\n",
                                        "/***%***/",
                                        "// blank behind %  \n",
                                        "//%\n",
                                        "// %\n"};
    const auto commented = [&](std::size_t only) {
        std::string text;
        std::size_t passed = 0;
        std::size_t number = 0;
        std::size_t index = 0;
        for (const io::Token& token : io::tokens_of(small)) {
            text += small.substr(passed, token.begin - passed);
            if (only == tokens || only == index) {
                std::string gap = gaps[draw() % gaps.size()];
                for (std::size_t at = gap.find('%'); at != std::string::npos; at = gap.find('%')) {
                    gap.replace(at, 1, std::to_string(++number));
                }
                text += gap;
            }
            text += small.substr(token.begin, token.end - token.begin);
            passed = token.end;
            ++index;
        }
        return text + "// the end";
    };
    const json plain = without_comments(small);
    for (std::size_t round = 0; round < 400; ++round) {
        const std::string text = commented(round < tokens ? round : tokens);
        CAPTURE(text);
        const std::string once = trip(text);
        CHECK(json::diff(without_comments(once), plain).empty());
        CHECK(comments_of(once) == comments_of(text));
        CHECK(trip(once) == once);
    }
}

TEST_CASE("tables: numbers keep their spelling") {
    json matrix = without_comments(shipped);
    std::string text = matrix.dump();
    const auto replace = [&text](const std::string& old, const std::string& with) {
        const std::size_t place = text.find(old);
        REQUIRE(place != std::string::npos);
        text.replace(place, old.size(), with);
    };
    replace("[83,130]", "[83.0,130.00]");
    replace("[250,410]", "2.50e2");
    replace("[580,990]", "[580E0,990]");
    replace("[1200,2200]", "null");
    const std::string once = trip(text);
    CHECK(once.find("[[83.0, 130.00], 2.50e2") != std::string::npos);
    CHECK(once.find("[580E0, 990], null,") != std::string::npos);
    CHECK(scalars(io::read_commented(once).root) == scalars(io::read_commented(text).root));
}

TEST_CASE("tables: faults of a cell are named by the file, the place in it and the cell") {
    CHECK(fault_after(first_grid, "N3,61,", "N3,6l,") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:5:4 value-type Cell B5: \"6l\" is "
          "not a number.");
    CHECK(fault_after(first_grid, "N3,61,97", "N3,97,61") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:5:4 range-reversed Cell B5: The "
          "range runs from 97 to 61, backwards.");
    CHECK(fault_after(first_grid, "N3,61,97", "N3,61,-97") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:5:7 value-range Cell C5: -97 does "
          "not lie between 1e-09 and 1000000000.");
    CHECK(fault_after(first_grid, "N3,61,97", "N3,,97") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:5:4 field-missing Cell B5: The low "
          "end is missing.");
    CHECK(fault_after(first_grid, "N3,61", "N13,61") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:5:1 value-unknown Cell A5: \"N13\" "
          "is not one of: N1, N2, N3, N4, N5, N6, N7, N8, N9.");
    CHECK(fault_after(first_grid, "N4,50", "N2,50") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:6:1 range-reversed Cell A6: The "
          "entries do not ascend here.");
    CHECK(fault_after(first_grid, "2 high", "2 hihg") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:1:30 field-unknown Cell E1: \"2 "
          "hihg\" is no heading here, or stands twice.");
    CHECK(fault_after(first_grid, "2 low,2 high", "2 low,3 low") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:1:36 field-unknown Cell F1: \"3 "
          "low\" is no heading here, or stands twice.");
    CHECK(fault_after(first_grid, "body_tone", "tone") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:1:1 field-unknown Cell A1: "
          "\"tone\" is no heading here, or stands twice.");
    CHECK(fault_after(first_grid, "N3,61,", "\"N3,61,") ==
          "d/grid-1-solid-opaque-black-dark-and-light-opal.csv:5:1 csv-syntax The quotation mark "
          "here is never closed.");
    CHECK(fault_after("factor-02-pattern.csv", "ribbon,", "harlequin,") ==
          "d/factor-02-pattern.csv:3:1 json-key-repeated Cell A3: \"harlequin\" stands in row 2 "
          "already.");
    CHECK(fault_after("factor-02-pattern.csv", "ribbon,", ",") ==
          "d/factor-02-pattern.csv:3:1 field-missing Cell A3: The name is missing.");
    CHECK(fault_after("factor-08-faults.csv", "crazing,body", "crazing,face") ==
          "d/factor-08-faults.csv:3:9 json-key-repeated Cell B3: "
          "\"/factors/7/values/crazing/face\" stands in row 2 already.");
    CHECK(fault_after("factor-04-coverage-of-the-face.csv", "0.25,", "0,") ==
          "d/factor-04-coverage-of-the-face.csv:3:1 range-reversed Cell A3: The entries do not "
          "ascend here.");
    CHECK(fault_after("rounding.csv", "10,1,", "10,0,") ==
          "d/rounding.csv:3:4 value-range Cell B3: 0 does not lie between 0.001 and 1000000000.");
    CHECK(fault_after("market-levels.csv", "trade,1,,", "trade,1.1,,") ==
          "d/market-levels.csv:3:7 value-range Cell B3: The matrix's own level has another "
          "multiplier than 1.");
    CHECK(fault_after("matrix.json", "\"AUD\"", "\"AUS\"") ==
          "d/matrix.json:17:15 value-unknown \"AUS\" is not a currency of ISO 4217.");
    CHECK(fault_after("matrix.json", "\"AUD\"", "AUD").starts_with("d/matrix.json:17:15 json-"));
    CHECK(fault_after("matrix.json", "\"rounding.csv\"", "\"../rounding.csv\"") ==
          "d/matrix.json:210:15 value-range \"../rounding.csv\" is not the name of a CSV beside "
          "the head.");
    CHECK(fault_after("rounding.csv", exported(shipped)["rounding.csv"], "") ==
          "d/rounding.csv:1:1 field-missing The file is empty.");
}

TEST_CASE("tables: a decimal comma is refused and explained") {
    CHECK(fault_after("factor-02-pattern.csv", "ribbon,1.60", "ribbon,\"1,60\"") ==
          "d/factor-02-pattern.csv:3:8 value-type Cell B3: \"1,60\" is not a number.");
    CHECK(fault_after("factor-02-pattern.csv", "ribbon,1.60", "ribbon,1,60") ==
          "d/factor-02-pattern.csv:3:18 csv-syntax Cell E3: This cell stands beyond the last "
          "heading.");
    // Without a last cell: what was high is a comment now.
    CHECK(fault_after("factor-02-pattern.csv", "ribbon,1.60,2.40,", "ribbon,1,60,2.40") ==
          "d/factor-02-pattern.csv:3:13 csv-syntax Cell D3: The comment is a number, \"2.40\".");
}

TEST_CASE("tables: what spreadsheets do to a file") {
    const Folder before = exported(shipped);
    const auto same_after = [&](auto change) {
        Folder folder = before;
        for (auto& [name, text] : folder) {
            if (name.ends_with(".csv")) {
                change(text);
            }
        }
        Diagnostics diagnostics;
        const auto back = imported(folder, diagnostics);
        for (const Diagnostic& one : diagnostics) {
            FAIL_CHECK(one.file << ": " << one.message);
        }
        CHECK(back == shipped);
    };
    SUBCASE("line feeds alone") {
        same_after([](std::string& text) { std::erase(text, '\r'); });
    }
    SUBCASE("a byte order mark") {
        same_after([](std::string& text) { text.insert(0, "\xEF\xBB\xBF"); });
    }
    SUBCASE("empty rows, empty columns, no line end") {
        same_after([](std::string& text) {
            std::string wide;
            for (const char c : text) {
                wide += c == '\r' ? ",,\r" : std::string(1, c);
            }
            text = wide + ",\r\n\r\n,";
        });
    }
    SUBCASE("every cell in quotation marks, semicolons between") {
        same_after([](std::string& text) {
            Diagnostics diagnostics;
            const auto table = io::read_csv(text, "", diagnostics);
            text.clear();
            for (const io::CsvRow& row : table->rows) {
                for (const io::CsvCell& cell : row) {
                    text += (&cell == row.data() ? "\"" : ";\"");
                    for (const char c : cell.text) {
                        text += c == '"' ? "\"\"" : std::string(1, c);
                    }
                    text += '"';
                }
                text += "\n";
            }
        });
    }
}

TEST_CASE("tables: rows and columns that were added, moved and commented in a spreadsheet") {
    Folder folder = exported(shipped);
    std::string& patterns = folder["factor-02-pattern.csv"];
    patterns += "leopard,1.2,1.7,\"new\nsee \"\"notes\"\"\"\r\n// the end,,,\r\n";
    std::string& faults = folder["factor-08-faults.csv"];
    faults += "crack,edge,0.5,0.6,,,,\r\n";
    Diagnostics diagnostics;
    const auto back = imported(folder, diagnostics);
    REQUIRE(back);
    CHECK(back->find("        \"pinfire\":         [0.60, 0.82],\n"
                     "        // new\n"
                     "        // see \"notes\"\n"
                     "        \"leopard\":         [1.2,  1.7]\n"
                     "        // the end\n") != std::string::npos);
    CHECK(without_comments(*back)["factors"][7]["values"]["crack"]["edge"] ==
          json::parse(R"({"minor": [0.5, 0.6]})"));
    CHECK(trip(*back) == *back);
}

TEST_CASE("tables: a table may stand in the head") {
    Folder folder = exported(shipped);
    std::string& head = folder["matrix.json"];
    const std::string name = "\"rounding.csv\"";
    head.replace(head.find(name), name.size(), "[{\"from\": 0, \"to_nearest\": 5}]");
    folder.erase("rounding.csv");
    Diagnostics diagnostics;
    const auto back = imported(folder, diagnostics);
    REQUIRE(back);
    CHECK(back->find("\"rounding\": [{\"from\": 0, \"to_nearest\": 5}],\n") != std::string::npos);
}

TEST_CASE("tables: what no cell can hold is refused on export") {
    Diagnostics diagnostics;
    CHECK_FALSE(io::export_matrix(shipped + "// \xFF", "m.json", diagnostics));
    REQUIRE(diagnostics.size() == 1);
    CHECK(diagnostics[0].code == Code::json_encoding);
    CHECK(diagnostics[0].file == "m.json");
    diagnostics.clear();
    json matrix = without_comments(shipped);
    matrix["factors"][1]["values"][std::string("a\0b", 3)] = 1;
    CHECK_FALSE(io::export_matrix(matrix.dump(), "m.json", diagnostics));
    CHECK(diagnostics.at(0).message ==
          "A name in factor-02-pattern.csv holds a NUL, which no cell can hold.");
}
