// Comma-separated values: what is read can be written and read again; a table of prices that is
// taken into a matrix makes one that is sound and goes out to a spreadsheet and back unchanged; a
// row of records is read or refused in its cells, and what a sale says of a matrix is finite and
// adds up.
#include "core/csv_field.hpp"
#include "fitting/evidence.hpp"
#include "io/csv_reader.hpp"
#include "io/matrix_reader.hpp"
#include "io/matrix_tables.hpp"
#include "io/record_reader.hpp"
#include "support.hpp"
#include "valued.hpp"

#include <cmath>
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

const fitting::Numbers& numbers() {
    static const fitting::Numbers all(fuzz::demonstration());
    return all;
}

void expect_evidence(const Stone& stone, const io::Frame& frame, std::string_view text) {
    const pricing::Matrix& matrix = fuzz::demonstration();
    Diagnostics diagnostics;
    const auto sale = fitting::observe(stone, matrix, numbers(), diagnostics);
    fuzz::expect(sale.has_value() != has_errors(diagnostics), "observed and refused", frame.text);
    io::place_in_frame(diagnostics, 0, frame, fuzz::file_name);
    fuzz::expect_sound(diagnostics, text);
    if (!sale) {
        return;
    }
    fuzz::expect(std::isfinite(sale->log_ratio()), "a ratio that is no number", frame.text);
    fuzz::expect(sale->own_variance >= 0, "a negative variance", frame.text);
    double prices = 0;
    double change = 0; // if every number were e times what it is
    std::vector<double> corrections(numbers().size(), 1);
    std::vector<double> weights;
    fitting::gradient(*sale, corrections, weights);
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const fitting::Use& use = sale->uses[i];
        fuzz::expect(weights[i] >= 0 && weights[i] <= 1 + 1e-9, "a weight beyond one", frame.text);
        prices += numbers()[use.number].price ? weights[i] : 0;
        change += weights[i];
    }
    fuzz::expect(std::abs(prices - 1) < 1e-9, "prices that do not weigh one", frame.text);
    fuzz::expect(std::abs(fitting::log_change(*sale, corrections) - change) < 1e-6,
                 "a change that its weights do not add up to", frame.text);
}

void expect_records(std::string_view text) {
    fuzz::PiecewiseSource source(text);
    try {
        io::Framer framer(source, io::Form::table);
        while (const std::optional<io::Frame> frame = framer.next()) {
            Diagnostics diagnostics;
            const io::ReadRecord record =
                io::read_record(*frame, nullptr, fuzz::file_name, diagnostics);
            fuzz::expect(record.accepted == diagnostics.empty(), "accepted and refused");
            fuzz::expect_sound(diagnostics, text);
            if (!frame->broken) {
                fuzz::expect(fuzz::parsed(frame->text).is_object(), "a row that is no object",
                             frame->text);
            }
            if (record.accepted) {
                expect_evidence(record.stone, *frame, text);
            }
        }
    } catch (const io::FileError& error) {
        fuzz::expect(error.what() != std::string_view(), "refused without a sentence");
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
    expect_records(text);
    return 0;
}
