// Records as a table of comma-separated values: a row each, as a spreadsheet keeps a ledger.
//
// The first row names the fields by their places in the record, as JSON Pointers (RFC 6901) with or
// without the first slash: "id", "brightness/grade", "play_of_colour/colours/0/share",
// "sale/price"; one that is no field is a fault of the table. A cell that is a number, true, false,
// null, or begins with [ or { is that JSON; any other, and every cell of id, notes and cost/note,
// is a text; an empty one states nothing.
#pragma once

#include "core/diagnostic.hpp"
#include "io/csv_reader.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace trayworth::io {

class RecordTable {
public:
    // Nothing when the text is no such table; its faults, bounds::errors at most, are then put in
    // `diagnostics`, which are empty before, with their places.
    static std::optional<RecordTable> read(std::string text, Diagnostics& diagnostics);

    [[nodiscard]] std::size_t size() const { return table_.rows.size() - 1; }
    // The record of a row, from 0, as JSON.
    [[nodiscard]] std::string record(std::size_t row) const;
    // Places diagnostics about the record of a row in its cells, by their pointers.
    void place(std::span<Diagnostic> diagnostics, std::size_t row) const;

private:
    explicit RecordTable(std::string text) : text_(std::move(text)) {}
    void read_head(Diagnostics& diagnostics);
    void report_nameless(Diagnostics& diagnostics) const;
    void fault(Diagnostics& diagnostics,
               const CsvCell& cell,
               Code code,
               std::string message,
               std::string hint) const;

    std::string text_;
    CsvTable table_;
    std::vector<std::string> pointers_; // of the columns, with the first slash; empty: no name
};

} // namespace trayworth::io
