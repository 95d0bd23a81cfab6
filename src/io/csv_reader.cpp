// RFC 4180, section 2; the grammar of numbers: RFC 8259, section 6.
#include "io/csv_reader.hpp"

#include "core/utf8.hpp"
#include "io/bytes.hpp"
#include "io/locate.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

struct CsvFault {
    Code code = Code::csv_syntax;
    std::size_t offset = 0;
    std::string message;
    std::string hint;
};

constexpr bool ends_row(char c) {
    return c == '\n' || c == '\r';
}

char separator_of(std::string_view text) {
    bool quoted = false;
    std::array<bool, 3> seen{};
    constexpr std::string_view candidates = ",;\t";
    for (const char c : text) {
        if (c == '"') {
            quoted = !quoted; // a doubled one turns twice
        } else if (!quoted && ends_row(c)) {
            break;
        } else if (const std::size_t i = candidates.find(c); !quoted && i < candidates.size()) {
            seen[i] = true;
        }
    }
    const auto first = std::find(seen.begin(), seen.end(), true);
    return first == seen.end() ? ',' : candidates[static_cast<std::size_t>(first - seen.begin())];
}

class Reader {
public:
    Reader(std::string_view text, const CsvLimits& limits) : text_(text), limits_(limits) {}

    std::optional<CsvFault> read(CsvTable& table) {
        if (text_.size() > limits_.bytes) {
            return too_large(fmt::format("The file has {} bytes, and {} at most are read.",
                                         text_.size(), limits_.bytes),
                             0);
        }
        if (const std::optional<std::size_t> bad = first_bad_byte(text_)) {
            return CsvFault{Code::csv_encoding, *bad, "A byte here is not UTF-8.",
                            "Save the file as CSV in UTF-8 (Unicode)."};
        }
        at_ = text_.starts_with(byte_order_mark) ? byte_order_mark.size() : 0;
        table.separator = separator_of(text_.substr(at_));
        while (at_ < text_.size()) {
            if (table.rows.size() == limits_.rows) {
                return too_large(fmt::format("More than {} rows.", limits_.rows), at_);
            }
            table.rows.emplace_back();
            if (std::optional<CsvFault> fault = read_row(table.rows.back(), table.separator)) {
                return fault;
            }
        }
        return std::nullopt;
    }

private:
    static CsvFault too_large(std::string message, std::size_t offset) {
        return {Code::csv_too_large, offset, std::move(message),
                "Keep to one table in a file, or split it."};
    }

    [[nodiscard]] bool at_end_of_cell(char separator) const {
        return at_ >= text_.size() || text_[at_] == separator || ends_row(text_[at_]);
    }

    std::optional<CsvFault> read_row(CsvRow& row, char separator) {
        for (;;) {
            if (row.size() == limits_.columns) {
                return too_large(fmt::format("More than {} cells in a row.", limits_.columns), at_);
            }
            row.push_back({{}, at_});
            const bool quoted = at_ < text_.size() && text_[at_] == '"';
            std::optional<CsvFault> fault =
                quoted ? read_quoted(row.back(), separator) : read_plain(row.back(), separator);
            if (fault) {
                return fault;
            }
            if (at_ >= text_.size() || text_[at_] != separator) {
                break;
            }
            ++at_;
        }
        if (text_.substr(at_, 2) == "\r\n") {
            at_ += 2;
        } else if (at_ < text_.size()) {
            ++at_;
        }
        return std::nullopt;
    }

    std::optional<CsvFault> read_plain(CsvCell& cell, char separator) {
        const std::array<char, 4> stops{separator, '\n', '\r', '"'};
        const std::size_t end = std::min(
            text_.find_first_of(std::string_view(stops.data(), stops.size()), at_), text_.size());
        if (end < text_.size() && text_[end] == '"') {
            return CsvFault{Code::csv_syntax, end, "A quotation mark stands inside a cell.",
                            "Write the cell between quotation marks, and each one in it twice."};
        }
        return take(cell, end);
    }

    std::optional<CsvFault> read_quoted(CsvCell& cell, char separator) {
        const std::size_t open = at_++;
        for (;;) {
            const std::size_t quote = text_.find('"', at_);
            if (quote == std::string_view::npos) {
                return CsvFault{
                    Code::csv_syntax, open, "The quotation mark here is never closed.",
                    "Close it where the cell ends, and write each one within it twice."};
            }
            if (std::optional<CsvFault> fault = take(cell, quote)) {
                return fault;
            }
            ++at_;
            if (at_ < text_.size() && text_[at_] == '"') {
                cell.text += '"';
                ++at_;
            } else {
                break;
            }
        }
        if (!at_end_of_cell(separator)) {
            return CsvFault{
                Code::csv_syntax, at_, "Text follows the closing quotation mark.",
                "Put the whole cell between the marks, and write each one in it twice."};
        }
        return std::nullopt;
    }

    std::optional<CsvFault> take(CsvCell& cell, std::size_t end) {
        if (cell.text.size() + (end - at_) > limits_.cell_bytes) {
            return too_large(fmt::format("A cell has more than {} bytes.", limits_.cell_bytes),
                             cell.offset);
        }
        cell.text += text_.substr(at_, end - at_);
        at_ = end;
        return std::nullopt;
    }

    std::string_view text_;
    const CsvLimits& limits_;
    std::size_t at_ = 0;
};

// Takes the digits off the front of the text and says whether there were any.
bool skip_digits(std::string_view& text) {
    const auto end = std::find_if_not(text.begin(), text.end(), is_digit);
    const auto count = static_cast<std::size_t>(end - text.begin());
    text.remove_prefix(count);
    return count > 0;
}

bool is_json_number(std::string_view text) {
    if (text.starts_with('-')) {
        text.remove_prefix(1);
    }
    const bool leading_zero = text.size() > 1 && text[0] == '0' && is_digit(text[1]);
    if (leading_zero || !skip_digits(text)) {
        return false;
    }
    if (text.starts_with('.')) {
        text.remove_prefix(1);
        if (!skip_digits(text)) {
            return false;
        }
    }
    if (text.starts_with('e') || text.starts_with('E')) {
        text.remove_prefix(1);
        if (text.starts_with('+') || text.starts_with('-')) {
            text.remove_prefix(1);
        }
        if (!skip_digits(text)) {
            return false;
        }
    }
    return text.empty();
}

// Digits, one comma, digits: "1,5", which some countries write for 1.5.
bool has_decimal_comma(std::string_view text) {
    const std::size_t comma = text.find(',');
    return comma != std::string_view::npos && comma > 0 && comma + 1 < text.size() &&
           std::all_of(text.begin(), text.end(), [](char c) { return is_digit(c) || c == ','; }) &&
           text.find(',', comma + 1) == std::string_view::npos;
}

} // namespace

std::optional<CsvTable> read_csv(std::string_view text,
                                 const std::string& file,
                                 Diagnostics& diagnostics,
                                 const CsvLimits& limits) {
    CsvTable table;
    if (std::optional<CsvFault> fault = Reader(text, limits).read(table)) {
        diagnostics.push_back(
            {fault->code, Severity::error, "", std::move(fault->message), std::move(fault->hint)});
        place(diagnostics.back(), {text}, fault->offset);
        diagnostics.back().file = file;
        return std::nullopt;
    }
    return table;
}

CsvNumber csv_number(std::string_view cell) {
    const std::string_view text = trimmed(cell);
    if (is_json_number(text)) {
        return {std::string(text), {}, {}};
    }
    CsvNumber none{{}, fmt::format("\"{}\" is not a number.", text), {}};
    if (text.empty()) {
        none.message = "A number is missing.";
        none.hint = "Write it with digits and a decimal point.";
    } else if (has_decimal_comma(text)) {
        const std::size_t comma = text.find(',');
        none.hint = fmt::format("A comma is never read as a decimal point or a thousand: write "
                                "{}.{} or {}{}, whichever is meant.",
                                text.substr(0, comma), text.substr(comma + 1),
                                text.substr(0, comma), text.substr(comma + 1));
    } else if (text.find_first_of(",' ") != std::string_view::npos) {
        none.hint = "Write the digits without anything between them, and a decimal point.";
    } else if (text.starts_with('.') || text.starts_with("-.")) {
        none.hint = "Write a digit in front of the decimal point, as in 0.5.";
    } else {
        none.hint = "Write digits and a decimal point alone: no currency, no per cent, no unit.";
    }
    return none;
}

std::string cell_name(std::size_t row, std::size_t column) {
    constexpr std::size_t letters = 26;
    std::string name;
    for (std::size_t left = column + 1; left > 0; left = (left - 1) / letters) {
        name.insert(name.begin(), static_cast<char>('A' + (left - 1) % letters));
    }
    return name + std::to_string(row + 1);
}

} // namespace trayworth::io
