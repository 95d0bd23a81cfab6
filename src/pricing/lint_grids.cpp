#include "core/decimal.hpp"
#include "core/robust.hpp"
#include "pricing/lint.hpp"
#include "pricing/lint_parts.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace trayworth::pricing {
namespace {

constexpr std::size_t fewest_for_polish = 3; // rows, and columns
constexpr std::size_t fewest_for_spreads = 5;

class GridLint {
public:
    GridLint(const Matrix& matrix, const Grid& grid, Diagnostics& found)
        : matrix_(matrix), grid_(grid), found_(found), rows_(grid.tones.size()),
          columns_(grid.brightness.size()) {}

    void run() {
        axes();
        holes();
        orders();
        if (rows_ >= fewest_for_polish && columns_ >= fewest_for_polish) {
            jumps_in_table();
        } else {
            jumps_in_lines();
        }
        spreads();
    }

private:
    void axes() {
        for (std::size_t i = 1; i < rows_; ++i) {
            if (grid_.tones[i] - grid_.tones[i - 1] > 1) {
                report(found_, Code::grid_gap, fmt::format("{}/body_tone/{}", grid_.pointer, i),
                       fmt::format("The tones go from {} to {}: those between are priced halfway "
                                   "between the two, from no figure of their own.",
                                   tone_name(static_cast<int>(grid_.tones[i - 1])),
                                   tone_name(static_cast<int>(grid_.tones[i]))),
                       "Add the tones between.");
            }
        }
        for (std::size_t i = 1; i < columns_; ++i) {
            if (grid_.brightness[i] - grid_.brightness[i - 1] > 1) {
                report(found_, Code::grid_gap, fmt::format("{}/brightness/{}", grid_.pointer, i),
                       fmt::format("Brightness goes from {} to {}: the grades between are priced "
                                   "between the two, from no figure of their own.",
                                   grid_.brightness[i - 1], grid_.brightness[i]),
                       "Add the grades between.");
            }
        }
    }

    [[nodiscard]] bool priced_in(std::size_t from_row,
                                 std::size_t to_row,
                                 std::size_t from_column,
                                 std::size_t to_column) const {
        for (std::size_t row = from_row; row < to_row; ++row) {
            for (std::size_t column = from_column; column < to_column; ++column) {
                if (grid_.cell(row, column)) {
                    return true;
                }
            }
        }
        return false;
    }

    // Cells without a price, with prices on both sides of them.
    void holes() {
        for (std::size_t row = 0; row < rows_; ++row) {
            for (std::size_t column = 0; column < columns_; ++column) {
                const bool across = priced_in(row, row + 1, 0, column) &&
                                    priced_in(row, row + 1, column + 1, columns_);
                const bool down = priced_in(0, row, column, column + 1) &&
                                  priced_in(row + 1, rows_, column, column + 1);
                if (!grid_.cell(row, column) && (across || down)) {
                    report(found_, Code::grid_gap, grid_.cell_pointer(row, column),
                           fmt::format("{} is not priced, and its neighbours on both sides are.",
                                       grid_.cell_name(row, column)),
                           "Give it a price.");
                }
            }
        }
    }

    // ---- order

    void orders() {
        for (std::size_t row = 0; row < rows_; ++row) {
            for (std::size_t column = 0; column < columns_; ++column) {
                if (row > 0) {
                    in_order(Code::tone_order, {row - 1, column}, {row, column}, "a darker tone");
                }
                if (column > 0) {
                    const bool ascends = matrix_.brightness.brightest != 1;
                    in_order(Code::brightness_order, {row, ascends ? column : column - 1},
                             {row, ascends ? column - 1 : column}, "a brighter stone");
                }
            }
        }
    }

    using Place = std::pair<std::size_t, std::size_t>;

    void in_order(Code code, Place dear, Place cheap, std::string_view which) {
        const std::optional<Spread>& dearer = grid_.cell(dear.first, dear.second);
        const std::optional<Spread>& cheaper = grid_.cell(cheap.first, cheap.second);
        if (dearer && cheaper && likely(*cheaper) > likely(*dearer)) {
            report(found_, code, grid_.cell_pointer(cheap.first, cheap.second),
                   fmt::format("{} is dearer than {}, {}: likely {} against {}.",
                               grid_.cell_name(cheap.first, cheap.second),
                               grid_.cell_name(dear.first, dear.second), which, likely(*cheaper),
                               likely(*dearer)),
                   "Correct one of the two, or accept it with the reason.");
        }
    }

    // ---- jumps

    void report_jump(std::size_t row, std::size_t column, double y, double expected) {
        constexpr int digits = 2;
        report(found_, Code::price_jump, grid_.cell_pointer(row, column),
               fmt::format("{} is likely {}, {} than the {} that the cells around it suggest.",
                           grid_.cell_name(row, column), likely(*grid_.cell(row, column)),
                           times_off(y, expected), to_significant(std::exp(expected), digits)),
               "Look for a slip of the decimal point, or accept it with the reason.");
    }

    void jumps_in_table() {
        std::vector<std::optional<double>> logarithms;
        for (const std::optional<Spread>& cell : grid_.cells) {
            logarithms.push_back(cell ? std::optional(cell->log_middle) : std::nullopt);
        }
        const std::vector<std::optional<double>> residuals =
            median_polish_residuals(logarithms, columns_);
        std::vector<double> present;
        for (const std::optional<double>& residual : residuals) {
            if (residual) {
                present.push_back(*residual);
            }
        }
        if (present.empty()) {
            return;
        }
        const double limit =
            std::max(limits::deviations * robust_deviation(present), std::log(limits::least_jump));
        for (std::size_t i = 0; i < residuals.size(); ++i) {
            if (residuals[i] && std::abs(*residuals[i]) > limit) {
                report_jump(i / columns_, i % columns_, *logarithms[i],
                            *logarithms[i] - *residuals[i]);
            }
        }
    }

    void jumps_in_lines() {
        for (std::size_t row = 0; row < rows_; ++row) {
            std::vector<Place> line;
            for (std::size_t column = 0; column < columns_; ++column) {
                line.emplace_back(row, column);
            }
            jumps_in_line(line, grid_.brightness);
        }
        for (std::size_t column = 0; column < columns_; ++column) {
            std::vector<Place> line;
            for (std::size_t row = 0; row < rows_; ++row) {
                line.emplace_back(row, column);
            }
            jumps_in_line(line, grid_.tones);
        }
    }

    void jumps_in_line(const std::vector<Place>& line, const std::vector<double>& axis) {
        std::vector<double> x;
        std::vector<double> y;
        std::vector<Place> priced;
        for (std::size_t i = 0; i < line.size(); ++i) {
            if (const auto& cell = grid_.cell(line[i].first, line[i].second)) {
                x.push_back(axis[i]);
                y.push_back(cell->log_middle);
                priced.push_back(line[i]);
            }
        }
        for (const OutOfLine& point : out_of_line(x, y)) {
            report_jump(priced[point.index].first, priced[point.index].second, y[point.index],
                        point.expected);
        }
    }

    // ---- spreads

    void spreads() {
        std::vector<double> ratios;
        for (const std::optional<Spread>& cell : grid_.cells) {
            if (cell) {
                ratios.push_back(2 * cell->log_half);
            }
        }
        if (ratios.empty()) {
            return;
        }
        const double middle = median(ratios);
        const double limit = std::max(limits::deviations * robust_deviation(ratios),
                                      std::log(limits::spread_against_grid));
        const bool enough = ratios.size() >= fewest_for_spreads;
        for (std::size_t i = 0; i < grid_.cells.size(); ++i) {
            if (!grid_.cells[i]) {
                continue;
            }
            const double ratio = 2 * grid_.cells[i]->log_half;
            const bool odd = enough && std::abs(ratio - middle) > limit;
            if (odd || ratio > std::log(limits::widest_price)) {
                report_spread(i, ratio, middle, odd);
            }
        }
    }

    void report_spread(std::size_t index, double ratio, double middle, bool odd) {
        constexpr int digits = 3;
        const std::size_t row = index / columns_;
        const std::size_t column = index % columns_;
        const auto times = [](double x) { return to_significant(std::exp(x), digits); };
        report(
            found_, Code::spread_odd, grid_.cell_pointer(row, column),
            odd ? fmt::format("The high end of {} is {} times its low end; in this grid it is {} "
                              "times as a rule.",
                              grid_.cell_name(row, column), times(ratio), times(middle))
                : fmt::format("The high end of {} is {} times its low end.",
                              grid_.cell_name(row, column), times(ratio)),
            "Look for a slip in one of the two ends.");
    }

    const Matrix& matrix_;
    const Grid& grid_;
    Diagnostics& found_;
    std::size_t rows_;
    std::size_t columns_;
};

// Types that are priced at one transparency and not at another.
void class_gaps(const Matrix& matrix, Diagnostics& found) {
    for (const Named<StoneType>& type : stone_types) {
        std::vector<std::string_view> priced;
        std::vector<std::string_view> missing;
        for (const Named<Transparency>& transparency : transparencies) {
            (is_priced(matrix, type.value, transparency.value) ? priced : missing)
                .push_back(transparency.name);
        }
        if (!priced.empty() && !missing.empty()) {
            report(found, Code::grid_gap, "/grids",
                   fmt::format("Stones of type {} are priced {} and not {}.", type.name,
                               fmt::join(priced, " and "), fmt::join(missing, " or ")),
                   "Add a grid for them, or the transparency to one that is there.");
        }
    }
}

} // namespace

void lint_grids(const Matrix& matrix, Diagnostics& found) {
    class_gaps(matrix, found);
    for (const Grid& grid : matrix.grids) {
        GridLint(matrix, grid, found).run();
    }
}

} // namespace trayworth::pricing
