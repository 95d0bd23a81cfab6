// Reads comma-separated values as RFC 4180 has them, and as spreadsheets save them: rows end with
// CR LF, LF or CR; a byte order mark is passed over; where the first row holds no comma outside
// quotes, a semicolon or else a tab in it is taken for the separator. UTF-8.
#pragma once

#include "core/bounds.hpp"
#include "core/diagnostic.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::io {

struct CsvCell {
    std::string text;       // quotes taken off
    std::size_t offset = 0; // of its first byte in the file, a quote where there is one
};

using CsvRow = std::vector<CsvCell>; // never empty: a line with nothing on it is one empty cell

struct CsvTable {
    std::vector<CsvRow> rows; // as many cells in each as are there
    char separator = ',';
};

struct CsvLimits {
    std::size_t bytes = bounds::csv_bytes; // of the file
    std::size_t rows = bounds::csv_rows;
    std::size_t columns = bounds::csv_columns;
    std::size_t cell_bytes = bounds::csv_cell_bytes;
};

// Nothing when the text is no CSV or beyond the limits; the first fault is then appended to
// `diagnostics`, placed in `file`.
std::optional<CsvTable> read_csv(std::string_view text,
                                 const std::string& file,
                                 Diagnostics& diagnostics,
                                 const CsvLimits& limits = {});

// A number as JSON writes it, its text unchanged but for blanks around it; or why the cell holds
// none: a decimal comma, grouped thousands, a currency or per cent sign, ...
struct CsvNumber {
    std::string text; // empty where there is none
    std::string message;
    std::string hint;
};
CsvNumber csv_number(std::string_view cell);

// "B7": column and row as spreadsheets name them, both counted from 0 here.
std::string cell_name(std::size_t row, std::size_t column);

} // namespace trayworth::io
