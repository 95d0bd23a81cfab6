#include "pricing/conversion.hpp"

#include "core/decimal.hpp"

#include <cmath>
#include <limits>
#include <utility>

namespace trayworth::pricing {

double round_step(double x) {
    const double decade = std::pow(10.0, std::floor(std::log10(x)));
    double best = decade;
    double least = std::numeric_limits<double>::infinity();
    for (const double lead : {1.0, 2.0, 5.0, 10.0}) {
        const double off = std::abs(std::log(x / (lead * decade)));
        if (off < least) {
            least = off;
            best = lead * decade;
        }
    }
    return to_significant(best);
}

Matrix converted(Matrix matrix, const Currency& to, double rate, std::string date) {
    Currency from = std::exchange(matrix.currency, to);
    std::string name = from.code + " to " + to.code;
    matrix.conversion.emplace(Conversion{
        std::move(from), {std::move(name), Spread::between(rate, rate)}, std::move(date)});
    for (RoundingStep& step : matrix.rounding) {
        step.from *= rate;
        step.to_nearest = round_step(step.to_nearest * rate);
    }
    return matrix;
}

} // namespace trayworth::pricing
