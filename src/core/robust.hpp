// Statistics that a few wrong numbers do not disturb.
//
// Median absolute deviation, and the median polish of a table (value = overall + row + column +
// residual): J. W. Tukey, Exploratory Data Analysis, 1977 (from memory).
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace trayworth {

// Of an odd number the middle one, of an even number the mean of the middle two. Not empty.
double median(std::vector<double> values);

// 1.4826 times the median distance from the median: the standard deviation, were the values
// normal. Not empty.
double robust_deviation(const std::vector<double>& values);

// Row by row, `columns` each; absent where there is no value. The residuals of the median polish,
// absent likewise; rows first, until they settle.
std::vector<std::optional<double>> median_polish_residuals(std::vector<std::optional<double>> table,
                                                           std::size_t columns);

} // namespace trayworth
