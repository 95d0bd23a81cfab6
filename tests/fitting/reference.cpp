// Estimates what reference.py gives it, so that R can be asked for the same.
//
// fitting_reference METHOD [OPTION...] <observations
//   least-squares | huber C | random | both | isotonic
// A line each: y, 1 where it is unsold, days before the last, then for each factor the level, from
// 0. Writes a line each: name, coefficient; and "deviation" with that of the residuals.
//
// The model is  y = cell + sum of the factors' levels + trend, with level 0 of a factor held at
// zero where METHOD is not random or both, and no cell where it is. Isotonic is regression of y
// alone, in the order of the lines.
#include "fitting/estimate.hpp"
#include "fitting/isotonic.hpp"
#include "fitting/numbers.hpp"

#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <limits>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>

namespace {

using namespace trayworth;

struct Line {
    double y = 0;
    bool unsold = false;
    int days = 0;
    std::vector<std::size_t> levels;
};

std::vector<Line> read_lines() {
    std::vector<Line> lines;
    std::string text;
    while (std::getline(std::cin, text)) {
        std::istringstream in(text);
        Line line;
        in >> line.y >> line.unsold >> line.days;
        for (std::size_t level = 0; in >> level;) {
            line.levels.push_back(level);
        }
        lines.push_back(line);
    }
    return lines;
}

// A cell, and factors whose first level is exactly 1 or is not.
pricing::Matrix matrix_for(const std::vector<Line>& lines, bool held) {
    pricing::Matrix matrix;
    matrix.market_level = "trade";
    matrix.market_levels.emplace_back("trade", pricing::Spread{});
    pricing::Grid grid;
    grid.name = "grid";
    grid.tones = {1};
    grid.brightness = {1};
    grid.cells = {pricing::Spread{0, 0.5}};
    matrix.grids.push_back(grid);
    for (std::size_t f = 0; f < lines.front().levels.size(); ++f) {
        std::size_t most = 0;
        for (const Line& line : lines) {
            most = std::max(most, line.levels[f]);
        }
        pricing::Category category;
        for (std::size_t level = 0; level <= most; ++level) {
            category.values.emplace_back(fmt::format("f{}l{}", f, level),
                                         pricing::Spread{0, held && level == 0 ? 0 : 0.5});
        }
        matrix.factors.push_back(
            {fmt::format("f{}", f), fmt::format("/factors/{}", f), {}, {}, category});
    }
    return matrix;
}

} // namespace

int main(int count, char** arguments) {
    const std::string method = count > 1 ? arguments[1] : "";
    const bool random = method == "random" || method == "both";
    const std::vector<Line> lines = read_lines();
    if (method == "isotonic") {
        std::vector<double> values;
        for (const Line& line : lines) {
            values.push_back(line.y);
        }
        const std::vector<double> ordered =
            fitting::isotonic(values, std::vector<double>(values.size(), 1));
        for (std::size_t i = 0; i < ordered.size(); ++i) {
            fmt::print("y{} {:.12g} 0\n", i + 1, ordered[i]);
        }
        return 0;
    }
    const pricing::Matrix matrix = matrix_for(lines, !random);
    const fitting::Numbers numbers(matrix);
    std::vector<fitting::Observation> sales;
    for (const Line& line : lines) {
        fitting::Observation sale;
        sale.log_price = line.y;
        sale.unsold = line.unsold;
        sale.day = std::chrono::sys_days{std::chrono::days{20000 - line.days}};
        const auto use = [&](const pricing::Spread& spread) {
            fitting::Use one;
            one.weight = 1;
            one.number = static_cast<std::uint32_t>(*numbers.find(spread));
            one.input = static_cast<std::uint16_t>(sale.uses.size());
            sale.uses.push_back(one);
        };
        if (!random) {
            use(*matrix.grids.front().cells.front());
        }
        for (std::size_t f = 0; f < line.levels.size(); ++f) {
            const auto& category = std::get<pricing::Category>(matrix.factors[f].rule);
            use(category.values[line.levels[f]].spread);
        }
        sales.push_back(sale);
    }
    std::vector<const fitting::Observation*> pointers;
    for (const fitting::Observation& sale : sales) {
        pointers.push_back(&sale);
    }
    fitting::EstimateOptions options;
    options.huber =
        method == "huber" ? std::atof(arguments[2]) : std::numeric_limits<double>::infinity();
    options.shrink = random;
    options.prior_weight = 0;
    options.tolerance = 1e-10;
    options.trend = method == "both" || method == "trend";
    const fitting::Estimate found = fitting::estimate(pointers, numbers, 1, options);
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        fmt::print("{} {:.12g} {:.12g}\n", numbers[i].name, found.corrections[i],
                   found.standard_errors[i]);
    }
    if (found.trend) {
        fmt::print("trend {:.12g} {:.12g}\n", found.trend->per_year, found.trend->standard_error);
    }
    fmt::print("deviation {:.12g} 0\n", found.residual_deviation);
    for (std::size_t g = 0; g < found.group_deviations.size(); ++g) {
        fmt::print("group{} {:.12g} 0\n", g, found.group_deviations[g]);
    }
    return found.converged ? 0 : 1;
}
