// What one step of each grade is worth: the stone with one field changed, valued again.
//
// The steps are of a size that a grader may err by, so that they can be compared:
//   body tone       one grade darker or lighter, both ends of a straddle
//   brightness      half a grade on a scale of up to seven, a whole one on a finer scale (the trade
//                   calls halves on short scales; common practice, no source)
//   transparency    one grade
//   colours         0.05 of the play-of-colour from the cheapest of the stone's colours to the
//                   dearest, or back
//   coverage        0.05 of the face, up to its whole
//   words           (pattern, directionality, polish, ...) the priced word that is next below in
//                   value, and the next above; of a straddle, its two ends as a rule
//   weight          0.1 ct; of an estimated weight, as if the scale had said so
//   faults          each one absent
// A step beyond the end of a scale is none. One that the matrix does not price is kept with the
// reason why. Type, treatments and mounting are facts and not calls of a grader: no steps.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "valuation/value.hpp"

#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace trayworth::valuation {

// What a field is changed to, as the record writes it.
using NewValue = std::variant<Range<int>,          // body tone
                              Range<double>,       // a grade, a share
                              Range<Transparency>, //
                              std::string,         // a word
                              bool,                //
                              Reading,             // limits or a value with its uncertainty
                              std::vector<ColourShare>,
                              std::vector<Fault>>;

struct Step {
    std::string to; // in words: "N4 to N5", "without it"
    NewValue value; // of the axis's field
    // In the currency of the matrix's values; nothing where the matrix does not price the step.
    std::optional<double> likely;
    std::optional<Diagnostic> refused{}; // why not
};

struct Axis {
    std::string name;  // "body tone", "fault: potch line, face"
    std::string field; // JSON Pointer into the record
    std::string read;  // what the record says
    std::vector<Step> steps;

    // The largest change of the likely value, either way.
    [[nodiscard]] double size(double likely) const;
};

struct Sensitivity {
    Valuation valuation;    // of the stone as it is
    std::vector<Axis> axes; // largest first; those without any priced step last
};

// The request's Explain and trials apply to the stone as it is. Errors and warnings as value().
std::optional<Sensitivity>
sensitivity(const Stone& stone, const Request& request, Diagnostics& diagnostics);

} // namespace trayworth::valuation
