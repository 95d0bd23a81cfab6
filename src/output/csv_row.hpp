// One row of comma-separated values, as csv.hpp says what is safe in it.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace trayworth::output {

// Filled column by column.
class CsvRow {
public:
    // Of the program's own making: a number, a word.
    CsvRow& own(std::string_view field);
    // From a record or a matrix.
    CsvRow& text(std::string_view field);
    CsvRow& empty(std::size_t fields);

    [[nodiscard]] std::size_t filled() const { return filled_; }
    // Ended by CR LF.
    [[nodiscard]] std::string line() const { return row_ + "\r\n"; }

private:
    std::string row_;
    std::size_t filled_ = 0;
};

} // namespace trayworth::output
