#include "output/matrix_text.hpp"

#include "output/matrix_parts.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include <fmt/color.h>
#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::size_t gap = 2;        // between columns
constexpr std::size_t block_gap = 4;  // between grids beside each other
constexpr std::size_t tone_width = 2; // "N1"
constexpr std::string_view unpriced = "-";

std::string indented(std::string_view text, std::size_t depth, TextStyle style) {
    return std::string(depth, ' ') + wrapped(text, style.width - depth, depth) + "\n";
}

// ---- grids

// Lines of one width, so that others can stand beside them.
struct Block {
    std::vector<std::string> lines;
    std::size_t width = 0;
};

std::string shaded(std::string_view text, double share, TextStyle style) {
    if (!style.colour) {
        return std::string(text);
    }
    const Shade shade = shade_of(share);
    const fmt::text_style with = fmt::bg(fmt::rgb(shade.red, shade.green, shade.blue)) |
                                 fmt::fg(fmt::rgb(shade.black_text ? 0x000000 : 0xffffff));
    return fmt::format(with, "{}", text);
}

class GridText {
public:
    GridText(const pricing::Grid& grid, TextStyle style)
        : grid_(grid), style_(style), share_(grid) {
        for (std::size_t column = 0; column < grid.brightness.size(); ++column) {
            std::size_t width = length_of(figure(grid.brightness[column]));
            for (std::size_t row = 0; row < grid.tones.size(); ++row) {
                width = std::max(width, length_of(cell_text(row, column)));
            }
            widths_.push_back(width);
        }
    }

    // As many blocks below each other as the width asks for, made one.
    [[nodiscard]] Block block() const {
        Block all;
        std::size_t column = 0;
        std::vector<Block> parts;
        while (column < widths_.size()) {
            std::size_t end = column;
            std::size_t width = indent + tone_width;
            do {
                width += gap + widths_[end++];
            } while (end < widths_.size() && width + gap + widths_[end] <= style_.width);
            parts.push_back(part(column, end, width));
            column = end;
        }
        for (const Block& one : parts) {
            all.width = std::max(all.width, one.width);
        }
        const std::string name = safe(grid_.name);
        const std::string stones = class_words(grid_.stones);
        all.width = std::max(
            all.width, std::min(style_.width, std::max(length_of(name), indent + stones.size())));
        all.lines.push_back(paint(style_, strong, fitted(name, all.width)) +
                            std::string(all.width - length_of(fitted(name, all.width)), ' '));
        all.lines.push_back(
            left(std::string(indent, ' ') + fitted(stones, all.width - indent), all.width));
        for (Block& one : parts) {
            for (std::string& line : one.lines) {
                all.lines.push_back(line + std::string(all.width - one.width, ' '));
            }
        }
        return all;
    }

private:
    [[nodiscard]] std::string cell_text(std::size_t row, std::size_t column) const {
        const std::optional<pricing::Spread>& cell = grid_.cell(row, column);
        return cell ? range_text(*cell) : std::string(unpriced);
    }

    [[nodiscard]] Block part(std::size_t from, std::size_t to, std::size_t width) const {
        Block block{{}, width};
        std::string& top = block.lines.emplace_back(indent + tone_width, ' ');
        for (std::size_t column = from; column < to; ++column) {
            top += std::string(gap, ' ') + right(figure(grid_.brightness[column]), widths_[column]);
        }
        for (std::size_t row = 0; row < grid_.tones.size(); ++row) {
            std::string& line = block.lines.emplace_back(indent, ' ');
            line += tone_name(static_cast<int>(grid_.tones[row]));
            for (std::size_t column = from; column < to; ++column) {
                const std::string text = right(cell_text(row, column), widths_[column]);
                const auto& cell = grid_.cell(row, column);
                line +=
                    std::string(gap, ' ') + (cell ? shaded(text, share_.of(*cell), style_) : text);
            }
        }
        return block;
    }

    const pricing::Grid& grid_;
    TextStyle style_;
    PriceShare share_;
    std::vector<std::size_t> widths_;
};

std::string without_blanks_behind(std::string line) {
    line.erase(line.find_last_not_of(' ') + 1);
    return line;
}

std::string beside_each_other(const std::vector<Block>& blocks, TextStyle style) {
    std::string text;
    for (std::size_t first = 0; first < blocks.size();) {
        std::size_t end = first + 1;
        std::size_t width = blocks[first].width;
        std::size_t lines = blocks[first].lines.size();
        while (end < blocks.size() && width + block_gap + blocks[end].width <= style.width) {
            width += block_gap + blocks[end].width;
            lines = std::max(lines, blocks[end++].lines.size());
        }
        text += "\n";
        for (std::size_t line = 0; line < lines; ++line) {
            std::string whole;
            for (std::size_t i = first; i < end; ++i) {
                const bool has = line < blocks[i].lines.size();
                whole += (i == first ? "" : std::string(block_gap, ' ')) +
                         (has ? blocks[i].lines[line] : std::string(blocks[i].width, ' '));
            }
            text += without_blanks_behind(std::move(whole)) + "\n";
        }
        first = end;
    }
    return text;
}

// ---- factors

// Items in columns as wide as the widest, filled line by line.
std::string in_columns(const std::vector<std::pair<std::string, std::string>>& items,
                       TextStyle style) {
    constexpr std::size_t depth = 2 * indent;
    constexpr std::size_t between = 3;
    std::size_t names = 0;
    std::size_t ranges = 0;
    for (const auto& [name, range] : items) {
        names = std::max(names, length_of(name));
        ranges = std::max(ranges, length_of(range));
    }
    names = std::min(names, style.width - depth - gap - ranges);
    const std::size_t width = names + gap + ranges;
    const std::size_t columns =
        std::max<std::size_t>(1, (style.width - depth + between) / (width + between));
    std::string text;
    for (std::size_t i = 0; i < items.size(); ++i) {
        const bool begins = i % columns == 0;
        const bool ends = i + 1 == items.size() || (i + 1) % columns == 0;
        std::string item = left(fitted(items[i].first, names), names + gap) + items[i].second;
        text += (begins ? std::string(depth, ' ') : std::string(between, ' ')) +
                (ends ? item + "\n" : left(item, width));
    }
    return text;
}

std::vector<std::pair<std::string, std::string>>
entries_in_words(const std::vector<pricing::Entry>& entries) {
    std::vector<std::pair<std::string, std::string>> items;
    items.reserve(entries.size());
    for (const pricing::Entry& entry : entries) {
        items.emplace_back(safe(entry.name), range_text(entry.spread));
    }
    return items;
}

// Kinds and places down, severities across; lists where they would not fit.
class FaultTable {
public:
    FaultTable(const pricing::Faults& faults, TextStyle style) : faults_(faults), style_(style) {
        for (const pricing::FaultKind& kind : faults.kinds) {
            kinds_ = std::max(kinds_, length_of(safe(kind.name)));
            for (const pricing::FaultPlace& place : kind.places) {
                places_ = std::max(places_, length_of(safe(place.name)));
                for (const pricing::Entry& severity : place.severities) {
                    take(severity);
                }
            }
        }
    }

    [[nodiscard]] std::string text() const {
        std::size_t width = 2 * indent + kinds_ + gap + places_;
        for (const auto& column : columns_) {
            width += gap + column.second;
        }
        return width <= style_.width ? table() : lists();
    }

private:
    void take(const pricing::Entry& severity) {
        auto column = std::find_if(columns_.begin(), columns_.end(),
                                   [&](const auto& known) { return known.first == severity.name; });
        if (column == columns_.end()) {
            column =
                columns_.insert(columns_.end(), {severity.name, length_of(safe(severity.name))});
        }
        column->second = std::max(column->second, length_of(range_text(severity.spread)));
    }

    [[nodiscard]] std::string table() const {
        std::string text(2 * indent + kinds_ + gap + places_, ' ');
        for (const auto& [name, width] : columns_) {
            text += std::string(gap, ' ') + left(safe(name), width);
        }
        text = without_blanks_behind(std::move(text)) + "\n";
        for (const pricing::FaultKind& kind : faults_.kinds) {
            std::string name = safe(kind.name);
            for (const pricing::FaultPlace& place : kind.places) {
                std::string line = std::string(2 * indent, ' ') +
                                   left(std::exchange(name, {}), kinds_ + gap) +
                                   left(safe(place.name), places_);
                for (const auto& [severity, width] : columns_) {
                    const pricing::Entry* entry = pricing::find(place.severities, severity);
                    line += std::string(gap, ' ') +
                            left(entry == nullptr ? "" : range_text(entry->spread), width);
                }
                text += without_blanks_behind(std::move(line)) + "\n";
            }
        }
        return text;
    }

    [[nodiscard]] std::string lists() const {
        std::string text;
        for (const pricing::FaultKind& kind : faults_.kinds) {
            for (const pricing::FaultPlace& place : kind.places) {
                std::string line = fmt::format("{}, {}:", safe(kind.name), safe(place.name));
                for (const pricing::Entry& severity : place.severities) {
                    line +=
                        fmt::format(" {} {};", safe(severity.name), range_text(severity.spread));
                }
                line.pop_back();
                text += indented(line, 2 * indent, style_);
            }
        }
        return text;
    }

    const pricing::Faults& faults_;
    TextStyle style_;
    std::size_t kinds_ = 0;
    std::size_t places_ = 0;
    std::vector<std::pair<std::string, std::size_t>> columns_; // severities and their widths
};

std::string factor_text(const pricing::Factor& factor, TextStyle style) {
    const std::string stones = class_words(factor.stones);
    std::string text =
        "\n" + indented(fmt::format("{}: {}{}; {}", factor.name, rule_words(factor),
                                    stones == "all" ? "" : "; for " + stones, absent_words(factor)),
                        indent, style);
    if (const auto* faults = std::get_if<pricing::Faults>(&factor.rule)) {
        return text + FaultTable(*faults, style).text();
    }
    std::vector<std::pair<std::string, std::string>> items;
    for (const FactorItem& item : items_of(factor)) {
        items.emplace_back(safe(item.keys.front()), range_text(item.spread));
    }
    return text + in_columns(items, style);
}

std::string rounding_words(const pricing::Matrix& matrix) {
    std::string text;
    for (const pricing::RoundingStep& step : matrix.rounding) {
        text += fmt::format("{}from {} to the nearest {}", text.empty() ? "" : ", ",
                            figure(step.from), figure(step.to_nearest));
    }
    return text + ".";
}

std::string list_price_words(const pricing::Matrix& matrix) {
    std::string text;
    for (const pricing::ListStep& step : matrix.list_prices) {
        text += fmt::format("{}from {} to the nearest {}", text.empty() ? "" : ", ",
                            grouped(step.from, true), grouped(step.to_nearest, true));
        if (step.ending.minor > 0) {
            text += fmt::format(" plus {}", grouped(step.ending, true));
        }
    }
    return text + ".";
}

std::string common_words(const pricing::Matrix& matrix) {
    std::string text;
    for (std::size_t i = 0; i < matrix.common.size(); ++i) {
        std::string name(pricing::input_kind_names[i]);
        std::replace(name.begin(), name.end(), '_', ' ');
        text += fmt::format("{}{} {}", i == 0 ? "" : ", ", name, matrix.common[i]);
    }
    return text + ".";
}

} // namespace

std::string matrix_text(const pricing::Matrix& matrix, TextStyle style) {
    std::string text = paint(style, strong, fitted(matrix.name, style.width)) + "\n";
    text += indented(head_words(matrix), indent, style);
    text += indented(matrix.provenance, indent, style);
    text +=
        heading(style, fitted("Prices per carat: body tone down, brightness across", style.width));
    std::vector<Block> blocks;
    for (const pricing::Grid& grid : matrix.grids) {
        blocks.push_back(GridText(grid, style).block());
    }
    text += beside_each_other(blocks, style);
    text += heading(style, fitted("Market levels, as multiples of these prices", style.width));
    text += in_columns(entries_in_words(matrix.market_levels), style);
    text += heading(style, fitted("Factors, in the order in which they apply", style.width));
    for (const pricing::Factor& factor : matrix.factors) {
        text += factor_text(factor, style);
    }
    text += heading(style, fitted("Rounded for display", style.width));
    text += indented(rounding_words(matrix), 2 * indent, style);
    if (!matrix.list_prices.empty()) {
        text += heading(style, fitted("Prices at which stones are offered", style.width));
        text += indented(list_price_words(matrix), 2 * indent, style);
    }
    text += heading(style, fitted("What stones of one tray have in common, 0 to 1", style.width));
    text += indented(common_words(matrix), 2 * indent, style);
    if (!matrix.accepted.empty()) {
        text += heading(style, fitted("Accepted warnings", style.width));
        for (const pricing::Acceptance& accepted : matrix.accepted) {
            text += indented(
                fmt::format("{} at {}: {}", name_of(accepted.code), accepted.at, accepted.reason),
                2 * indent, style);
        }
    }
    return text + caution_lines(cautions(matrix), style);
}

} // namespace trayworth::output
