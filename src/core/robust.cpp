#include "core/robust.hpp"

#include <algorithm>
#include <cmath>

namespace trayworth {
namespace {

// Takes the median of every stride-th value from `first` on, `count` of them, off them; returns it.
double take_median(std::vector<std::optional<double>>& table,
                   std::size_t first,
                   std::size_t stride,
                   std::size_t count) {
    std::vector<double> present;
    for (std::size_t i = 0; i < count; ++i) {
        if (const std::optional<double>& value = table[first + i * stride]) {
            present.push_back(*value);
        }
    }
    if (present.empty()) {
        return 0;
    }
    const double middle = median(std::move(present));
    for (std::size_t i = 0; i < count; ++i) {
        if (std::optional<double>& value = table[first + i * stride]) {
            *value -= middle;
        }
    }
    return middle;
}

} // namespace

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const std::size_t half = values.size() / 2;
    return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

double robust_deviation(const std::vector<double>& values) {
    constexpr double of_a_normal = 1.4826; // 1 / its 0.75 quantile
    const double middle = median(values);
    std::vector<double> distances;
    distances.reserve(values.size());
    for (const double value : values) {
        distances.push_back(std::abs(value - middle));
    }
    return of_a_normal * median(std::move(distances));
}

std::vector<std::optional<double>> median_polish_residuals(std::vector<std::optional<double>> table,
                                                           std::size_t columns) {
    constexpr int most_rounds = 20;
    constexpr double settled = 1e-9;
    const std::size_t rows = table.size() / columns;
    for (int round = 0; round < most_rounds; ++round) {
        double moved = 0;
        for (std::size_t row = 0; row < rows; ++row) {
            moved = std::max(moved, std::abs(take_median(table, row * columns, 1, columns)));
        }
        for (std::size_t column = 0; column < columns; ++column) {
            moved = std::max(moved, std::abs(take_median(table, column, columns, rows)));
        }
        if (moved < settled) {
            break;
        }
    }
    return table;
}

} // namespace trayworth
