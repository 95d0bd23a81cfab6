#include "cli/answers.hpp"

#include "output/csv.hpp"
#include "output/diagnostic_text.hpp"
#include "output/html_card.hpp"
#include "output/json.hpp"
#include "output/sensitivity.hpp"
#include "output/text.hpp"
#include "weight/weigh.hpp"

#include <algorithm>

namespace trayworth::cli {
namespace {

bool meets_all(const std::vector<valuation::Condition>& only,
               const valuation::Candidate& candidate) {
    return std::all_of(only.begin(), only.end(), [&](const auto& condition) {
        return valuation::matches(condition, candidate);
    });
}

Share share_of(const Stone& stone,
               const valuation::Valuation& valuation,
               const Diagnostics& warnings) {
    return {output::row_of(stone, valuation, warnings), valuation.likely, valuation.outer,
            valuation.effects};
}

constexpr auto everything = [](const Stone&, const auto*, bool) { return true; };

} // namespace

void Answers::tell(const Diagnostics& diagnostics, Answer& answer) const {
    if (diagnostics.empty()) {
        return;
    }
    if (rendering_.faults) {
        answer.faults = output::diagnostic_lines(diagnostics);
    }
    if (rendering_.errors_as_json) {
        answer.err = output::diagnostic_lines(diagnostics);
    }
}

std::string Answers::told(const Diagnostics& diagnostics) const {
    return rendering_.errors_as_json ? output::diagnostic_lines(diagnostics)
                                     : output::diagnostic_texts(diagnostics, rendering_.err);
}

output::JsonWriter Answers::writer(std::string& out) const {
    const bool pretty = rendering_.format == Format::json;
    return {out, pretty ? output::Layout::pretty : output::Layout::compact, rendering_.depth};
}

Answer Answers::refuse(const std::optional<std::string>& id, const Diagnostics& diagnostics) const {
    Answer answer;
    answer.refused = true;
    tell(diagnostics, answer);
    if (rendering_.told_apart) {
        answer.left_out = true;
        answer.err = told(diagnostics);
        return answer;
    }
    if (rendering_.format == Format::csv) {
        answer.out = output::csv_refused(id, diagnostics);
        return answer;
    }
    if (rendering_.format == Format::html) {
        answer.out = output::html_refused(id, diagnostics);
        answer.share.emplace(Share{output::row_of(id, diagnostics), 0, {}, {}});
        return answer;
    }
    if (rendering_.format != Format::text) {
        output::JsonWriter json = writer(answer.out);
        output::write_refused(json, id, diagnostics);
        return answer;
    }
    if (!rendering_.in_full) {
        answer.share.emplace(Share{output::row_of(id, diagnostics), 0, {}, {}});
    }
    answer.err = told(diagnostics);
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
            if (rendering().brief) {
                output::write_valued_briefly(json, stone, valuation, matrix);
            } else {
                output::write_valued(json, stone, valuation, matrix, warnings);
            }
        },
        [&](const Stone& stone, const valuation::Valuation& valuation, const Diagnostics& warnings,
            Answer& answer) {
            const Format format = rendering().format;
            if (format == Format::csv) {
                answer.out = output::csv_valued(stone, valuation, matrix, warnings);
            } else if (format == Format::html) {
                answer.out = output::html_valued(stone, valuation, matrix, warnings);
            } else if (rendering().in_full) {
                answer.out =
                    output::valued_text(stone, valuation, matrix, warnings, rendering().out);
            }
            if (format == Format::html || (format == Format::text && !rendering().in_full)) {
                answer.share = share_of(stone, valuation, warnings);
            }
        },
        [&](const Stone& stone, const valuation::Valuation* valuation, bool warned) {
            return meets_all(only_, {stone, valuation, warned});
        });
}

Answer SensitivityAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    return respond(
        frame, defaults,
        [&](const Stone& stone, Diagnostics& diagnostics) {
            return valuation::sensitivity(stone, request_, diagnostics);
        },
        [&](output::JsonWriter& json, const Stone& stone, const valuation::Sensitivity& found,
            const Diagnostics& warnings) {
            output::write_sensitivity(json, stone, found, request_.matrix, warnings);
        },
        [&](const Stone& stone, const valuation::Sensitivity& found, const Diagnostics& warnings,
            Answer& answer) { write(stone, found, warnings, answer); },
        [&](const Stone& stone, const valuation::Sensitivity* found, bool warned) {
            return meets_all(only_,
                             {stone, found != nullptr ? &found->valuation : nullptr, warned});
        });
}

void SensitivityAnswers::write(const Stone& stone,
                               const valuation::Sensitivity& sensitivity,
                               const Diagnostics& warnings,
                               Answer& answer) const {
    const pricing::Matrix& matrix = request_.matrix;
    const valuation::Valuation& valuation = sensitivity.valuation;
    if (rendering().format == Format::html) {
        answer.out = output::html_valued(stone, valuation, matrix, warnings) +
                     output::html_sensitivity(sensitivity, matrix);
        answer.share = share_of(stone, valuation, warnings);
    } else if (drawing_ == Drawing::svg) {
        answer.out = output::sensitivity_svg(stone, sensitivity, matrix);
        answer.err = told(warnings);
    } else {
        answer.out =
            output::sensitivity_text(stone, sensitivity, matrix, warnings, rendering().out);
    }
}

std::string ValueAnswers::header() const {
    return output::csv_header();
}

Answer WeighAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    return respond(
        frame, defaults, weight::weigh,
        [](output::JsonWriter& json, const Stone& stone, const weight::Weight& weight,
           const Diagnostics& warnings) { output::write_weighed(json, stone, weight, warnings); },
        [&](const Stone& stone, const weight::Weight& weight, const Diagnostics& warnings,
            Answer& answer) {
            answer.out = output::weighed_text(stone, weight, warnings, rendering().out);
        },
        everything);
}

Answer DescribeAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    return respond(
        frame, defaults,
        [&](const Stone& stone, Diagnostics& diagnostics) -> std::optional<output::Description> {
            const std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
            if (!weight) {
                return std::nullopt;
            }
            std::optional<output::Description> description =
                output::describe(stone, *weight, spelling_, diagnostics);
            if (description && form_) {
                description->filled = output::filled(*form_, stone, *description, diagnostics);
            }
            return has_errors(diagnostics) ? std::nullopt : description;
        },
        [](output::JsonWriter& json, const Stone& stone, const output::Description& description,
           const Diagnostics& warnings) {
            output::write_described(json, stone, description, warnings);
        },
        [&](const Stone& stone, const output::Description& description, const Diagnostics& warnings,
            Answer& answer) {
            answer.out = output::described_text(stone, description, rendering().out);
            answer.err = told(warnings);
        },
        everything);
}

std::string OfferAnswers::header() const {
    return output::offer_header(columns_);
}

std::optional<output::Offer> OfferAnswers::offer_of(const Stone& stone,
                                                    Diagnostics& diagnostics) const {
    std::optional<valuation::Valuation> valuation = valuation::value(stone, request_, diagnostics);
    if (!valuation) {
        return std::nullopt;
    }
    Diagnostics wording;
    std::optional<output::Description> description =
        output::describe(stone, valuation->weight, spelling_, wording);
    const std::optional<pricing::AskingPrice> price =
        pricing::asking_price(valuation->likely, terms_.matrix, terms_.tax, wording);
    const auto told_already = [&diagnostics](const Diagnostic& one) {
        return std::any_of(diagnostics.begin(), diagnostics.end(), [&one](const Diagnostic& other) {
            return other.code == one.code && other.pointer == one.pointer;
        });
    };
    std::erase_if(wording, told_already);
    diagnostics.insert(diagnostics.end(), wording.begin(), wording.end());
    if (!description || !price) {
        return std::nullopt;
    }
    return output::Offer{std::move(*description), std::move(valuation->weight), *price};
}

Answer OfferAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    return respond(
        frame, defaults,
        [&](const Stone& stone, Diagnostics& diagnostics) { return offer_of(stone, diagnostics); },
        [&](output::JsonWriter& json, const Stone& stone, const output::Offer& offer,
            const Diagnostics&) { output::write_offer(json, stone, offer, terms_); },
        [&](const Stone& stone, const output::Offer& offer, const Diagnostics&, Answer& answer) {
            answer.out = rendering().format == Format::csv
                             ? output::offer_row(stone, offer, terms_, columns_)
                             : output::offer_text(stone, offer, terms_, rendering().out);
        },
        everything);
}

std::optional<weight::Weight> check_complete(const Stone& stone, Diagnostics& diagnostics) {
    std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
    Diagnostics grading;
    valuation::require_grading(stone, grading);
    // A record of common opal is sound; that it has no price is not asked here.
    std::erase_if(grading, [](const Diagnostic& d) { return d.code == Code::not_priced; });
    diagnostics.insert(diagnostics.end(), grading.begin(), grading.end());
    return has_errors(diagnostics) ? std::nullopt : weight;
}

Answer CheckAnswers::answer(const io::Frame& frame, const Stone* defaults) const {
    return respond(
        frame, defaults, check_complete,
        [](output::JsonWriter& json, const Stone& stone, const weight::Weight&,
           const Diagnostics& warnings) { output::write_sound(json, stone, warnings); },
        [&](const Stone&, const weight::Weight&, const Diagnostics& warnings, Answer& answer) {
            answer.err = told(warnings);
        },
        everything);
}

} // namespace trayworth::cli
