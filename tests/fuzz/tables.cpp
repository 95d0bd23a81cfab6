// Comma-separated values: what is read can be written and read again, and a table of prices that is
// taken into a matrix makes one that is sound and goes out to a spreadsheet and back unchanged.
#include "core/csv_field.hpp"
#include "io/csv_reader.hpp"
#include "io/matrix_reader.hpp"
#include "io/matrix_tables.hpp"
#include "support.hpp"

#include <string>

namespace {

using namespace trayworth;

constexpr std::string_view head = R"({
  "format": "trayworth/price-matrix/1",
  "name": "small",
  "invented": true,
  "currency": "AUD",
  "as_of": "2024-02-29",
  "market_level": "trade",
  "provenance": "made up",
  "coverage": 0.8,
  "brightness": {"steps": 5, "brightest": 5, "mapping_half_width": 0.5},
  "market_levels": {"trade": 1},
  "grids": [
    {
      "name": "white",
      "type": ["solid"],
      "transparency": ["transparent", "translucent", "opaque"],
      "body_tone": "fuzz",
      "brightness": "fuzz",
      "per_carat": "fuzz"
    }
  ],
  "factors": [],
  "rounding": [{"from": 0, "to_nearest": 1}]
})";

std::string written(const io::CsvTable& table) {
    std::string text;
    for (const io::CsvRow& row : table.rows) {
        for (std::size_t i = 0; i < row.size(); ++i) {
            text += (i == 0 ? "" : ",") + csv_field(row[i].text);
        }
        text += "\r\n";
    }
    return text;
}

void expect_read_again(const io::CsvTable& table) {
    if (table.rows.empty() || table.rows.front().size() < 2) {
        return; // without a comma in the first row another separator is looked for
    }
    const std::string text = written(table);
    Diagnostics diagnostics;
    const auto again = io::read_csv(text, fuzz::file_name, diagnostics);
    fuzz::expect(again.has_value(), "what was read cannot be read again", text);
    fuzz::expect(again->separator == ',', "another separator", text);
    fuzz::expect(again->rows.size() == table.rows.size(), "other rows", text);
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        fuzz::expect(again->rows[i].size() == table.rows[i].size(), "other columns", text);
        for (std::size_t k = 0; k < table.rows[i].size(); ++k) {
            fuzz::expect(again->rows[i][k].text == table.rows[i][k].text, "another cell", text);
        }
    }
}

std::string imported(const std::vector<io::NamedText>& files) {
    Diagnostics diagnostics;
    const auto matrix = io::import_matrix(
        [&files](const std::string& name) {
            for (const io::NamedText& file : files) {
                if (file.name == name) {
                    return file.text;
                }
            }
            throw io::FileError("no such file");
        },
        "", diagnostics);
    fuzz::expect(matrix.has_value(), "an exported matrix is refused",
                 diagnostics.empty() ? "" : diagnostics.front().message);
    return matrix->json;
}

void expect_round_trip(const std::string& json) {
    Diagnostics diagnostics;
    fuzz::expect(io::read_matrix(json, fuzz::file_name, diagnostics).has_value(),
                 "an imported matrix is not sound", json);
    const auto files = io::export_matrix(json, fuzz::file_name, diagnostics);
    fuzz::expect(files.has_value() || !diagnostics.empty(), "not exported, and no reason", json);
    if (files) {
        const std::string again = imported(*files);
        fuzz::expect(again == json, "the round trip changes the matrix", again);
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of(data, size);
    Diagnostics diagnostics;
    const auto table = io::read_csv(text, fuzz::file_name, diagnostics);
    fuzz::expect(table.has_value() == diagnostics.empty(), "read and refused");
    fuzz::expect_sound(diagnostics, text);
    if (table) {
        expect_read_again(*table);
    }

    Diagnostics faults;
    const auto matrix = io::import_matrix(
        [text](const std::string& name) {
            return std::string(name == io::matrix_head_name ? head : text);
        },
        "", faults);
    fuzz::expect(matrix.has_value() != has_errors(faults), "imported and refused");
    if (matrix) {
        expect_round_trip(matrix->json);
    }
    return 0;
}
