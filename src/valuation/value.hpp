// What a stone is worth by a matrix: a range, the reasons that compute it, and what makes it wide.
//
// Symbols
//   V       likely value: the product of the likely factors and the weight
//   u       standard uncertainty of ln V
//   k       coverage factor of the matrix's stated coverage p (normal distribution)
//   range   [V exp(-k u), V exp(k u)]
//   outer   every input at its unfavourable (favourable) limit at once
#pragma once

#include "core/diagnostic.hpp"
#include "core/nomenclature.hpp"
#include "core/stone.hpp"
#include "pricing/matrix.hpp"
#include "valuation/model.hpp"
#include "weight/weigh.hpp"

#include <optional>
#include <string>
#include <vector>

namespace trayworth::valuation {

// One line of the computation. Likely factors carry seven significant digits and are used as
// printed, so that their product is the value to the last of its digits. Low and high are those at
// the limits of the line's inputs, the inputs of the term's lines above being at theirs.
struct Reason {
    Row row;            // what was read, and where in record and matrix
    double low = 1;     // price per carat in the first line, a multiplier in the others
    double likely = 1;  //
    double high = 1;    //
    double running = 0; // weight times the likely factors so far, in `currency`
    Currency currency;  // the prices'; from the conversion on, the value's
};

struct BudgetShare {
    std::string source;
    double u = 0;     // contribution to the standard uncertainty of ln V
    double share = 0; // of its variance, 0 to 1
};

// One input of one stone. 0 <= common <= 1. Of inputs with the same source in one stone, the first
// goes with the first of every other stone, the second with the second.
struct Effect {
    std::string source;
    double common = 0; // r_is: the correlation of this input between two stones
    double u = 0;      // c_is
};

struct Interval {
    double low = 0;
    double high = 0;
};

// A run of the same model by JCGM 101:2008.
struct Simulation {
    std::size_t trials = 0;
    std::uint64_t seed = 0;
    double likely = 0; // median of V
    Interval range;    // probabilistically symmetric, at the matrix's coverage
    double u = 0;      // standard deviation of ln V
};

struct Valuation {
    Nomenclature nomenclature;
    weight::Weight weight;
    Interval weight_limits; // ct, entering the outer limits
    double likely = 0;      // in the matrix's currency of values
    Interval range;
    Interval outer;
    double u = 0; // standard uncertainty of ln V
    std::string market_level;
    std::vector<Reason> reasons;
    std::vector<BudgetShare> budget; // largest first
    std::vector<Effect> effects;     // of every input, for a tray's total
    std::optional<Simulation> simulation;
};

struct Request {
    const pricing::Matrix& matrix;
    const pricing::Entry& level;
    std::size_t trials = 0; // 0: no simulation
    std::uint64_t seed = 1;
    Explain explain = Explain::yes; // without, a valuation has neither reasons nor budget
};

// Errors and warnings are appended with pointers from the record's root; nothing is returned when
// there is an error.
std::optional<Valuation>
value(const Stone& stone, const Request& request, Diagnostics& diagnostics);

struct Modelled {
    Valuation valuation;
    Model model;
};

// The same, and the model behind it, explained or not. The matrix must outlive it.
std::optional<Modelled> value_and_model(const Stone& stone,
                                        const Request& request,
                                        Explain model,
                                        Diagnostics& diagnostics);

} // namespace trayworth::valuation
