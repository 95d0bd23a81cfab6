// Symbols
//   M         trials
//   y_(r)     the r-th smallest of the M values                      JCGM 101:2008, 7.5
//   q = p M   and r = (M - q) / 2, both to the nearest whole number, halves up:
//             [y_(r), y_(r+q)] is the probabilistically symmetric interval of coverage p
//                                                                    JCGM 101:2008, 7.7
// Rectangular draws: JCGM 101, 6.4.2. Normal draws: the polar method, G. Marsaglia and T. A. Bray,
// SIAM Review 6 (1964) 260-264 (from memory), in place of the standard library's distributions,
// whose draws differ between implementations.
#include "valuation/simulate.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace trayworth::valuation {
namespace {

class Draws {
public:
    explicit Draws(std::uint64_t seed) : engine_(seed) {}

    // In (0, 1): 53 bits, and never an end.
    double uniform() { return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1p-53; }

    double standard_normal() {
        if (has_spare_) {
            has_spare_ = false;
            return spare_;
        }
        double a = 0;
        double b = 0;
        double square = 0;
        do {
            a = 2 * uniform() - 1;
            b = 2 * uniform() - 1;
            square = a * a + b * b;
        } while (square >= 1 || square == 0);
        const double factor = std::sqrt(-2 * std::log(square) / square);
        spare_ = b * factor;
        has_spare_ = true;
        return a * factor;
    }

    double from(const Uncertain& input) {
        switch (input.distribution) {
        case Distribution::rectangular:
            return input.value + (2 * uniform() - 1) * input.half_width();
        case Distribution::normal:
            return input.value + standard_normal() * input.u;
        case Distribution::exact:
            break;
        }
        return input.value;
    }

private:
    std::mt19937_64 engine_;
    double spare_ = 0;
    bool has_spare_ = false;
};

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
    const auto q =
        static_cast<std::size_t>(std::floor(coverage * static_cast<double>(trials) + 0.5));
    const std::size_t r = std::max<std::size_t>((trials - q + 1) / 2, 1);
    const double low = logs[r - 1];
    const double high = logs[std::min(r + q, trials) - 1];
    const std::size_t half = trials / 2;
    const double median = trials % 2 == 1 ? logs[half] : (logs[half - 1] + logs[half]) / 2;
    return {
        trials, seed, std::exp(median), {std::exp(low), std::exp(high)}, standard_deviation(logs)};
}

} // namespace trayworth::valuation
