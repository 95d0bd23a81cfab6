#include "recutting/common_draws.hpp"

#include "valuation/draws.hpp"
#include "valuation/simulate.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace trayworth::recutting {
namespace {

// FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo; 64 bits), so that each source has a seed of its own.
std::uint64_t seed_of(std::string_view source, std::size_t occurrence, std::uint64_t seed) {
    constexpr std::uint64_t prime = 0x100000001b3;
    std::uint64_t hash = 0xcbf29ce484222325;
    const auto take = [&hash](std::uint64_t byte) { hash = (hash ^ (byte & 0xffU)) * prime; };
    for (const char c : source) {
        take(static_cast<unsigned char>(c));
    }
    for (unsigned shift = 0; shift < 64; shift += 8) {
        take(std::uint64_t{occurrence} >> shift);
    }
    for (unsigned shift = 0; shift < 64; shift += 8) {
        take(seed >> shift);
    }
    return hash;
}

double normal_distribution_function(double z) {
    return std::erfc(-z / std::numbers::sqrt2) / 2;
}

} // namespace

std::vector<double>
CommonDraws::of(std::string_view source, std::size_t occurrence, const Uncertain& input) {
    const auto known =
        standard_.try_emplace(std::pair(std::string(source), occurrence), std::vector<double>());
    std::vector<double>& standard = known.first->second;
    if (standard.empty()) {
        valuation::Draws draws(seed_of(source, occurrence, seed_));
        standard.resize(trials_);
        for (double& z : standard) {
            z = draws.standard_normal();
        }
    }
    std::vector<double> values(trials_, input.value);
    switch (input.distribution) {
    case Distribution::normal:
        std::transform(standard.begin(), standard.end(), values.begin(),
                       [&](double z) { return input.value + z * input.u; });
        break;
    case Distribution::rectangular:
        std::transform(standard.begin(), standard.end(), values.begin(), [&](double z) {
            return input.value + (2 * normal_distribution_function(z) - 1) * input.half_width();
        });
        break;
    case Distribution::exact:
        break;
    }
    return values;
}

std::vector<std::vector<double>> inputs_of(const valuation::Model& model, CommonDraws& draws) {
    std::vector<std::vector<double>> inputs;
    inputs.reserve(model.variables.size());
    std::map<std::string_view, std::size_t> seen;
    for (std::size_t i = 0; i < model.variables.size(); ++i) {
        const std::string& source = model.sources[i];
        inputs.push_back(draws.of(source, seen[source]++, model.variables[i].input));
    }
    const double least_weight = model.variables.front().input.value / 1000;
    for (double& weight : inputs.front()) {
        weight = std::max(weight, least_weight);
    }
    return inputs;
}

std::vector<double> values_of(const valuation::Model& model, CommonDraws& draws) {
    const std::vector<std::vector<double>> inputs = inputs_of(model, draws);
    std::vector<double> x(inputs.size());
    std::vector<double> values(draws.trials());
    for (std::size_t trial = 0; trial < values.size(); ++trial) {
        for (std::size_t i = 0; i < x.size(); ++i) {
            x[i] = inputs[i][trial];
        }
        double log_of_value = std::log(x[0]);
        for (const valuation::Term& term : model.terms) {
            log_of_value += log_value(term, x);
        }
        values[trial] = std::exp(log_of_value);
    }
    return values;
}

Ranged ranged(double likely, std::vector<double> values, double coverage) {
    std::sort(values.begin(), values.end());
    const valuation::Interval interval = valuation::symmetric_interval(values, coverage);
    // Likely values are reckoned from factors of seven digits: without any uncertainty the last of
    // them may differ.
    return {std::min(interval.low, likely), likely, std::max(interval.high, likely)};
}

} // namespace trayworth::recutting
