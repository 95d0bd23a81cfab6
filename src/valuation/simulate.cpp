// Symbols
//   M         trials
//   y_(r)     the r-th smallest of the M values                      JCGM 101:2008, 7.5
//   q = p M   and r = (M - q) / 2, both to the nearest whole number, halves up:
//             [y_(r), y_(r+q)] is the probabilistically symmetric interval of coverage p
//                                                                    JCGM 101:2008, 7.7
#include "valuation/simulate.hpp"

#include "valuation/draws.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace trayworth::valuation {
namespace {

// A weight is positive: a draw that is not is drawn again.
double positive(Draws& draws, const Uncertain& input) {
    double x = draws.from(input);
    while (x <= 0) {
        x = draws.from(input);
    }
    return x;
}

double standard_deviation(const std::vector<double>& values) {
    const auto count = static_cast<double>(values.size());
    double mean = 0;
    for (const double value : values) {
        mean += value / count;
    }
    double squares = 0;
    for (const double value : values) {
        squares += (value - mean) * (value - mean);
    }
    return std::sqrt(squares / (count - 1));
}

} // namespace

Interval symmetric_interval(std::span<const double> ascending, double coverage) {
    const std::size_t trials = ascending.size();
    const auto q =
        static_cast<std::size_t>(std::floor(coverage * static_cast<double>(trials) + 0.5));
    const std::size_t r = std::max<std::size_t>((trials - q + 1) / 2, 1);
    return {ascending[r - 1], ascending[std::min(r + q, trials) - 1]};
}

Simulation simulate(const Model& model, double coverage, std::size_t trials, std::uint64_t seed) {
    Draws draws(seed);
    std::vector<double> x(model.variables.size());
    std::vector<double> logs(trials);
    for (double& log_of_value : logs) {
        x[0] = positive(draws, model.variables[0].input);
        for (std::size_t i = 1; i < x.size(); ++i) {
            x[i] = draws.from(model.variables[i].input);
        }
        log_of_value = std::log(x[0]);
        for (const Term& term : model.terms) {
            log_of_value += log_value(term, x);
        }
    }
    std::sort(logs.begin(), logs.end());
    const Interval range = symmetric_interval(logs, coverage);
    const std::size_t half = trials / 2;
    const double median = trials % 2 == 1 ? logs[half] : (logs[half - 1] + logs[half]) / 2;
    return {trials,
            seed,
            std::exp(median),
            {std::exp(range.low), std::exp(range.high)},
            standard_deviation(logs)};
}

} // namespace trayworth::valuation
