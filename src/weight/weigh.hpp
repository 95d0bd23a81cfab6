// The weight of a stone: the scale's where there is one, otherwise an estimate from its
// dimensions and density.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "core/uncertain.hpp"
#include "weight/outline.hpp"

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace trayworth::weight {

// What an estimate is made from. Lengths in mm, density in g/cm3.
struct Measurements {
    Outline outline = Outline::oval;
    Uncertain length;
    std::optional<Uncertain> width; // absent for a round or square stone: the length again
    Uncertain depth;
    std::optional<Uncertain> wall;
    std::optional<Uncertain> dome;
    std::optional<Uncertain> back;
    std::optional<Words> dome_word; // "low", "medium", "high"
    std::string_view back_word;     // "flat", "convex", "double"; empty when not stated
    std::optional<Uncertain> area;  // measured, mm2
    Uncertain density;
    std::string_view density_source; // where the density comes from, for the budget
};

// One input of the estimate.
struct BudgetLine {
    std::string_view source; // "length", "depth", "density", "outline form", ...
    double value = 0;        // the input's value and standard uncertainty, in its own unit
    double u = 0;
    double contribution = 0; // to the standard uncertainty of the weight, ct, signed
    double share = 0;        // of the variance, 0 to 1
};

struct Estimate {
    Uncertain volume;  // mm3
    Uncertain ct;      // carats
    Uncertain density; // g/cm3, as used
    std::string_view density_source;
    std::vector<BudgetLine> budget; // in the order of Measurements; inputs without effect left out
};

// Lengths, depth, area and density must be above zero and wall, dome and back no higher together
// than the depth; weigh() sees to that. A word for the dome that the heights contradict is ignored.
// Method: JCGM 100:2008, 5.1.3, Note 2; the model and its sources are in estimate.cpp, outline.cpp
// and profile.cpp.
Estimate estimate(const Measurements& measurements);

enum class Basis : std::uint8_t { weighed, estimated };
constexpr std::string_view name_of(Basis basis) {
    return basis == Basis::weighed ? "weighed" : "estimated";
}

struct Weight {
    Uncertain ct;
    Basis basis = Basis::weighed;
    std::optional<Estimate> estimate; // whenever dimensions, outline and density allow one
};

// Weighs or estimates. Errors and warnings are appended to `diagnostics` with pointers from the
// record's root; nothing is returned when there is an error. A weighed stone whose dimensions imply
// a density outside the plausible band gets the warning density_implausible.
std::optional<Weight> weigh(const Stone& stone, Diagnostics& diagnostics);

} // namespace trayworth::weight
