#include "cli/answers.hpp"

#include "output/json.hpp"
#include "output/text.hpp"
#include "weight/weigh.hpp"

namespace trayworth::cli {

output::JsonWriter Answers::writer(std::string& out) const {
    const bool pretty = rendering_.format == Format::json;
    return {out, pretty ? output::Layout::pretty : output::Layout::compact, rendering_.depth};
}

Answer Answers::refuse(const std::optional<std::string>& id, const Diagnostics& diagnostics) const {
    Answer answer;
    answer.refused = true;
    if (rendering_.format != Format::text) {
        output::JsonWriter json = writer(answer.out);
        output::write_refused(json, id, diagnostics);
        return answer;
    }
    if (!rendering_.in_full) {
        answer.out = output::refused_line(id, diagnostics, rendering_.out);
    }
    for (const Diagnostic& diagnostic : diagnostics) {
        answer.err += output::diagnostic_text(diagnostic, rendering_.err);
    }
    return answer;
}

Answer ValueAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    const pricing::Matrix& matrix = request_.matrix;
    return respond(
        frame, defaults,
        [&](const Stone& stone, Diagnostics& diagnostics) {
            return valuation::value(stone, request_, diagnostics);
        },
        [&](output::JsonWriter& json, const Stone& stone, const valuation::Valuation& valuation,
            const Diagnostics& warnings) {
            output::write_valued(json, stone, valuation, matrix, warnings);
        },
        [&](const Stone& stone, const valuation::Valuation& valuation,
            const Diagnostics& warnings) {
            return rendering().in_full
                       ? output::valued_text(stone, valuation, matrix, warnings, rendering().out)
                       : output::tray_line(stone, valuation, matrix, warnings, rendering().out);
        });
}

std::string ValueAnswers::heading() const {
    return output::tray_heading(request_.matrix, request_.level, rendering().out);
}

std::string ValueAnswers::footing() const {
    return output::tray_footing(request_.matrix, rendering().out);
}

Answer WeighAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    return respond(
        frame, defaults, weight::weigh,
        [](output::JsonWriter& json, const Stone& stone, const weight::Weight& weight,
           const Diagnostics& warnings) { output::write_weighed(json, stone, weight, warnings); },
        [&](const Stone& stone, const weight::Weight& weight, const Diagnostics& warnings) {
            return output::weighed_text(stone, weight, warnings, rendering().out);
        });
}

Answer CheckAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    Diagnostics warnings_found;
    Answer answer = respond(
        frame, defaults,
        [](const Stone& stone, Diagnostics& diagnostics) {
            std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
            Diagnostics grading;
            valuation::require_grading(stone, grading);
            // A record of common opal is sound; that it has no price is not asked here.
            std::erase_if(grading, [](const Diagnostic& d) { return d.code == Code::not_priced; });
            diagnostics.insert(diagnostics.end(), grading.begin(), grading.end());
            return has_errors(diagnostics) ? std::nullopt : weight;
        },
        [](output::JsonWriter& json, const Stone& stone, const weight::Weight&,
           const Diagnostics& warnings) { output::write_sound(json, stone, warnings); },
        [&](const Stone&, const weight::Weight&, const Diagnostics& warnings) {
            warnings_found = warnings;
            return std::string();
        });
    for (const Diagnostic& warning : warnings_found) {
        answer.err += output::diagnostic_text(warning, rendering().err);
    }
    return answer;
}

} // namespace trayworth::cli
