#include "core/bounds.hpp"
#include "core/csv_field.hpp"
#include "core/decimal.hpp"
#include "core/utf8.hpp"
#include "io/commented_json.hpp"
#include "io/locate.hpp"
#include "io/matrix_tables.hpp"
#include "io/table_cells.hpp"

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

// "solid, opaque (black)" as "solid-opaque-black".
std::string as_file_name(std::string_view name) {
    constexpr std::size_t longest = 40;
    std::string result;
    for (const char c : name) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte < 0x80 && std::isalnum(byte) != 0) {
            result += static_cast<char>(std::tolower(byte));
        } else if (!result.empty() && result.back() != '-') {
            result += '-';
        }
        if (result.size() == longest) {
            break;
        }
    }
    while (result.ends_with('-')) {
        result.pop_back();
    }
    return result;
}

using Cells = std::vector<std::string>;

class Sheet {
public:
    explicit Sheet(Cells headings) : columns_(headings.size()) { add(std::move(headings)); }

    // Nothing once there is more than is read back.
    void add(Cells cells) {
        if (is_too_large()) {
            return;
        }
        cells.resize(columns_);
        for (std::size_t i = 0; i < cells.size(); ++i) {
            text_ += (i == 0 ? "" : ",") + csv_field(guarded_semicolons(cells[i]));
        }
        text_ += "\r\n";
    }
    // The comments above the row, then the row with the one behind it.
    void add_row(Cells cells, JsonNode& of) {
        Remarks behind = take_inner_comments(of);
        std::move(of.beside.begin(), of.beside.end(), std::back_inserter(behind));
        add_comments(of.above);
        const bool fits = behind.size() == 1 && behind.front().find('\n') == std::string::npos;
        if (!fits) {
            add_comments(behind);
        }
        cells.resize(columns_);
        cells.back() = fits ? comment_cell(behind.front()) : "";
        add(std::move(cells));
    }
    void add_comments(const Remarks& comments) {
        for (const std::string& comment : comments) {
            if (!comment.empty()) {
                add({comment});
            }
        }
    }
    [[nodiscard]] std::string& text() { return text_; }
    [[nodiscard]] bool is_too_large() const {
        return columns_ > bounds::csv_columns || text_.size() > bounds::csv_bytes;
    }

private:
    std::size_t columns_;
    std::string text_;
};

std::string headed(std::string_view what, std::string_view end) {
    return fmt::format("{} {}", what, end);
}

// Low and high of a cell, a factor or null.
void append_spread(Cells& cells, const JsonNode& spread) {
    if (spread.kind == JsonNode::Kind::array) {
        cells.push_back(spread.children[0].text);
        cells.push_back(spread.children[1].text);
    } else {
        cells.push_back(spread.text == "null" ? "" : spread.text);
        cells.emplace_back();
    }
}

std::string number_in(const JsonNode& node) {
    return node.text;
}

class Exporter {
public:
    explicit Exporter(JsonDocument document) : document_(std::move(document)) {}

    // Names of tables that cannot be read back.
    [[nodiscard]] const std::vector<std::string>& too_large() const { return too_large_; }

    std::vector<NamedText> run() {
        JsonNode& root = document_.root;
        if (JsonNode* levels = root.find("market_levels")) {
            entries(*levels, "market-levels.csv");
        }
        std::vector<JsonNode>& grids = root.find("grids")->children;
        for (std::size_t i = 0; i < grids.size(); ++i) {
            grid(grids[i], file_name("grid", i, grids.size(), grids[i]));
        }
        std::vector<JsonNode>& factors = root.find("factors")->children;
        for (std::size_t i = 0; i < factors.size(); ++i) {
            factor(factors[i], file_name("factor", i, factors.size(), factors[i]));
        }
        if (JsonNode* steps = root.find("rounding")) {
            rounding(*steps);
        }
        files_.insert(files_.begin(), {std::string(matrix_head_name), write_commented(document_)});
        return std::move(files_);
    }

private:
    static std::string
    file_name(std::string_view what, std::size_t i, std::size_t count, const JsonNode& node) {
        const std::size_t digits = std::to_string(count).size();
        const std::string name = as_file_name(unquoted(node.find("name")->text));
        return fmt::format("{}-{:0{}}{}{}.csv", what, i + 1, digits, name.empty() ? "" : "-", name);
    }

    // Leaves the file's name where the table was.
    void move_out(JsonNode& table, const std::string& file, Sheet& sheet) {
        sheet.add_comments(table.at_end);
        if (sheet.is_too_large()) {
            too_large_.push_back(file);
        }
        leave_name(table, file);
        files_.push_back({file, std::move(sheet.text())});
    }
    static void leave_name(JsonNode& table, const std::string& file) {
        table.kind = JsonNode::Kind::scalar;
        table.text = json_string(file);
        table.children.clear();
        table.at_end.clear();
    }

    void entries(JsonNode& table, const std::string& file) {
        Sheet sheet({std::string(name_heading), std::string(low_heading), std::string(high_heading),
                     std::string(comment_heading)});
        for (JsonNode& entry : table.children) {
            Cells cells{name_cell(unquoted(entry.key))};
            append_spread(cells, entry);
            sheet.add_row(std::move(cells), entry);
        }
        move_out(table, file, sheet);
    }

    void grid(JsonNode& node, const std::string& file) {
        JsonNode& tones = *node.find("body_tone");
        JsonNode& brightness = *node.find("brightness");
        JsonNode& table = *node.find("per_carat");
        Cells headings{std::string(tone_heading)};
        for (const JsonNode& grade : brightness.children) {
            headings.push_back(headed(number_in(grade), low_heading));
            headings.push_back(headed(number_in(grade), high_heading));
        }
        headings.emplace_back(comment_heading);
        Sheet sheet(std::move(headings));
        for (std::size_t i = 0; i < table.children.size(); ++i) {
            JsonNode& row = table.children[i];
            Cells cells{name_cell(unquoted(tones.children[i].text))};
            for (const JsonNode& cell : row.children) {
                append_spread(cells, cell);
            }
            sheet.add_row(std::move(cells), row);
        }
        move_out(table, file, sheet);
        for (JsonNode* axis : {&tones, &brightness}) {
            Remarks inner = take_inner_comments(*axis);
            std::move(inner.begin(), inner.end(), std::back_inserter(axis->above));
            leave_name(*axis, file);
        }
    }

    void factor(JsonNode& node, const std::string& file) {
        if (JsonNode* points = node.find("points")) {
            curve(*points, file);
        } else if (unquoted(node.find("kind")->text) == "fault") {
            faults(*node.find("values"), file);
        } else {
            entries(*node.find("values"), file);
        }
    }

    void curve(JsonNode& table, const std::string& file) {
        Sheet sheet({std::string(at_heading), std::string(low_heading), std::string(high_heading),
                     std::string(comment_heading)});
        for (JsonNode& point : table.children) {
            Cells cells{number_in(*point.find("at"))};
            append_spread(cells, *point.find("factor"));
            sheet.add_row(std::move(cells), point);
        }
        move_out(table, file, sheet);
    }

    // A row for each place of each kind, a pair of columns for each severity that there is.
    void faults(JsonNode& table, const std::string& file) {
        std::vector<std::string> severities;
        std::set<std::string> known;
        for (const JsonNode& kind : table.children) {
            for (const JsonNode& place : kind.children) {
                for (const JsonNode& severity : place.children) {
                    std::string name = unquoted(severity.key);
                    if (known.insert(name).second) {
                        severities.push_back(std::move(name));
                    }
                }
            }
        }
        Cells headings{std::string(kind_heading), std::string(place_heading)};
        for (const std::string& severity : severities) {
            headings.push_back(name_cell(headed(severity, low_heading)));
            headings.push_back(name_cell(headed(severity, high_heading)));
        }
        headings.emplace_back(comment_heading);
        Sheet sheet(std::move(headings));
        for (JsonNode& kind : table.children) {
            sheet.add_comments(kind.above);
            sheet.add_comments(kind.beside);
            sheet.add_comments(kind.at_end);
            for (JsonNode& place : kind.children) {
                if (sheet.is_too_large()) {
                    break; // a row has as many cells as all rows have severities
                }
                Cells cells{name_cell(unquoted(kind.key)), name_cell(unquoted(place.key))};
                std::map<std::string, const JsonNode*> priced;
                for (const JsonNode& severity : place.children) {
                    priced[unquoted(severity.key)] = &severity;
                }
                for (const std::string& severity : severities) {
                    const auto spread = priced.find(severity);
                    append_spread(cells,
                                  spread == priced.end() ? nothing_priced() : *spread->second);
                }
                sheet.add_row(std::move(cells), place);
            }
        }
        move_out(table, file, sheet);
    }

    static const JsonNode& nothing_priced() {
        static const JsonNode null = [] {
            JsonNode node;
            node.text = "null";
            return node;
        }();
        return null;
    }

    void rounding(JsonNode& table) {
        Sheet sheet({std::string(from_heading), std::string(to_nearest_heading),
                     std::string(comment_heading)});
        for (JsonNode& row : table.children) {
            sheet.add_row({number_in(*row.find("from")), number_in(*row.find("to_nearest"))}, row);
        }
        move_out(table, "rounding.csv", sheet);
    }

    JsonDocument document_;
    std::vector<NamedText> files_;
    std::vector<std::string> too_large_;
};

} // namespace

std::optional<std::vector<NamedText>>
export_matrix(std::string_view json, const std::string& file, Diagnostics& diagnostics) {
    const auto refuse = [&](Code code, std::size_t offset, std::string message, std::string hint) {
        diagnostics.push_back({code, Severity::error, "", std::move(message), std::move(hint)});
        place(diagnostics.back(), {json}, offset);
        diagnostics.back().file = file;
    };
    if (const std::optional<std::size_t> bad = first_bad_byte(json)) {
        refuse(Code::json_encoding, *bad, "A byte here is not UTF-8.", "Save the file as UTF-8.");
        return std::nullopt;
    }
    Exporter exporter(read_commented(json));
    std::vector<NamedText> files = exporter.run();
    if (!exporter.too_large().empty()) {
        refuse(Code::csv_too_large, 0,
               fmt::format("{} would have more than {} bytes or {} columns.",
                           exporter.too_large().front(), grouped(bounds::csv_bytes),
                           grouped(bounds::csv_columns)),
               "Write the prices in the matrix itself.");
        return std::nullopt;
    }
    for (const NamedText& one : files) {
        if (one.text.find('\0') != std::string::npos) {
            refuse(Code::value_unknown, 0,
                   fmt::format("A name in {} holds a NUL, which no cell can hold.", one.name),
                   "Take out the \\u0000.");
            return std::nullopt;
        }
    }
    return files;
}

} // namespace trayworth::io
