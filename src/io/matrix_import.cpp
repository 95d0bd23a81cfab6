#include "core/bounds.hpp"
#include "core/decimal.hpp"
#include "core/nearest.hpp"
#include "io/bytes.hpp"
#include "io/commented_json.hpp"
#include "io/csv_reader.hpp"
#include "io/document.hpp"
#include "io/locate.hpp"
#include "io/matrix_reader.hpp"
#include "io/matrix_tables.hpp"
#include "io/table_cells.hpp"

#include <algorithm>
#include <cstddef>
#include <map>
#include <memory>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

struct ReadSheet {
    std::string path;
    std::string text;
    CsvTable table;

    [[nodiscard]] std::string_view cell(std::size_t row, std::size_t column) const {
        const CsvRow& cells = table.rows[row];
        return column < cells.size() ? std::string_view(cells[column].text) : std::string_view{};
    }
};

struct Cell {
    const ReadSheet* sheet = nullptr;
    std::size_t row = 0;
    std::size_t column = 0;
};

bool is_blank(std::string_view text) {
    return text.find_first_not_of(" \t\r\n") == std::string_view::npos;
}

// Which column holds what, by the first row.
struct Columns {
    struct Pair {
        std::string name; // what stands in front of "low" and "high"
        std::size_t low = 0;
        std::size_t high = 0;
    };
    std::vector<std::size_t> named; // in the order asked for
    std::vector<Pair> pairs;
    std::optional<std::size_t> comment;
};

enum class Pairs : bool { none, some };
enum class Unpriced : bool { refused, allowed };

JsonNode scalar(std::string text) {
    JsonNode node;
    node.text = std::move(text);
    return node;
}

JsonNode container(JsonNode::Kind kind, JsonNode::Layout layout) {
    JsonNode node;
    node.kind = kind;
    node.layout = layout;
    node.over_lines = true;
    return node;
}

class Importer {
public:
    Importer(const std::function<std::string(const std::string&)>& read,
             std::string folder,
             Diagnostics& diagnostics)
        : read_(read), folder_(std::move(folder)), diagnostics_(diagnostics),
          before_(diagnostics.size()) {}

    std::optional<ImportedMatrix> run() {
        head_ = read_(std::string(matrix_head_name));
        files_.emplace_back(matrix_head_name);
        const bool is_sound =
            read_document("matrix", head_, folder_ + std::string(matrix_head_name), diagnostics_,
                          [](const auto&, std::string_view) {});
        if (!is_sound) {
            return std::nullopt;
        }
        JsonDocument document = read_commented(head_);
        put_tables(document.root);
        if (diagnostics_.size() > before_) {
            return std::nullopt;
        }
        std::string json = write_commented(document);
        if (!read_matrix(json, "", diagnostics_)) {
            for (std::size_t i = before_; i < diagnostics_.size(); ++i) {
                place_in_folder(diagnostics_[i]);
            }
            return std::nullopt;
        }
        return ImportedMatrix{std::move(json), std::move(files_)};
    }

private:
    // ---- what is wrong, and where

    // Whether an error is told: no more than bounds::errors are.
    bool is_told() {
        if (diagnostics_.size() - before_ < bounds::errors) {
            return true;
        }
        if (!std::exchange(full_, true)) {
            report(diagnostics_, Code::errors_too_many, "", errors_too_many(),
                   "Correct these first.");
            diagnostics_.back().file = folder_ + std::string(matrix_head_name);
        }
        return false;
    }

    static void place_at(Diagnostic& diagnostic, const Cell& cell) {
        const CsvRow& row = cell.sheet->table.rows[cell.row];
        const std::size_t known = std::min(cell.column, row.size() - 1);
        diagnostic.message =
            fmt::format("Cell {}: {}", cell_name(cell.row, cell.column), diagnostic.message);
        diagnostic.file = cell.sheet->path;
        place(diagnostic, {cell.sheet->text}, row[known].offset);
    }

    void error(Code code, const Cell& cell, std::string message, std::string hint) {
        if (is_told()) {
            report(diagnostics_, code, "", std::move(message), std::move(hint));
            place_at(diagnostics_.back(), cell);
        }
    }

    // About what stands in the head.
    void
    error_in_head(Code code, const std::string& pointer, std::string message, std::string hint) {
        if (is_told()) {
            report(diagnostics_, code, pointer, std::move(message), std::move(hint));
            place_in_head(diagnostics_.back());
        }
    }

    void place_in_head(Diagnostic& diagnostic) {
        diagnostic.file = folder_ + std::string(matrix_head_name);
        const std::vector<Wanted> wanted{{diagnostic.pointer, diagnostic.target}};
        place(diagnostic, {head_}, locate(head_, wanted, Comments::allowed).front());
    }

    // A fault of the whole matrix: at the cell that the value came from, or in the head.
    void place_in_folder(Diagnostic& diagnostic) {
        std::string_view pointer = diagnostic.pointer;
        for (;;) {
            if (const auto found = cells_.find(std::string(pointer)); found != cells_.end()) {
                place_at(diagnostic, found->second);
                return;
            }
            if (pointer.empty()) {
                place_in_head(diagnostic);
                return;
            }
            pointer = pointer.substr(0, pointer.rfind('/'));
        }
    }

    void came_from(const std::string& pointer, const Cell& cell) { cells_[pointer] = cell; }

    // ---- the head

    void put_tables(JsonNode& root) {
        if (JsonNode* levels = root.find("market_levels")) {
            put(*levels, "/market_levels", &Importer::entries);
        }
        if (JsonNode* grids = root.find("grids")) {
            for (std::size_t i = 0; i < grids->children.size(); ++i) {
                const std::string pointer = fmt::format("/grids/{}", i);
                JsonNode& grid = grids->children[i];
                put_member(grid, pointer, "body_tone", &Importer::tones);
                put_member(grid, pointer, "brightness", &Importer::brightness);
                put_member(grid, pointer, "per_carat", &Importer::prices);
            }
        }
        if (JsonNode* factors = root.find("factors")) {
            for (std::size_t i = 0; i < factors->children.size(); ++i) {
                const std::string pointer = fmt::format("/factors/{}", i);
                JsonNode& factor = factors->children[i];
                const JsonNode* kind = factor.find("kind");
                const bool faults = kind != nullptr && kind->text == "\"fault\"";
                put_member(factor, pointer, "values",
                           faults ? &Importer::faults : &Importer::entries);
                put_member(factor, pointer, "points", &Importer::curve);
            }
        }
        if (JsonNode* steps = root.find("rounding")) {
            put(*steps, "/rounding", &Importer::rounding);
        }
    }

    using Reading = JsonNode (Importer::*)(const ReadSheet&, const std::string& pointer);

    void put_member(JsonNode& object,
                    const std::string& pointer,
                    std::string_view name,
                    Reading reading) {
        if (JsonNode* member = object.find(name)) {
            put(*member, fmt::format("{}/{}", pointer, name), reading);
        }
    }

    // Puts the table in the place of its file's name. A table that stands in the head stays.
    void put(JsonNode& node, const std::string& pointer, Reading reading) {
        if (node.kind != JsonNode::Kind::scalar || !node.text.starts_with('"')) {
            return;
        }
        const ReadSheet* sheet = sheet_named(unquoted(node.text), pointer);
        if (sheet == nullptr) {
            return;
        }
        put_ += sheet->text.size();
        if (put_ > bounds::csv_bytes) {
            error_in_head(Code::csv_too_large, pointer,
                          fmt::format("The tables that are named up to here have more than {} "
                                      "bytes together.",
                                      grouped(bounds::csv_bytes)),
                          "Is it the right folder?");
            return;
        }
        came_from(pointer, {sheet, 0, 0});
        JsonNode table = (this->*reading)(*sheet, pointer);
        table.key = std::move(node.key);
        table.above = std::move(node.above);
        table.beside = std::move(node.beside);
        node = std::move(table);
    }

    const ReadSheet* sheet_named(const std::string& name, const std::string& pointer) {
        const bool plain = name.ends_with(".csv") && !name.starts_with('.') &&
                           name.find_first_of(std::string_view("/\\\0", 3)) == std::string::npos;
        if (!plain) {
            error_in_head(Code::value_range, pointer,
                          fmt::format("\"{}\" is not the name of a CSV beside the head.", name),
                          "Write a file's name that ends in .csv, without a folder.");
            return nullptr;
        }
        const auto [found, is_new] = sheets_.try_emplace(name);
        std::unique_ptr<ReadSheet>& sheet = found->second;
        if (is_new) {
            files_.push_back(name);
            auto made = std::make_unique<ReadSheet>();
            made->path = folder_ + name;
            made->text = read_(name);
            if (auto table = read_csv(made->text, made->path, diagnostics_)) {
                made->table = std::move(*table);
                for (CsvRow& row : made->table.rows) {
                    for (CsvCell& cell : row) {
                        cell.text = plain_semicolons(cell.text);
                    }
                }
                sheet = std::move(made);
                if (!has_rows(*sheet)) {
                    sheet = nullptr;
                }
            }
        }
        return sheet.get(); // nothing when it was refused before
    }

    bool has_rows(const ReadSheet& sheet) {
        if (!sheet.table.rows.empty()) {
            return true;
        }
        diagnostics_.push_back({Code::field_missing, Severity::error, "", "The file is empty.",
                                "Give it the row of headings at least."});
        diagnostics_.back().file = sheet.path;
        place(diagnostics_.back(), {sheet.text}, 0);
        return false;
    }

    // ---- rows and columns

    std::optional<Columns>
    columns_of(const ReadSheet& sheet, const std::vector<std::string_view>& wanted, Pairs pairs) {
        Columns columns;
        const std::size_t before = diagnostics_.size();
        constexpr auto absent = static_cast<std::size_t>(-1);
        columns.named.assign(wanted.size(), absent);
        for (std::size_t i = 0; i < sheet.table.rows[0].size(); ++i) {
            const std::string heading = name_in(sheet.cell(0, i));
            const auto found = std::find(wanted.begin(), wanted.end(), trimmed(heading));
            if (found != wanted.end()) {
                columns.named[static_cast<std::size_t>(found - wanted.begin())] = i;
            } else if (trimmed(heading) == comment_heading) {
                columns.comment = i;
            } else if (pairs == Pairs::none || !take_pair(heading, i, columns.pairs)) {
                unknown_heading(sheet, i, wanted, pairs);
            }
        }
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            if (columns.named[i] == absent) {
                error(Code::field_missing, {&sheet, 0, 0},
                      fmt::format("No column is headed \"{}\".", wanted[i]), "Add it.");
            }
        }
        for (const Columns::Pair& pair : columns.pairs) {
            if (pair.low == absent || pair.high == absent) {
                error(Code::field_missing, {&sheet, 0, pair.low == absent ? pair.high : pair.low},
                      fmt::format("\"{0}\" has no column \"{0} {1}\".", pair.name,
                                  pair.low == absent ? low_heading : high_heading),
                      "Add it; leave it empty where there is one number.");
            }
        }
        return diagnostics_.size() > before ? std::nullopt : std::optional(std::move(columns));
    }

    static bool
    take_pair(std::string_view heading, std::size_t column, std::vector<Columns::Pair>& pairs) {
        const std::size_t blank = heading.rfind(' ');
        const std::string_view end =
            blank == std::string_view::npos ? std::string_view{} : heading.substr(blank + 1);
        if (end != low_heading && end != high_heading) {
            return false;
        }
        const std::string_view name = heading.substr(0, blank);
        auto pair = std::find_if(pairs.begin(), pairs.end(),
                                 [name](const Columns::Pair& other) { return other.name == name; });
        constexpr auto absent = static_cast<std::size_t>(-1);
        if (pair == pairs.end()) {
            pairs.push_back({std::string(name), absent, absent});
            pair = std::prev(pairs.end());
        }
        std::size_t& place = end == low_heading ? pair->low : pair->high;
        if (place != absent) {
            return false;
        }
        place = column;
        return true;
    }

    void unknown_heading(const ReadSheet& sheet,
                         std::size_t column,
                         const std::vector<std::string_view>& wanted,
                         Pairs pairs) {
        const std::string_view heading = sheet.cell(0, column);
        if (is_blank(heading)) {
            for (std::size_t row = 1; row < sheet.table.rows.size(); ++row) {
                if (!is_blank(sheet.cell(row, column))) {
                    error(Code::csv_syntax, {&sheet, row, column}, "This column has no heading.",
                          "Write one in the first row, or empty the column.");
                    return;
                }
            }
            return;
        }
        const std::optional<std::string_view> near = nearest(heading, wanted);
        error(Code::field_unknown, {&sheet, 0, column},
              fmt::format("\"{}\" is no heading here, or stands twice.", heading),
              near ? fmt::format("Did you mean \"{}\"?", *near)
              : pairs == Pairs::some
                  ? "Known here: names that end in \" low\" and \" high\", and "
                    "\"comment\"."
                  : fmt::format("Known here: {}, comment.", fmt::join(wanted, ", ")));
    }

    // Calls `take(row, above, behind)` for each row that is neither empty nor a comment, and
    // returns the comments below the last.
    template<class Take>
    Remarks each_row(const ReadSheet& sheet, const Columns& columns, Take take) {
        Remarks above;
        for (std::size_t row = 1; row < sheet.table.rows.size(); ++row) {
            const CsvRow& cells = sheet.table.rows[row];
            const auto filled = std::find_if(cells.begin(), cells.end(), [](const CsvCell& cell) {
                return !is_blank(cell.text);
            });
            if (filled == cells.end()) {
                continue;
            }
            if (opens_comment(cells.front().text)) {
                take_comment_row(sheet, row, above);
                continue;
            }
            check_width(sheet, row, columns);
            Remarks behind =
                columns.comment ? comments_in(sheet.cell(row, *columns.comment)) : Remarks{};
            if (behind.size() > 1) {
                std::move(behind.begin(), behind.end(), std::back_inserter(above));
                behind.clear();
            }
            take(row, std::exchange(above, {}), std::move(behind));
        }
        return above;
    }

    // What a decimal comma does to a row must not pass for another price.
    void check_width(const ReadSheet& sheet, std::size_t row, const Columns& columns) {
        const std::size_t headings = sheet.table.rows[0].size();
        const std::string hint = "A decimal comma splits a number in two: write a decimal point.";
        if (sheet.table.rows[row].size() > headings) {
            error(Code::csv_syntax, {&sheet, row, headings},
                  "This cell stands beyond the last heading.",
                  hint + " Or give the column a heading.");
        } else if (columns.comment && !csv_number(sheet.cell(row, *columns.comment)).text.empty()) {
            error(
                Code::csv_syntax, {&sheet, row, *columns.comment},
                fmt::format("The comment is a number, \"{}\".", sheet.cell(row, *columns.comment)),
                hint + " A comment that is one begins with an apostrophe.");
        }
    }

    void take_comment_row(const ReadSheet& sheet, std::size_t row, Remarks& above) {
        const CsvRow& cells = sheet.table.rows[row];
        for (std::size_t i = 1; i < cells.size(); ++i) {
            if (!is_blank(cells[i].text)) {
                error(Code::value_unknown, {&sheet, row, i},
                      "The row is a comment, by its first cell, and holds something else here.",
                      "Empty the cell, or put the comment in the last column.");
            }
        }
        Remarks comments = comments_in(cells.front().text);
        std::move(comments.begin(), comments.end(), std::back_inserter(above));
    }

    std::string number(const Cell& cell) {
        CsvNumber found = csv_number(cell.sheet->cell(cell.row, cell.column));
        if (found.text.empty()) {
            error(Code::value_type, cell, std::move(found.message), std::move(found.hint));
        }
        return std::move(found.text);
    }

    // Low and high of one price or factor.
    JsonNode spread(const ReadSheet& sheet,
                    std::size_t row,
                    std::size_t low,
                    std::size_t high,
                    const std::string& pointer,
                    Unpriced unpriced = Unpriced::refused) {
        const bool has_low = !is_blank(sheet.cell(row, low));
        const bool has_high = !is_blank(sheet.cell(row, high));
        came_from(pointer, {&sheet, row, low});
        if (!has_low && !has_high && unpriced == Unpriced::allowed) {
            return scalar("null");
        }
        if (!has_low) {
            error(Code::field_missing, {&sheet, row, low}, "The low end is missing.",
                  has_high ? "Write it here; one number alone belongs here too."
                           : "Write it, or take the row out.");
            return scalar("null");
        }
        std::string lowest = number({&sheet, row, low});
        if (!has_high) {
            return scalar(std::move(lowest));
        }
        came_from(pointer + "/1", {&sheet, row, high});
        JsonNode pair;
        pair.kind = JsonNode::Kind::array;
        pair.children = {scalar(std::move(lowest)), scalar(number({&sheet, row, high}))};
        return pair;
    }

    // A name that stands for one row only.
    bool
    is_first(std::map<std::string, std::size_t>& rows, const std::string& name, const Cell& cell) {
        const auto [first, is_new] = rows.try_emplace(name, cell.row);
        if (!is_new) {
            error(Code::json_key_repeated, cell,
                  fmt::format("\"{}\" stands in row {} already.", name, first->second + 1),
                  "Keep the right one and remove the other.");
        }
        return is_new;
    }

    // ---- the tables

    JsonNode entries(const ReadSheet& sheet, const std::string& pointer) {
        JsonNode table = container(JsonNode::Kind::object, JsonNode::Layout::aligned);
        const auto columns =
            columns_of(sheet, {name_heading, low_heading, high_heading}, Pairs::none);
        if (!columns) {
            return table;
        }
        std::map<std::string, std::size_t> rows;
        table.at_end =
            each_row(sheet, *columns, [&](std::size_t row, Remarks above, Remarks behind) {
                const Cell cell{&sheet, row, columns->named[0]};
                const std::optional<std::string> name = name_at(cell);
                if (!name || !is_first(rows, *name, cell)) {
                    return;
                }
                JsonNode entry = spread(sheet, row, columns->named[1], columns->named[2],
                                        pointer + "/" + pointer_token(*name));
                entry.key = json_string(*name);
                entry.above = std::move(above);
                entry.beside = std::move(behind);
                table.children.push_back(std::move(entry));
            });
        return table;
    }

    std::optional<std::string> name_at(const Cell& cell) {
        const std::string_view text = cell.sheet->cell(cell.row, cell.column);
        if (is_blank(text)) {
            error(Code::field_missing, cell, "The name is missing.",
                  "Write it, or take the row out.");
            return std::nullopt;
        }
        return name_in(text);
    }

    JsonNode tones(const ReadSheet& sheet, const std::string& pointer) {
        return axis_and_cells(sheet, pointer).tones;
    }
    JsonNode brightness(const ReadSheet& sheet, const std::string& pointer) {
        return axis_and_cells(sheet, pointer).brightness;
    }
    JsonNode prices(const ReadSheet& sheet, const std::string& pointer) {
        return axis_and_cells(sheet, pointer).prices;
    }

    struct GridParts {
        JsonNode tones;
        JsonNode brightness;
        JsonNode prices;
    };

    // One member of a grid, by the pointer to it, with what lies beside it in the sheet.
    const GridParts& axis_and_cells(const ReadSheet& sheet, const std::string& pointer) {
        const std::string grid = pointer.substr(0, pointer.rfind('/'));
        const auto [found, is_new] = grids_.try_emplace({&sheet, grid});
        if (is_new) {
            found->second = read_grid(sheet, grid);
        }
        return found->second;
    }

    GridParts read_grid(const ReadSheet& sheet, const std::string& grid) {
        GridParts parts;
        parts.tones.kind = JsonNode::Kind::array;
        parts.brightness.kind = JsonNode::Kind::array;
        parts.prices = container(JsonNode::Kind::array, JsonNode::Layout::cells);
        const auto columns = columns_of(sheet, {tone_heading}, Pairs::some);
        if (!columns) {
            return parts;
        }
        for (std::size_t i = 0; i < columns->pairs.size(); ++i) {
            const Cell cell{&sheet, 0, columns->pairs[i].low};
            CsvNumber grade = csv_number(columns->pairs[i].name);
            if (grade.text.empty()) {
                error(Code::value_type, cell, std::move(grade.message),
                      "Head the columns of a brightness with its grade, as in \"3 low\" and "
                      "\"3 high\".");
            }
            came_from(fmt::format("{}/brightness/{}", grid, i), cell);
            parts.brightness.children.push_back(scalar(std::move(grade.text)));
        }
        parts.prices.at_end =
            each_row(sheet, *columns, [&](std::size_t row, Remarks above, Remarks behind) {
                const std::size_t index = parts.prices.children.size();
                const Cell cell{&sheet, row, columns->named[0]};
                came_from(fmt::format("{}/body_tone/{}", grid, index), cell);
                const std::string pointer = fmt::format("{}/per_carat/{}", grid, index);
                came_from(pointer, cell);
                parts.tones.children.push_back(
                    scalar(json_string(name_at(cell).value_or(std::string()))));
                JsonNode prices;
                prices.kind = JsonNode::Kind::array;
                prices.above = std::move(above);
                prices.beside = std::move(behind);
                for (std::size_t i = 0; i < columns->pairs.size(); ++i) {
                    prices.children.push_back(
                        spread(sheet, row, columns->pairs[i].low, columns->pairs[i].high,
                               fmt::format("{}/{}", pointer, i), Unpriced::allowed));
                }
                parts.prices.children.push_back(std::move(prices));
            });
        return parts;
    }

    JsonNode curve(const ReadSheet& sheet, const std::string& pointer) {
        JsonNode table = container(JsonNode::Kind::array, JsonNode::Layout::aligned);
        const auto columns =
            columns_of(sheet, {at_heading, low_heading, high_heading}, Pairs::none);
        if (!columns) {
            return table;
        }
        table.at_end =
            each_row(sheet, *columns, [&](std::size_t row, Remarks above, Remarks behind) {
                const std::string point = fmt::format("{}/{}", pointer, table.children.size());
                const Cell cell{&sheet, row, columns->named[0]};
                came_from(point, cell);
                JsonNode at = scalar(number(cell));
                at.key = json_string("at");
                JsonNode factor =
                    spread(sheet, row, columns->named[1], columns->named[2], point + "/factor");
                factor.key = json_string("factor");
                table.children.push_back(
                    row_of(std::move(at), std::move(factor), std::move(above), std::move(behind)));
            });
        return table;
    }

    static JsonNode row_of(JsonNode first, JsonNode second, Remarks above, Remarks behind) {
        JsonNode row;
        row.kind = JsonNode::Kind::object;
        row.children = {std::move(first), std::move(second)};
        row.above = std::move(above);
        row.beside = std::move(behind);
        return row;
    }

    JsonNode faults(const ReadSheet& sheet, const std::string& pointer) {
        JsonNode table = container(JsonNode::Kind::object, JsonNode::Layout::plain);
        const auto columns = columns_of(sheet, {kind_heading, place_heading}, Pairs::some);
        if (!columns) {
            return table;
        }
        std::map<std::string, std::size_t> rows;
        std::map<std::string, std::size_t> kinds; // among the children of the table
        table.at_end =
            each_row(sheet, *columns, [&](std::size_t row, Remarks above, Remarks behind) {
                const Cell place_cell{&sheet, row, columns->named[1]};
                const std::optional<std::string> kind = name_at({&sheet, row, columns->named[0]});
                const std::optional<std::string> place = name_at(place_cell);
                if (!kind || !place) {
                    return;
                }
                const std::string at =
                    fmt::format("{}/{}/{}", pointer, pointer_token(*kind), pointer_token(*place));
                if (!is_first(rows, at, place_cell)) {
                    return;
                }
                came_from(at, place_cell);
                const auto [found, is_new] = kinds.try_emplace(*kind, table.children.size());
                if (is_new) {
                    table.children.push_back(
                        container(JsonNode::Kind::object, JsonNode::Layout::aligned));
                    table.children.back().key = json_string(*kind);
                    table.children.back().above = std::exchange(above, {});
                }
                JsonNode severities;
                severities.kind = JsonNode::Kind::object;
                severities.key = json_string(*place);
                severities.above = std::move(above);
                severities.beside = std::move(behind);
                for (const Columns::Pair& pair : columns->pairs) {
                    if (is_blank(sheet.cell(row, pair.low)) &&
                        is_blank(sheet.cell(row, pair.high))) {
                        continue;
                    }
                    JsonNode factor = spread(sheet, row, pair.low, pair.high,
                                             at + "/" + pointer_token(pair.name));
                    factor.key = json_string(pair.name);
                    severities.children.push_back(std::move(factor));
                }
                table.children[found->second].children.push_back(std::move(severities));
            });
        return table;
    }

    JsonNode rounding(const ReadSheet& sheet, const std::string& pointer) {
        JsonNode table = container(JsonNode::Kind::array, JsonNode::Layout::aligned);
        const auto columns = columns_of(sheet, {from_heading, to_nearest_heading}, Pairs::none);
        if (!columns) {
            return table;
        }
        table.at_end =
            each_row(sheet, *columns, [&](std::size_t row, Remarks above, Remarks behind) {
                const std::string step = fmt::format("{}/{}", pointer, table.children.size());
                std::vector<JsonNode> numbers;
                for (std::size_t i = 0; i < 2; ++i) {
                    const Cell cell{&sheet, row, columns->named[i]};
                    const std::string_view name = i == 0 ? from_heading : to_nearest_heading;
                    came_from(fmt::format("{}/{}", step, name), cell);
                    numbers.push_back(scalar(number(cell)));
                    numbers.back().key = json_string(name);
                }
                came_from(step, {&sheet, row, columns->named[0]});
                table.children.push_back(row_of(std::move(numbers[0]), std::move(numbers[1]),
                                                std::move(above), std::move(behind)));
            });
        return table;
    }

    const std::function<std::string(const std::string&)>& read_;
    std::string folder_;
    Diagnostics& diagnostics_;
    std::size_t before_;
    bool full_ = false;   // there are more errors than are told
    std::size_t put_ = 0; // bytes of the tables, each as often as it is named
    std::string head_;
    std::vector<std::string> files_;
    std::map<std::string, std::unique_ptr<ReadSheet>> sheets_;
    std::map<std::pair<const ReadSheet*, std::string>, GridParts> grids_;
    std::map<std::string, Cell> cells_; // by pointer into the matrix
};

} // namespace

std::optional<ImportedMatrix>
import_matrix(const std::function<std::string(const std::string& name)>& read,
              const std::string& folder,
              Diagnostics& diagnostics) {
    return Importer(read, folder, diagnostics).run();
}

} // namespace trayworth::io
