// A tray for a person at a terminal: a line a stone and an honest sum.
//
// Two forms. TrayTable has all rows before it writes the first: columns as wide as they need, bars
// on one scale, an order. The lines below it are for trays that are written as they are read:
// columns of fixed widths, 80 characters at least, no bars.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "output/text_parts.hpp"
#include "pricing/matrix.hpp"
#include "valuation/selection.hpp"
#include "valuation/total.hpp"
#include "valuation/value.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace trayworth::output {

// What a line of the table shows. Amounts in the matrix's currency, not rounded.
struct TrayRow {
    std::optional<std::string> id;
    std::string name; // of a stone that was valued
    double carats = 0;
    bool estimated = false; // the weight
    bool warned = false;
    double low = 0;
    double likely = 0;
    double high = 0;
    std::optional<std::string> refused{}; // why, where it was
    std::size_t number = 0;               // its place in the input, from 1; where it is wanted
};

TrayRow
row_of(const Stone& stone, const valuation::Valuation& valuation, const Diagnostics& warnings);
// At least one of the diagnostics is an error.
TrayRow row_of(const std::optional<std::string>& id, const Diagnostics& diagnostics);

class TrayTable {
public:
    // The matrix and the level must outlive the table.
    TrayTable(const pricing::Matrix& matrix, const pricing::Entry& level)
        : matrix_(matrix), level_(level) {}

    void add(TrayRow row) { rows_.push_back(std::move(row)); }
    [[nodiscard]] const std::vector<TrayRow>& rows() const { return rows_; }
    // A stone that was valued but not asked for.
    void leave_out() { ++left_out_; }

    // Equal rows keep the order in which they came. A refused row has neither weight nor value and
    // comes after those that have.
    void sort(valuation::Order order);

    // Heading, rows, total and what holds for all of them. No line of the table is longer than the
    // style's width. `total` is that of the rows that were valued.
    [[nodiscard]] std::string text(const std::optional<valuation::Total>& total,
                                   TextStyle style) const;

private:
    const pricing::Matrix& matrix_;
    const pricing::Entry& level_;
    std::vector<TrayRow> rows_;
    std::size_t left_out_ = 0;
};

// The sentences on the sum of a tray of which so many records were refused.
std::string
total_sentences(const valuation::Total& total, std::size_t refused, const pricing::Matrix& matrix);
// That so many records did not meet the conditions; at least one.
std::string left_out_sentence(std::size_t left_out);

// The sentences on the sum, laid out and ending in a line break.
std::string total_text(const valuation::Total& total,
                       std::size_t refused,
                       const pricing::Matrix& matrix,
                       TextStyle style);

// ---- line by line

std::string
tray_heading(const pricing::Matrix& matrix, const pricing::Entry& level, TextStyle style);
std::string tray_line(const TrayRow& row, const pricing::Matrix& matrix, TextStyle style);
std::string tray_footing(const pricing::Matrix& matrix, TextStyle style);

} // namespace trayworth::output
