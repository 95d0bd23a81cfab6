#include "output/diagnostic_text.hpp"

#include "output/safe_text.hpp"
#include "output/text_parts.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// A character of a source line as a terminal may show it.
struct Cell {
    std::string text;
    std::size_t columns = 1;
};

std::vector<Cell> cells_of(std::string_view text) {
    std::string line(text);
    std::replace(line.begin(), line.end(), '\t', ' ');
    std::vector<Cell> cells;
    for (const char c : safe(line)) {
        const bool continues = (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
        if (!continues || cells.empty()) {
            cells.emplace_back();
        }
        cells.back().text += c;
    }
    for (Cell& cell : cells) {
        cell.columns = width_of(cell.text);
    }
    return cells;
}

std::size_t columns_of(const std::vector<Cell>& cells) {
    return std::accumulate(cells.begin(), cells.end(), std::size_t{0},
                           [](std::size_t sum, const Cell& cell) { return sum + cell.columns; });
}

// As much of the cells as `room` columns hold, from the front; an ellipsis where they are cut.
std::string front_of(const std::vector<Cell>& cells, std::size_t room) {
    const bool cut = columns_of(cells) > room;
    std::string text;
    std::size_t used = cut ? 1 : 0;
    for (const Cell& cell : cells) {
        if (used + cell.columns > room) {
            break;
        }
        used += cell.columns;
        text += cell.text;
    }
    return text.append(cut ? ellipsis : "");
}

struct Back {
    std::string text;
    std::size_t columns = 0;
};

// The same from the back.
Back back_of(const std::vector<Cell>& cells, std::size_t room) {
    const bool cut = columns_of(cells) > room;
    std::size_t used = cut ? 1 : 0;
    auto from = cells.end();
    while (from != cells.begin() && used + std::prev(from)->columns <= room) {
        used += (--from)->columns;
    }
    Back back{std::string(cut ? ellipsis : ""), used};
    std::for_each(from, cells.end(), [&back](const Cell& cell) { back.text += cell.text; });
    return back;
}

// The source line, cut around the caret to the width of the page, and the caret below it.
std::string source_lines(const Diagnostic& diagnostic, TextStyle style) {
    const std::string number = fmt::format("{}", diagnostic.position->line);
    const std::size_t room = style.width - indent - number.size() - 3; // " | "
    const std::string_view line = diagnostic.source_line;
    const std::vector<Cell> before = cells_of(line.substr(0, diagnostic.caret));
    const std::vector<Cell> behind = cells_of(line.substr(diagnostic.caret));
    // What stands behind has half of the line, or what the other half leaves.
    const std::size_t half = room / 2;
    const std::size_t behind_columns = columns_of(behind);
    const std::size_t room_before = room - std::min(behind_columns, half);
    const Back shown = back_of(before, room_before);
    return fmt::format("  {} | {}{}\n  {:{}} | {:{}}{}\n", number, shown.text,
                       front_of(behind, room - shown.columns), "", number.size(), "", shown.columns,
                       paint(style, alarm, "^"));
}

} // namespace

std::string diagnostic_text(const Diagnostic& diagnostic, TextStyle style) {
    const bool error = diagnostic.severity == Severity::error;
    std::string text = safe(diagnostic.file);
    if (diagnostic.position) {
        text += fmt::format(":{}:{}", diagnostic.position->line, diagnostic.position->column);
    }
    text += fmt::format(
        "{}{} {} [{}]\n", text.empty() ? "" : ": ",
        paint(style, error ? alarm : notice, fmt::format("{}:", name_of(diagnostic.severity))),
        safe(diagnostic.message), name_of(diagnostic.code));
    if (!diagnostic.pointer.empty()) {
        text += fmt::format("  at {}\n", safe(diagnostic.pointer));
    }
    if (style.source_lines && diagnostic.position && !diagnostic.source_line.empty()) {
        text += source_lines(diagnostic, style);
    }
    if (!diagnostic.hint.empty()) {
        text += "  " + wrapped(diagnostic.hint, style.width - indent, indent) + "\n";
    }
    return text;
}

std::string diagnostic_texts(const Diagnostics& diagnostics, TextStyle style) {
    std::string text;
    for (const Diagnostic& diagnostic : diagnostics) {
        text += diagnostic_text(diagnostic, style);
    }
    return text;
}

} // namespace trayworth::output
