#include "io/record_table.hpp"

#include "core/bounds.hpp"
#include "io/bytes.hpp"
#include "io/locate.hpp"
#include "io/record_reader.hpp"
#include "io/written_json.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <map>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

constexpr std::array<std::string_view, 3> texts{"/id", "/notes", "/cost/note"};
constexpr std::size_t most_index_digits = 2; // lists of a record have 100 entries at most

bool is_within(std::string_view pointer, std::string_view outer) {
    return pointer.starts_with(outer) &&
           (pointer.size() == outer.size() || pointer[outer.size()] == '/');
}

bool is_index(std::string_view token) {
    return !token.empty() && token.find_first_not_of("0123456789") == std::string_view::npos;
}

// What is wrong with a pointer as a column's name, or nothing.
std::string_view fault_of(std::string_view pointer) {
    if (!pointer.empty() && !is_pointer(pointer)) {
        return "has a ~ in it that is followed by neither 0 nor 1";
    }
    for (std::size_t at = 0; at < pointer.size();) {
        const std::size_t end = std::min(pointer.find('/', at + 1), pointer.size());
        const std::string_view token = pointer.substr(at + 1, end - at - 1);
        if (token.empty()) {
            return "has an empty name in it";
        }
        if (is_index(token) &&
            (token.size() > most_index_digits || (token.size() > 1 && token[0] == '0'))) {
            return "has an entry beyond those that a list of a record may have";
        }
        if (at == 0 && is_index(token)) {
            return "is a number, and no field of a record is";
        }
        at = end;
    }
    return {};
}

// What stands at each place of a record, by the columns so far: a cell, a list or an object.
class Places {
public:
    // The column that has the place, or needs something else there; nothing where it is free, and
    // then it is taken.
    std::optional<std::size_t> taken_by(const std::string& pointer, std::size_t column) {
        if (pointer.empty()) {
            return std::nullopt; // a column without a name
        }
        for (std::size_t at = 0; at < pointer.size();) {
            const std::size_t end = std::min(pointer.find('/', at + 1), pointer.size());
            const bool index = is_index(std::string_view(pointer).substr(at + 1, end - at - 1));
            const Kind kind = index ? Kind::list : Kind::object;
            const auto [place, is_new] = places_.try_emplace(pointer.substr(0, at), kind, column);
            if (!is_new && place->second.first != kind) {
                return place->second.second;
            }
            at = end;
        }
        const auto [place, is_new] = places_.try_emplace(pointer, Kind::cell, column);
        return is_new ? std::nullopt : std::optional(place->second.second);
    }

private:
    enum class Kind : std::uint8_t { cell, list, object };
    std::map<std::string, std::pair<Kind, std::size_t>> places_;
};

// What a record that states this one field is told where there is no such field.
std::optional<Diagnostic> unknown_field(const std::string& pointer) {
    if (pointer.empty()) {
        return std::nullopt;
    }
    WrittenJson record = WrittenJson::object();
    record[WrittenJson::json_pointer(pointer)] = nullptr;
    const std::string text = text_of(record);
    Frame frame;
    frame.text = text;
    Diagnostics found;
    read_record(frame, nullptr, "", found);
    const auto unknown = std::find_if(found.begin(), found.end(), [](const Diagnostic& one) {
        return one.code == Code::field_unknown;
    });
    return unknown == found.end() ? std::nullopt : std::optional(std::move(*unknown));
}

bool is_json(std::string_view cell, std::string_view pointer) {
    if (std::find(texts.begin(), texts.end(), pointer) != texts.end()) {
        return false;
    }
    if (cell.front() == '[' || cell.front() == '{') {
        return WrittenJson::accept(cell); // what is not is a text, and found fault with as one
    }
    return cell == "true" || cell == "false" || cell == "null" || !csv_number(cell).text.empty();
}

// Where a cell was to be a number and is nearly one, what has to go from it.
void mend_hint(Diagnostic& diagnostic, std::string_view cell) {
    const bool begun = cell.find_first_of("0123456789") == 0;
    if (diagnostic.code == Code::value_type && begun) {
        if (CsvNumber number = csv_number(cell); number.text.empty()) {
            diagnostic.hint = std::move(number.hint);
        }
    }
}

} // namespace

std::optional<RecordTable> RecordTable::read(std::string text, Diagnostics& diagnostics) {
    RecordTable found(std::move(text));
    std::optional<CsvTable> table = read_csv(found.text_, "", diagnostics);
    if (!table) {
        return std::nullopt;
    }
    found.table_ = std::move(*table);
    if (found.table_.rows.size() < 2) {
        found.fault(diagnostics, found.table_.rows.empty() ? CsvCell{} : found.table_.rows[0][0],
                    Code::csv_syntax, "The table has no records.",
                    "Name the fields in the first row, and write a record in each row below.");
        return std::nullopt;
    }
    found.read_head(diagnostics);
    found.report_nameless(diagnostics);
    return diagnostics.empty() ? std::optional(std::move(found)) : std::nullopt;
}

void RecordTable::fault(Diagnostics& diagnostics,
                        const CsvCell& cell,
                        Code code,
                        std::string message,
                        std::string hint) const {
    if (diagnostics.size() < bounds::errors) {
        report(diagnostics, code, "", std::move(message), std::move(hint));
    } else if (diagnostics.size() == bounds::errors) {
        report(diagnostics, Code::errors_too_many, "", errors_too_many(), "Correct these first.");
    } else {
        return;
    }
    io::place(diagnostics.back(), {text_}, cell.offset);
}

void RecordTable::read_head(Diagnostics& diagnostics) {
    Places places;
    for (const CsvCell& cell : table_.rows.front()) {
        const std::string_view name = trimmed(cell.text);
        const bool slash = name.empty() || name.front() == '/';
        const std::string pointer = (slash ? "" : "/") + std::string(name);
        if (const std::string_view wrong = fault_of(pointer); !wrong.empty()) {
            fault(diagnostics, cell, Code::field_unknown,
                  fmt::format("The column \"{}\" {}.", name, wrong),
                  "Name a field by its place in the record, as brightness/grade.");
        } else if (const std::optional<std::size_t> other =
                       places.taken_by(pointer, pointers_.size())) {
            fault(diagnostics, cell, Code::json_key_repeated,
                  fmt::format("The columns \"{}\" and \"{}\" are for the same field.",
                              pointers_[*other].substr(1), name),
                  "Keep one of them.");
        } else if (std::optional<Diagnostic> unknown = unknown_field(pointer)) {
            fault(diagnostics, cell, Code::field_unknown, std::move(unknown->message),
                  std::move(unknown->hint));
        }
        pointers_.push_back(pointer);
    }
}

// What stands in no column must not be lost.
void RecordTable::report_nameless(Diagnostics& diagnostics) const {
    for (std::size_t row = 1; row < table_.rows.size(); ++row) {
        const CsvRow& cells = table_.rows[row];
        for (std::size_t i = 0; i < cells.size(); ++i) {
            const bool named = i < pointers_.size() && !pointers_[i].empty();
            if (!named && !trimmed(cells[i].text).empty()) {
                fault(diagnostics, cells[i], Code::field_unknown,
                      fmt::format("The cell {} stands in a column without a name.",
                                  cell_name(row, i)),
                      "Name the column by a field of the record, or empty the cell.");
            }
        }
    }
}

std::string RecordTable::record(std::size_t row) const {
    const CsvRow& cells = table_.rows[row + 1];
    WrittenJson record = WrittenJson::object();
    for (std::size_t i = 0; i < std::min(cells.size(), pointers_.size()); ++i) {
        const std::string_view cell = trimmed(cells[i].text);
        if (!cell.empty() && !pointers_[i].empty()) {
            record[WrittenJson::json_pointer(pointers_[i])] =
                is_json(cell, pointers_[i]) ? read_written(cell) : WrittenJson(std::string(cell));
        }
    }
    return text_of(record);
}

void RecordTable::place(std::span<Diagnostic> diagnostics, std::size_t row) const {
    const CsvRow& cells = table_.rows[row + 1];
    const std::size_t columns = std::min(cells.size(), pointers_.size());
    for (Diagnostic& diagnostic : diagnostics) {
        // The cell that holds the field, else the first of those inside it, else the row.
        std::optional<std::size_t> holds;
        std::optional<std::size_t> inside;
        for (std::size_t i = 0; i < columns; ++i) {
            if (!pointers_[i].empty() && is_within(diagnostic.pointer, pointers_[i])) {
                holds = holds.value_or(i);
            } else if (!pointers_[i].empty() && is_within(pointers_[i], diagnostic.pointer)) {
                inside = inside.value_or(i);
            }
        }
        if (holds && pointers_[*holds] == diagnostic.pointer) {
            mend_hint(diagnostic, trimmed(cells[*holds].text));
        }
        io::place(diagnostic, {text_}, cells[holds.value_or(inside.value_or(0))].offset);
    }
}

} // namespace trayworth::io
