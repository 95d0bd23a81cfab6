// A decision tree solved from its ends to its root.
//
// Symbols
//   p_i         probability of outcome i; [l_i, h_i] where it is a range
//   net         worth of an end less the costs on the way to it
//   W           wealth beside it
//   gamma       constant relative risk aversion; 0 is none
//   u(w)        utility of wealth w = W + net: (w^(1 - gamma) - 1) / (1 - gamma), ln w at gamma = 1
//               (K. J. Arrow 1965, J. W. Pratt, Econometrica 32 (1964) 122-136; from memory). The
//               unit of w changes no choice; it is W + the worth of leaving it, so that w is near 1
//               and no digits are lost.
//   CE          certainty equivalent: the sure net with the same expected utility,
//               u^-1(sum p_i u(W + net_i)) - W; at gamma = 0 the expected net itself
//
// At a decision the choice with the largest CE is taken, at a chance utilities are averaged
// (backward induction: H. Raiffa, Decision Analysis, Addison-Wesley 1968).
// Likely probabilities of ranges: p_i = l_i + t (h_i - l_i), with the one t at which they sum to 1.
#pragma once

#include "core/range.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace trayworth::recutting {

struct Choice;

// What may come of a choice.
struct Outcome {
    std::string name;
    Range<double> probability;
    double worth = 0;            // if nothing more is done, before any costs
    double cost = 0;             // of its own, beside that of the choice
    double minutes = 0;          //
    std::size_t stone = 0;       // whatever the caller counts ends by
    std::vector<Choice> choices; // what may be done then, beside leaving it
};

struct Choice {
    std::string name;
    double cost = 0; // in money, time included
    double minutes = 0;
    std::vector<Outcome> outcomes; // one at least; probabilities that can sum to 1
};

struct Attitude {
    double aversion = 0; // gamma, >= 0
    double wealth = 0;   // W
    double unit = 1;     // of w, > 0

    // Nothing when gamma > 0 and W + net is not above 0.
    [[nodiscard]] std::optional<double> utility(double net) const;
    [[nodiscard]] double certainty_equivalent(double utility) const;
};

struct SolvedChoice;

struct SolvedOutcome {
    double probability = 0; // likely
    double net = 0;         // if it is left at that
    double expected = 0;    // net, with the best choices from here on
    double certainty_equivalent = 0;
    std::optional<std::size_t> best; // of its choices; nothing: leave it
    std::vector<SolvedChoice> choices;
};

struct SolvedChoice {
    double expected = 0; // net
    double certainty_equivalent = 0;
    // Of the expected net and of the chance of ending below, as far as ranges of probability let it
    // vary; the later choices are those that are best at the likely probabilities.
    Range<double> expected_over_probabilities;
    double chance_below = 0;
    Range<double> chance_below_over_probabilities;
    double minutes = 0; // expected
    double cost = 0;    // expected, time included
    // The end with the smallest net: its place in each list of outcomes on the way.
    std::vector<std::size_t> worst;
    double worst_net = 0;
    // The probability of the outcome with the smallest expected net at which the choice is worth
    // just as much as leaving it, the others keeping their proportions. Nothing when there is one
    // outcome only, or none between 0 and 1.
    std::optional<double> break_even_probability;
    std::size_t worst_outcome = 0;
    // In money: what it would be worth to know which outcome will come before choosing (expected
    // value of perfect information), and what deciding later choices only after seeing the outcome
    // adds to the best that could be settled beforehand, by the choices' names (expected value of
    // the information that looking gives); the latter where there are later choices.
    double knowing = 0;
    std::optional<double> looking;
    std::vector<SolvedOutcome> outcomes;
};

struct Solution {
    double leave = 0;                  // worth of leaving it
    std::vector<SolvedChoice> choices; // as given
    std::optional<std::size_t> best;   // nothing: leave it
};

// `leave` is what it is worth as it is, at no cost; "below" is below that. Nothing when some wealth
// is not above zero and the attitude needs it to be.
std::optional<Solution>
solve(double leave, const std::vector<Choice>& choices, const Attitude& attitude);

// Likely probabilities of a choice's outcomes; they sum to 1.
std::vector<double> likely_probabilities(const std::vector<Outcome>& outcomes);

} // namespace trayworth::recutting
