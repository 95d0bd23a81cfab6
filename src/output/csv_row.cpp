#include "output/csv_row.hpp"

#include "core/csv_field.hpp"
#include "output/safe_text.hpp"

namespace trayworth::output {
namespace {

// An apostrophe where a cell would begin with a formula: in front, and after a semicolon, which
// parts the cells where a comma is the decimal sign.
std::string without_formulas(std::string_view text) {
    std::string result(opens_formula(text) ? "'" : "");
    for (std::size_t i = 0; i < text.size(); ++i) {
        result += text[i];
        if (text[i] == ';' && opens_formula(text.substr(i + 1))) {
            result += '\'';
        }
    }
    return result;
}

} // namespace

CsvRow& CsvRow::own(std::string_view field) {
    row_ += filled_ == 0 ? "" : ",";
    row_ += csv_field(field);
    ++filled_;
    return *this;
}

CsvRow& CsvRow::text(std::string_view field) {
    return own(without_formulas(safe(field)));
}

CsvRow& CsvRow::empty(std::size_t fields) {
    for (std::size_t i = 0; i < fields; ++i) {
        own("");
    }
    return *this;
}

} // namespace trayworth::output
