#include "output/matrix_html.hpp"

#include "output/html_page.hpp"
#include "output/html_style.hpp"
#include "output/html_text.hpp"
#include "output/matrix_parts.hpp"
#include "output/statement.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::string_view en_dash = "\xE2\x80\x93";

// ---- grids

constexpr int cell_width = 68;
constexpr int cell_height = 42;
constexpr int map_left = 34;
constexpr int map_top = 24;

std::string colour_of(const Shade& shade) {
    return fmt::format("#{:02x}{:02x}{:02x}", shade.red, shade.green, shade.blue);
}

std::string cell_svg(const std::optional<pricing::Spread>& cell, double share, int x, int y) {
    constexpr int inset = 1;
    constexpr int width = cell_width - 2 * inset;
    constexpr int height = cell_height - 2 * inset;
    if (!cell) {
        return fmt::format("<rect class=\"none\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n",
                           x + inset, y + inset, width, height);
    }
    constexpr int first_line = 18;
    constexpr int second_line = 34;
    constexpr int only_line = 26;
    const Shade shade = shade_of(share);
    const int middle = x + cell_width / 2;
    const auto line = [&](int below, std::string_view front, double number) {
        return fmt::format("<text x=\"{}\" y=\"{}\" fill=\"{}\">{}{}</text>", middle, y + below,
                           shade.black_text ? "#000" : "#fff", front, figure(number));
    };
    const std::string numbers =
        cell->log_half == 0 ? line(only_line, "", cell->low())
                            : line(first_line, "", cell->low()) +
                                  line(second_line, std::string(en_dash) + " ", cell->high());
    return fmt::format(
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"3\" fill=\"{}\"/>{}\n", x + inset,
        y + inset, width, height, colour_of(shade), numbers);
}

std::string heat_map(const pricing::Grid& grid, std::size_t number) {
    const PriceShare share(grid);
    const auto columns = static_cast<int>(grid.brightness.size());
    const auto rows = static_cast<int>(grid.tones.size());
    const int width = map_left + columns * cell_width;
    const int height = map_top + rows * cell_height;
    std::string svg = fmt::format(
        "<svg class=\"map\" role=\"img\" aria-labelledby=\"map-{0}\" viewBox=\"0 0 {1} {2}\" "
        "style=\"min-width:{3}px;max-width:{4}px\">\n<title id=\"map-{0}\">{5}: price per carat, "
        "body tone down, "
        "brightness across; the figures stand in the table below</title>\n",
        number, width, height, width * 4 / 5, width * 5 / 4, escaped(grid.name));
    for (int column = 0; column < columns; ++column) {
        svg += fmt::format("<text class=\"axis\" x=\"{}\" y=\"16\">{}</text>",
                           map_left + column * cell_width + cell_width / 2,
                           figure(grid.brightness[static_cast<std::size_t>(column)]));
    }
    svg += "\n";
    for (int row = 0; row < rows; ++row) {
        const int y = map_top + row * cell_height;
        svg += fmt::format("<text class=\"axis\" x=\"{}\" y=\"{}\">{}</text>\n", map_left / 2,
                           y + cell_height / 2 + 5,
                           tone_name(static_cast<int>(grid.tones[static_cast<std::size_t>(row)])));
        for (int column = 0; column < columns; ++column) {
            const auto& cell =
                grid.cell(static_cast<std::size_t>(row), static_cast<std::size_t>(column));
            svg += cell_svg(cell, cell ? share.of(*cell) : 0, map_left + column * cell_width, y);
        }
    }
    return svg + "</svg>\n";
}

std::string grid_table(const pricing::Grid& grid) {
    std::string text = "<details><summary>As a table</summary>\n<div class=\"wide\" "
                       "tabindex=\"0\">\n<table><caption>Price per carat, low to high, by body "
                       "tone and brightness</caption>\n<thead><tr><th scope=\"col\">tone</th>";
    for (const double grade : grid.brightness) {
        text += fmt::format("<th scope=\"col\">{}</th>", figure(grade));
    }
    text += "</tr></thead>\n<tbody>\n";
    for (std::size_t row = 0; row < grid.tones.size(); ++row) {
        text += fmt::format("<tr><th scope=\"row\">{}</th>",
                            tone_name(static_cast<int>(grid.tones[row])));
        for (std::size_t column = 0; column < grid.brightness.size(); ++column) {
            const auto& cell = grid.cell(row, column);
            text += fmt::format("<td class=\"number\">{}</td>",
                                cell ? range_text(*cell, en_dash) : "not priced");
        }
        text += "</tr>\n";
    }
    return text + "</tbody></table>\n</div></details>\n";
}

std::string grid_section(const pricing::Grid& grid, std::size_t number) {
    return fmt::format("<section>\n<h3>{}</h3>\n<p class=\"soft\">{}</p>\n<div class=\"wide\" "
                       "tabindex=\"0\">\n{}</div>\n{}</section>\n",
                       escaped(grid.name), class_words(grid.stones), heat_map(grid, number),
                       grid_table(grid));
}

// ---- factors

// The span of a table's bars: all its numbers and 1, in logarithms.
struct Span {
    double low = 0;
    double high = 0;

    void take(const pricing::Spread& spread) {
        low = std::min(low, spread.log_middle - spread.log_half);
        high = std::max(high, spread.log_middle + spread.log_half);
    }
    // 0 to 100
    [[nodiscard]] double place(double logarithm) const {
        constexpr double whole = 100;
        return high > low ? whole * (logarithm - low) / (high - low) : whole / 2;
    }
};

std::string bar(const pricing::Spread& spread, const Span& span) {
    constexpr double least_width = 1.5;
    const double from = span.place(spread.log_middle - spread.log_half);
    const double to = span.place(spread.log_middle + spread.log_half);
    const double width = std::max(to - from, least_width);
    const double one = span.place(0);
    return fmt::format(
        "<td class=\"bar\"><svg class=\"bar\" viewBox=\"-1 0 102 10\" preserveAspectRatio=\"none\" "
        "aria-hidden=\"true\"><line x1=\"{0:.2f}\" x2=\"{0:.2f}\" y1=\"0\" y2=\"10\"/><rect "
        "x=\"{1:.2f}\" y=\"2.5\" width=\"{2:.2f}\" height=\"5\"/></svg></td>",
        one, std::min(from, 100 - width), width);
}

struct TableRow {
    std::string name;
    pricing::Spread spread;
};

std::string table(std::string_view heading, const std::vector<TableRow>& rows) {
    Span span;
    for (const TableRow& row : rows) {
        span.take(row.spread);
    }
    std::string text = fmt::format("<table><thead><tr><th scope=\"col\">{}</th><th scope=\"col\" "
                                   "class=\"number\">low to high</th><th scope=\"col\">beside "
                                   "1</th></tr></thead>\n<tbody>\n",
                                   heading);
    for (const TableRow& row : rows) {
        text +=
            fmt::format("<tr><th scope=\"row\">{}</th><td class=\"number\">{}</td>{}</tr>\n",
                        escaped(row.name), range_text(row.spread, en_dash), bar(row.spread, span));
    }
    return text + "</tbody></table>\n";
}

// Kinds and places down, severities across.
std::string fault_table(const pricing::Faults& faults) {
    std::vector<std::string_view> severities;
    for (const pricing::FaultKind& kind : faults.kinds) {
        for (const pricing::FaultPlace& place : kind.places) {
            for (const pricing::Entry& severity : place.severities) {
                if (std::find(severities.begin(), severities.end(), severity.name) ==
                    severities.end()) {
                    severities.push_back(severity.name);
                }
            }
        }
    }
    std::string text = "<table><thead><tr><th scope=\"col\">fault</th><th scope=\"col\">place</th>";
    for (const std::string_view severity : severities) {
        text += fmt::format("<th scope=\"col\" class=\"number\">{}</th>", escaped(severity));
    }
    text += "</tr></thead>\n<tbody>\n";
    for (const pricing::FaultKind& kind : faults.kinds) {
        for (const pricing::FaultPlace& place : kind.places) {
            text += fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td>", escaped(kind.name),
                                escaped(place.name));
            for (const std::string_view severity : severities) {
                const pricing::Entry* entry = pricing::find(place.severities, severity);
                text += fmt::format("<td class=\"number\">{}</td>",
                                    entry == nullptr ? "" : range_text(entry->spread, en_dash));
            }
            text += "</tr>\n";
        }
    }
    return text + "</tbody></table>\n";
}

std::string factor_table(const pricing::Factor& factor) {
    if (const auto* faults = std::get_if<pricing::Faults>(&factor.rule)) {
        return fault_table(*faults);
    }
    std::vector<TableRow> rows;
    for (const FactorItem& item : items_of(factor)) {
        rows.push_back({item.keys.front(), item.spread});
    }
    return table(std::holds_alternative<pricing::Curve>(factor.rule) ? "at" : "word", rows);
}

std::string factor_section(const pricing::Factor& factor) {
    const std::string stones = class_words(factor.stones);
    return fmt::format(
        "<section{}>\n<h3>{}</h3>\n<p class=\"soft\">{}{}; {}</p>\n<div "
        "class=\"wide\" tabindex=\"0\">\n{}</div>\n</section>\n",
        std::holds_alternative<pricing::Faults>(factor.rule) ? " class=\"across\"" : "",
        escaped(factor.name), rule_words(factor), stones == "all" ? "" : "; for " + stones,
        absent_words(factor), factor_table(factor));
}

std::string levels_section(const pricing::Matrix& matrix) {
    std::vector<TableRow> rows;
    for (const pricing::Entry& level : matrix.market_levels) {
        rows.push_back({level.name, level.spread});
    }
    return "<h2>Market levels</h2>\n<p class=\"soft\">Multiples of the prices above.</p>\n" +
           table("level", rows);
}

std::string rounding_section(const pricing::Matrix& matrix) {
    std::string text = "<h2>Rounded for display</h2>\n<table><thead><tr><th scope=\"col\">from</th>"
                       "<th scope=\"col\">to the nearest</th></tr></thead>\n<tbody>\n";
    for (const pricing::RoundingStep& step : matrix.rounding) {
        text += fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td></tr>\n", figure(step.from),
                            figure(step.to_nearest));
    }
    return text + "</tbody></table>\n";
}

std::string list_prices_section(const pricing::Matrix& matrix) {
    if (matrix.list_prices.empty()) {
        return "";
    }
    std::string text = "<h2>Prices at which stones are offered</h2>\n<table><thead><tr>"
                       "<th scope=\"col\">from</th><th scope=\"col\">to the nearest</th>"
                       "<th scope=\"col\">plus</th></tr></thead>\n<tbody>\n";
    for (const pricing::ListStep& step : matrix.list_prices) {
        text += fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td></tr>\n",
                            grouped(step.from, true), grouped(step.to_nearest, true),
                            grouped(step.ending, true));
    }
    return text + "</tbody></table>\n";
}

} // namespace

std::string matrix_html(const pricing::Matrix& matrix) {
    std::string page = html_head(matrix.name, matrix_style);
    page += fmt::format("<body>\n<main>\n<h1>{}</h1>\n<p>{}</p>\n<p class=\"soft\">{}</p>\n",
                        isolated(matrix.name), escaped(head_words(matrix)),
                        isolated(matrix.provenance));
    for (const std::string& sentence : cautions(matrix)) {
        page += fmt::format("<p class=\"notice\">{}</p>\n", escaped(sentence));
    }
    page += fmt::format("<h2>Prices per carat</h2>\n<p class=\"soft\">{}; body tone down, N1 the "
                        "darkest, brightness across. In each cell low {} high; the lighter its "
                        "shade, the dearer within its grid.</p>\n<div class=\"sheets\">\n",
                        matrix.currency.code, en_dash);
    for (std::size_t i = 0; i < matrix.grids.size(); ++i) {
        page += grid_section(matrix.grids[i], i + 1);
    }
    page += "</div>\n" + levels_section(matrix) +
            "<h2>Factors</h2>\n<p class=\"soft\">In the order in which they apply. The bars are "
            "logarithmic; the upright line is 1, which changes nothing.</p>\n<div "
            "class=\"sheets\">\n";
    for (const pricing::Factor& factor : matrix.factors) {
        page += factor_section(factor);
    }
    return page + "</div>\n" + rounding_section(matrix) + list_prices_section(matrix) +
           "</main>\n</body>\n</html>\n";
}

} // namespace trayworth::output
