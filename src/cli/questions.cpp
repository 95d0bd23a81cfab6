#include "cli/questions.hpp"

#include "core/grades.hpp"
#include "weight/density.hpp"
#include "weight/profile.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <variant>

namespace trayworth::cli {
namespace {

using io::RecordDraft;
using pricing::Matrix;
using Vocabulary = std::vector<std::string>;

void add_word(Vocabulary& words, std::string_view word) {
    if (std::find(words.begin(), words.end(), word) == words.end()) {
        words.emplace_back(word);
    }
}

void add_entries(Vocabulary& words, const std::vector<pricing::Entry>& entries) {
    for (const pricing::Entry& entry : entries) {
        add_word(words, entry.name);
    }
}

template<class Range>
Vocabulary names_in(const Range& range) {
    Vocabulary words;
    for (const auto& one : range) {
        words.emplace_back(one.name);
    }
    return words;
}

// In the order of the matrix, each once: several factors may be over one field, for other stones.
template<pricing::WordField field>
Vocabulary matrix_words(const Matrix& matrix) {
    Vocabulary words;
    for (const pricing::Factor& factor : matrix.factors) {
        const auto* const category = std::get_if<pricing::Category>(&factor.rule);
        if (category != nullptr && category->field == field) {
            add_entries(words, category->values);
        }
    }
    return words;
}

template<class Take>
void each_fault(const Matrix& matrix, Take take) {
    for (const pricing::Factor& factor : matrix.factors) {
        if (const auto* const faults = std::get_if<pricing::Faults>(&factor.rule)) {
            std::for_each(faults->kinds.begin(), faults->kinds.end(), take);
        }
    }
}

Vocabulary type_words(const Matrix&) {
    return names_in(stone_types);
}
Vocabulary tone_words(const Matrix&) {
    return {tone_names.begin(), tone_names.end()};
}
Vocabulary transparency_words(const Matrix&) {
    return names_in(transparencies);
}
Vocabulary dome_words_offered(const Matrix&) {
    return {weight::dome_names.begin(), weight::dome_names.end()};
}
Vocabulary back_words_offered(const Matrix&) {
    return {weight::back_names.begin(), weight::back_names.end()};
}
Vocabulary variety_words(const Matrix&) {
    return names_in(weight::density_varieties());
}

bool shows_play(const RecordDraft& draft) {
    return draft.at("/play_of_colour") != "null";
}
bool has_grade(const RecordDraft& draft) {
    return shows_play(draft) && draft.at("/brightness/grade").has_value();
}
bool has_dimension(const RecordDraft& draft) {
    return draft.at("/dimensions_mm").has_value();
}
bool has_weight(const RecordDraft& draft) {
    const std::optional<std::string> value = draft.at("/weight_ct/value");
    return value && !value->starts_with('[');
}
bool lacks_weight(const RecordDraft& draft) {
    return !draft.at("/weight_ct");
}

} // namespace

std::span<const Question> questions() {
    using enum AnswerForm;
    using pricing::WordField;

    static constexpr std::string_view stone = "The stone";
    static constexpr std::string_view grades = "Its grades, face-up under one light";
    static constexpr std::string_view faults_section = "Its faults";
    static constexpr std::string_view cut = "Its cut and size";
    static constexpr std::string_view scales = "Its weight";

    static constexpr std::array table{
        Question{.section = stone,
                 .pointer = "/id",
                 .label = "Name or number",
                 .how = "as on your ticket",
                 .help = "What you call the stone.",
                 .form = text},
        Question{
            .section = stone,
            .pointer = "/type",
            .label = "Type",
            .how = "",
            .help =
                "Solid is one piece of opal; boulder is opal joined to its host rock by nature; "
                "matrix is opal in the pores of its host. Doublets, triplets and mosaics were "
                "put together by somebody. Look at the girdle under a loupe: what is put "
                "together has to be sold as that.",
            .form = word,
            .needed = true,
            .words = type_words},
        Question{.section = stone,
                 .pointer = "/treatments",
                 .label = "Treatments",
                 .how = "one a line, or \"none\" when you know of none",
                 .help =
                     "Everything done to the stone beside cutting and polishing that you know of, "
                     "or were told of. \"none\" says that you know of none; Enter says nothing. A "
                     "buyer has to be told of each.",
                 .form = treatments,
                 .none = "[]",
                 .words = matrix_words<WordField::treatments>,
                 .open = true},
        Question{.section = stone,
                 .pointer = "/hydrophane",
                 .label = "Hydrophane",
                 .how = "does it take up water? yes or no",
                 .help =
                     "A hydrophane opal clings to a moist finger and drinks a drop of water, and "
                     "may look and weigh otherwise afterwards. Do not wet a stone that you are "
                     "about to grade or weigh.",
                 .form = yes_no},
        Question{.section = grades,
                 .pointer = "/x-light",
                 .label = "Light",
                 .how = "under which light you grade, as: daylight lamp 5500 K, 30 cm",
                 .help =
                     "The same stone grades higher under a stronger lamp. Keep to one light and "
                     "write down which; it is kept in the record as \"x-light\" and does not touch "
                     "the value.",
                 .form = text},
        Question{.section = grades,
                 .pointer = "/body_tone",
                 .label = "Body tone",
                 .how = "darkest first; as N4, or N3 to N4",
                 .help =
                     "How light or dark the body is, play-of-colour aside, face-up: look from the "
                     "front where the colour does not flash, beside a set of tone samples. Where "
                     "you waver, give both, the darker first.",
                 .form = words,
                 .needed = true,
                 .words = tone_words},
        Question{.section = grades,
                 .pointer = "/body_hue",
                 .label = "Hue of the body",
                 .how = "as: orange; or \"none\"",
                 .help = "For a body that is coloured itself, as the orange of a fire opal.",
                 .form = text,
                 .none = "null"},
        Question{.section = grades,
                 .pointer = "/transparency",
                 .label = "Transparency",
                 .how = "or two, the clearer first, as: translucent to opaque",
                 .help =
                     "Hold it before a lamp or over print: what is read through it is transparent, "
                     "what glows is translucent, what stops the light is opaque.",
                 .form = words,
                 .needed = true,
                 .words = transparency_words},
        Question{.section = grades,
                 .pointer = "/play_of_colour",
                 .label = "Play-of-colour",
                 .how = "does it show any? yes or no",
                 .help = "Flashes of colour that move as the stone or the light is moved. An opal "
                         "without is common opal.",
                 .form = play,
                 .needed = true},
        Question{.section = grades,
                 .pointer = "/brightness/grade",
                 .label = "Brightness",
                 .how = "your grade, as 3, or 2.5 to 3; the scale is asked for next",
                 .help =
                     "How bright the play-of-colour is, from the distance of a hand, on the scale "
                     "that you use. Where you waver, give both ends, the smaller number first.",
                 .form = numbers,
                 .needed = true,
                 .arises = shows_play},
        Question{.section = grades,
                 .pointer = "/brightness/steps",
                 .label = "Steps of that scale",
                 .how = "how many of its grades show play-of-colour, as 5",
                 .help =
                     "A scale from 1 to 5 has 5. So has one from 0 to 5 whose 0 says that there is "
                     "no play-of-colour.",
                 .form = number,
                 .needed = true,
                 .arises = has_grade},
        Question{.section = grades,
                 .pointer = "/brightness/brightest",
                 .label = "Its brightest grade",
                 .how = "the first or the last: 1, or the number of steps",
                 .help =
                     "Some scales count from the brightest, some from the dimmest: the same number "
                     "means the opposite on the two.",
                 .form = number,
                 .needed = true,
                 .arises = has_grade},
        Question{.section = grades,
                 .pointer = "/play_of_colour/colours",
                 .label = "Colours",
                 .how = "the strongest first, one a line with its share, as: blue 0.6",
                 .help =
                     "Every colour that the face shows as the stone is turned, each with its share "
                     "of the play-of-colour: a number from 0 to 1, or two, as: blue 0.5 to 0.6. "
                     "The shares add up to 1.",
                 .form = colours,
                 .needed = true,
                 .words = colour_words,
                 .open = true,
                 .arises = shows_play},
        Question{.section = grades,
                 .pointer = "/play_of_colour/pattern",
                 .label = "Pattern",
                 .how = "or two, as: flash to broad flash",
                 .help =
                     "The shape of the patches of colour, face-up. The trade does not agree on the "
                     "names; these are those that the matrix prices.",
                 .form = words,
                 .needed = true,
                 .words = matrix_words<WordField::pattern>,
                 .open = true,
                 .arises = shows_play},
        Question{.section = grades,
                 .pointer = "/play_of_colour/coverage",
                 .label = "Coverage",
                 .how = "share of the face that shows colour, 0 to 1, as 0.9, or 0.8 to 0.9",
                 .help = "Nine tenths is 0.9. Count what shows colour at some angle.",
                 .form = numbers,
                 .arises = shows_play},
        Question{.section = grades,
                 .pointer = "/play_of_colour/directionality",
                 .label = "Directionality",
                 .how = "or two, as: slight to moderate",
                 .help = "How far the colour fades as the stone is turned under the lamp.",
                 .form = words,
                 .words = matrix_words<WordField::directionality>,
                 .open = true,
                 .arises = shows_play},
        Question{.section = faults_section,
                 .pointer = "/faults",
                 .label = "Faults",
                 .how = "one a line: kind, place, severity; or \"none\" when you found none",
                 .help =
                     "As: potch line, face, minor. Look with a loupe, face-up, then from the back "
                     "and the girdle, then with a light behind it. \"none\" says that you looked "
                     "and found none; Enter says nothing.",
                 .form = faults,
                 .none = "[]",
                 .words = fault_words,
                 .open = true},
        Question{.section = cut,
                 .pointer = "/cut/outline",
                 .label = "Outline",
                 .how = "",
                 .help = "The shape seen face-up.",
                 .form = word,
                 .words = matrix_words<WordField::outline>,
                 .open = true},
        Question{.section = cut,
                 .pointer = "/cut/dome",
                 .label = "Dome",
                 .how = "or two, as: low to medium",
                 .help = "Its height over its width: under 0.3 is low, from 0.6 it is high.",
                 .form = words,
                 .words = dome_words_offered},
        Question{.section = cut,
                 .pointer = "/cut/back",
                 .label = "Back of the stone",
                 .how = "",
                 .help = "Flat, convex, or double: domed as the face is.",
                 .form = word,
                 .words = back_words_offered},
        Question{.section = cut,
                 .pointer = "/cut/polish",
                 .label = "Polish",
                 .how = "or two, as: good to excellent",
                 .help =
                     "The polish as a whole. Tilt the stone until a lamp mirrors in it: scratches "
                     "and orange peel break the mirror image.",
                 .form = words,
                 .words = matrix_words<WordField::polish>,
                 .open = true},
        Question{.section = cut,
                 .pointer = "/dimensions_mm/length",
                 .label = "Length, mm",
                 .how = "the longest measure of the outline, as 12.10, or 12 to 12.2",
                 .help =
                     "Write every digit that you read: 12.10 says more than 12.1. Open the jaws of "
                     "the gauge gently: opal chips.",
                 .form = numbers},
        Question{.section = cut,
                 .pointer = "/dimensions_mm/width",
                 .label = "Width, mm",
                 .how = "the measure across it",
                 .help = "At right angles to the length, where the stone is widest.",
                 .form = numbers},
        Question{.section = cut,
                 .pointer = "/dimensions_mm/depth",
                 .label = "Depth, mm",
                 .how = "the whole height, from the back to the top",
                 .help = "From the lowest to the highest point, the stone lying on its back.",
                 .form = numbers},
        Question{.section = cut,
                 .pointer = "/dimensions_mm/uncertainty",
                 .label = "Uncertainty of each, mm",
                 .how = "standard uncertainty, as 0.02",
                 .help =
                     "How far a reading is off as a rule: measure one stone several times and see. "
                     "Without it, the last digit that you wrote counts.",
                 .form = number,
                 .arises = has_dimension},
        Question{
            .section = scales,
            .pointer = "/mounted",
            .label = "In a setting",
            .how = "yes or no",
            .help =
                "A stone in a setting is not weighed: leave its weight out, and it is estimated "
                "from its size.",
            .form = yes_no},
        Question{.section = scales,
                 .pointer = "/weight_ct/value",
                 .label = "Weight by the scale, ct",
                 .how = "as 3.61; leave it out, and it is estimated from outline and size",
                 .help = "Dry, and out of any setting. Without a weight, the outline and all three "
                         "measures are needed.",
                 .form = numbers},
        Question{.section = scales,
                 .pointer = "/weight_ct/uncertainty",
                 .label = "Uncertainty of the weight, ct",
                 .how = "standard uncertainty, as 0.005",
                 .help = "What the scale's paper says, or how far weighing twice differs.",
                 .form = number,
                 .arises = has_weight},
        Question{.section = scales,
                 .pointer = "/density",
                 .label = "Density of the opal, g/cm3",
                 .how = "a variety, or a number, as 2.10, or 2.06 to 2.14",
                 .help = "For the estimate of the weight. Without it, that of opal as a rule.",
                 .form = numbers,
                 .words = variety_words,
                 .arises = lacks_weight},
        Question{.section = scales,
                 .pointer = "/notes",
                 .label = "Notes",
                 .how = "anything else worth saying",
                 .help = "It does not touch the value.",
                 .form = text},
    };
    return table;
}

Vocabulary colour_words(const Matrix& matrix) {
    Vocabulary words;
    for (const pricing::Factor& factor : matrix.factors) {
        if (const auto* const weighted = std::get_if<pricing::ShareWeighted>(&factor.rule)) {
            add_entries(words, weighted->values);
        }
    }
    return words;
}

Vocabulary fault_words(const Matrix& matrix) {
    Vocabulary words;
    each_fault(matrix, [&](const pricing::FaultKind& kind) { add_word(words, kind.name); });
    return words;
}

Vocabulary place_words(const Matrix& matrix, std::string_view kind) {
    Vocabulary words;
    each_fault(matrix, [&](const pricing::FaultKind& known) {
        for (const pricing::FaultPlace& place : known.places) {
            if (known.name == kind) {
                add_word(words, place.name);
            }
        }
    });
    return words;
}

Vocabulary severity_words(const Matrix& matrix, std::string_view kind, std::string_view place) {
    Vocabulary words;
    each_fault(matrix, [&](const pricing::FaultKind& known) {
        for (const pricing::FaultPlace& there : known.places) {
            if (known.name == kind && there.name == place) {
                add_entries(words, there.severities);
            }
        }
    });
    return words;
}

} // namespace trayworth::cli
