#include "fitting/isotonic.hpp"

#include <algorithm>
#include <cmath>

namespace trayworth::fitting {
namespace {

constexpr int most_cycles = 10'000;
constexpr double tolerance = 1e-13;

struct Block {
    double mean = 0;
    double weight = 0;
    std::size_t size = 0;
};

} // namespace

std::vector<double> isotonic(std::span<const double> values, std::span<const double> weights) {
    std::vector<Block> blocks;
    for (std::size_t i = 0; i < values.size(); ++i) {
        Block last{values[i], weights[i], 1};
        while (!blocks.empty() && blocks.back().mean > last.mean) {
            const Block& before = blocks.back();
            const double weight = before.weight + last.weight;
            last = {(before.weight * before.mean + last.weight * last.mean) / weight, weight,
                    before.size + last.size};
            blocks.pop_back();
        }
        blocks.push_back(last);
    }
    std::vector<double> found;
    found.reserve(values.size());
    for (const Block& block : blocks) {
        found.insert(found.end(), block.size, block.mean);
    }
    return found;
}

std::vector<double> ordered_within(std::vector<double> values,
                                   std::span<const double> weights,
                                   std::span<const Range<double>> limits,
                                   std::span<const Chain> chains) {
    // What each projection took off in the last cycle is put back before it is made again.
    std::vector<std::vector<double>> taken;
    taken.reserve(chains.size());
    for (const Chain& chain : chains) {
        taken.emplace_back(chain.size(), 0);
    }
    std::vector<double> clamped(values.size(), 0);
    std::vector<double> along;
    std::vector<double> along_weights;
    for (int cycle = 0; cycle < most_cycles; ++cycle) {
        const std::vector<double> before = values;
        for (std::size_t c = 0; c < chains.size(); ++c) {
            const Chain& chain = chains[c];
            along.clear();
            along_weights.clear();
            for (std::size_t i = 0; i < chain.size(); ++i) {
                along.push_back(values[chain[i]] - taken[c][i]);
                along_weights.push_back(weights[chain[i]]);
            }
            const std::vector<double> projected = isotonic(along, along_weights);
            for (std::size_t i = 0; i < chain.size(); ++i) {
                taken[c][i] = projected[i] - along[i];
                values[chain[i]] = projected[i];
            }
        }
        double change = 0;
        for (std::size_t i = 0; i < values.size(); ++i) {
            const double wanted = values[i] - clamped[i];
            values[i] = std::clamp(wanted, limits[i].low, limits[i].high);
            clamped[i] = values[i] - wanted;
            change = std::max(change, std::abs(values[i] - before[i]));
        }
        if (change < tolerance) {
            break;
        }
    }
    return values;
}

} // namespace trayworth::fitting
