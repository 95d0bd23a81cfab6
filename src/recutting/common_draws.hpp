// Several readings of one stone, simulated together: what is uncertain about the stone and about
// the market is the same whatever is done with the stone, so it is drawn once for all of them
// (common random numbers) and differences between them are differences of pairs.
//
// Symbols
//   z    a standard normal draw of one source in one trial
//   x    the input: value + z u if it is normal, low + (high - low) Phi(z) if it is rectangular
//
// Of inputs with the same source in one reading, the first goes with the first of every other, the
// second with the second, as in a tray's total (valuation/value.hpp). The draws of a source depend
// on its name and the seed alone: one alternative more leaves those of the others as they are.
#pragma once

#include "core/uncertain.hpp"
#include "valuation/model.hpp"
#include "valuation/value.hpp"

#include <cstddef>
#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace trayworth::recutting {

class CommonDraws {
public:
    // trials >= 2
    CommonDraws(std::size_t trials, std::uint64_t seed) : trials_(trials), seed_(seed) {}

    [[nodiscard]] std::size_t trials() const { return trials_; }

    // The input in every trial.
    std::vector<double> of(std::string_view source, std::size_t occurrence, const Uncertain& input);

private:
    std::size_t trials_;
    std::uint64_t seed_;
    std::map<std::pair<std::string, std::size_t>, std::vector<double>> standard_;
};

// Every variable of a model in every trial. The model was built to be explained: its variables have
// their sources' names. A weight that would not be positive is a thousandth of its value.
std::vector<std::vector<double>> inputs_of(const valuation::Model& model, CommonDraws& draws);

// V in every trial, in the matrix's currency.
std::vector<double> values_of(const valuation::Model& model, CommonDraws& draws);

// Low, likely and high of what is uncertain. Likely is reckoned at the likely values, low and high
// are the simulated interval at the matrix's coverage.
struct Ranged {
    double low = 0;
    double likely = 0;
    double high = 0;

    // The interval holds zero: which way it is cannot be said.
    [[nodiscard]] bool too_close() const { return low <= 0 && high >= 0; }
};

Ranged ranged(double likely, std::vector<double> values, double coverage);

} // namespace trayworth::recutting
