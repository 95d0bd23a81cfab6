#include "output/description.hpp"

#include "core/decimal.hpp"
#include "core/disclosure.hpp"
#include "core/nomenclature.hpp"
#include "output/json.hpp"
#include "output/safe_text.hpp"
#include "weight/carats.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

std::string capital(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') {
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    }
    return text;
}

std::string either(const Words& words) {
    return words.is_point() ? words.first : words.first + " or " + words.second;
}

// "12.1", "12 to 12.2"
template<class Number>
std::string from_to(Number low, Number high) {
    return low == high ? fmt::format("{}", low) : fmt::format("{} to {}", low, high);
}

std::string per_cent(Range<double> share) {
    constexpr double hundred = 100;
    constexpr int digits = 3;
    return from_to(to_significant(share.low * hundred, digits),
                   to_significant(share.high * hundred, digits)) +
           " %";
}

std::string listed(const std::vector<std::string>& parts) {
    std::string text;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        text += i == 0 ? "" : i + 1 == parts.size() ? " and " : ", ";
        text += parts[i];
    }
    return text;
}

std::string size_of(const Dimensions& mm) {
    std::string size;
    for (const std::optional<Reading>* side : {&mm.length, &mm.width, &mm.depth}) {
        if (*side) {
            size += (size.empty() ? "" : " x ") + from_to((*side)->low, (*side)->high);
        }
    }
    return size.empty() ? "" : size + " mm";
}

std::string carats(const weight::Weight& weight) {
    return weight::carats_text(Carat{weight.ct.value}) + " ct" +
           (weight.basis == weight::Basis::weighed ? "" : " (estimated)");
}

std::string title_of(const Stone& stone, const Description& description) {
    std::string title = capital(description.name) + ", " + description.weight;
    const std::string size = size_of(stone.dimensions_mm);
    if (stone.cut.outline || !size.empty()) {
        title += ", " + stone.cut.outline.value_or("") +
                 (stone.cut.outline && !size.empty() ? " " : "") + size;
    }
    return title;
}

// Words for a place between dimmest, 0, and brightest, 1: common practice, no source.
std::string_view brightness_word(double place) {
    struct Step {
        double from;
        std::string_view word;
    };
    constexpr std::array<Step, 5> words{{{0.9, "brilliant"},
                                         {0.65, "very bright"},
                                         {0.4, "bright"},
                                         {0.15, "subdued"},
                                         {-1, "faint"}}};
    return std::find_if(words.begin(), words.end(),
                        [place](const Step& step) { return place >= step.from; })
        ->word;
}

std::string brightness_phrase(const Brightness& brightness) {
    const Range<double> grade = *brightness.grade;
    const BrightnessScale scale{*brightness.steps, *brightness.brightest};
    const BrightnessScale upwards{scale.steps, scale.steps};
    const auto word = [&](double of) {
        return brightness_word((map_brightness(of, scale, upwards) - 1) / (scale.steps - 1));
    };
    const std::string_view low = word(grade.low);
    const std::string_view high = word(grade.high);
    return fmt::format("{} (brightness {} on a scale of 1 to {}, {} being the brightest)",
                       low == high ? std::string(low) : fmt::format("{} to {}", low, high),
                       from_to(grade.low, grade.high), scale.steps, scale.brightest);
}

std::string colours_phrase(const std::vector<ColourShare>& colours) {
    std::vector<ColourShare> ordered = colours;
    const auto middle = [](const ColourShare& one) {
        return one.share ? one.share->low + one.share->high : 0;
    };
    std::stable_sort(ordered.begin(), ordered.end(),
                     [&](const auto& a, const auto& b) { return middle(a) > middle(b); });
    std::vector<std::string> parts;
    parts.reserve(ordered.size());
    for (const ColourShare& one : ordered) {
        parts.push_back(one.colour + (one.share ? " (" + per_cent(*one.share) + ")" : ""));
    }
    return listed(parts);
}

std::string play_sentence(const Stone& stone, Spelling spelling) {
    const std::string_view colour = spelling == Spelling::british ? "colour" : "color";
    if (stone.no_play_of_colour) {
        return fmt::format("It is common opal, without play-of-{}.", colour);
    }
    std::string text;
    if (stone.brightness && stone.brightness->grade && stone.brightness->steps &&
        stone.brightness->brightest) {
        text = fmt::format("Its play-of-{} is {}", colour, brightness_phrase(*stone.brightness));
    }
    if (!stone.play_of_colour) {
        return text.empty() ? "" : text + ".";
    }
    const PlayOfColour& play = *stone.play_of_colour;
    const auto add = [&](const std::string& phrase) {
        text += text.empty() ? fmt::format("Its play-of-{} shows ", colour) : "; it shows ";
        text += phrase;
    };
    if (play.colours && !play.colours->empty()) {
        add(colours_phrase(*play.colours));
    }
    if (play.pattern) {
        text += text.empty() ? "Its pattern is " : ", in the pattern ";
        text += either(*play.pattern);
    }
    if (play.coverage) {
        text += text.empty() ? "Colour" : ",";
        text += " over " + per_cent(*play.coverage) + " of the face";
    }
    if (play.directionality) {
        text += text.empty() ? "Directionality: " : "; directionality: ";
        text += either(*play.directionality);
    }
    return text.empty() ? "" : text + ".";
}

std::string body_sentence(const Stone& stone, Spelling spelling) {
    std::vector<std::string> parts;
    if (stone.body_tone) {
        const Range<int> tone = *stone.body_tone;
        parts.push_back(fmt::format(
            "a body tone of {}{} on the scale from N1, the darkest, to N9, the lightest",
            tone_name(tone.low),
            tone.is_point() ? "" : fmt::format(" to {}", tone_name(tone.high))));
    }
    if (stone.body_hue) {
        parts.push_back(fmt::format("a {} body {}", *stone.body_hue,
                                    spelling == Spelling::british ? "colour" : "color"));
    }
    std::string text = parts.empty() ? "" : "It has " + listed(parts);
    if (stone.transparency) {
        const Range<Transparency> range = *stone.transparency;
        text += text.empty() ? "It" : ", and it";
        text += fmt::format(" is {}{}", name_of(range.low),
                            range.is_point() ? "" : fmt::format(" to {}", name_of(range.high)));
    }
    return text.empty() ? "" : text + ".";
}

std::string cut_sentence(const Cut& cut) {
    std::vector<std::string> parts;
    if (cut.dome) {
        parts.push_back("a " + either(*cut.dome) + " dome");
    }
    if (cut.back) {
        parts.push_back("a " + *cut.back + " back");
    }
    std::string text = parts.empty() ? "" : "It is cut with " + listed(parts);
    if (cut.polish) {
        text += (text.empty() ? "Its polish is " : ", and its polish is ") + either(*cut.polish);
    }
    return text.empty() ? "" : text + ".";
}

std::string faults_sentence(const Stone& stone) {
    if (!stone.faults) {
        return "Its faults are not stated.";
    }
    if (stone.faults->empty()) {
        return "No faults were seen.";
    }
    std::vector<std::string> parts;
    parts.reserve(stone.faults->size());
    for (const Fault& fault : *stone.faults) {
        parts.push_back(fmt::format("{} {} ({})", either(fault.severity), fault.kind, fault.place));
    }
    return "Faults: " + listed(parts) + ".";
}

// Usual advice of the trade: common practice, no source.
std::vector<std::string> care_for(const Stone& stone) {
    std::vector<std::string> sentences{
        "Keep it from knocks, from heat and from sudden changes of temperature; no ultrasonic or "
        "steam cleaner."};
    const bool composite = stone.type && is_composite(*stone.type);
    const bool hydrophane = stone.hydrophane.value_or(false);
    const bool treated = stone.treatments && !stone.treatments->empty();
    if (composite) {
        sentences.emplace_back("Wipe it with a damp cloth and do not soak it: water can part the "
                               "layers.");
    } else if (hydrophane) {
        sentences.emplace_back("Keep it dry, and away from oils, soap and dyes.");
    } else {
        sentences.emplace_back("Wash it in lukewarm water with mild soap.");
    }
    if (treated) {
        sentences.emplace_back("No solvents: they can take a treatment out.");
    }
    return sentences;
}

// Each word that the grader chose, with its place in the record.
std::vector<std::pair<std::string, std::string>> words_of(const Stone& stone) {
    std::vector<std::pair<std::string, std::string>> all;
    const auto add = [&all](std::string pointer, const auto& text) {
        if (text) {
            all.emplace_back(std::move(pointer), *text);
        }
    };
    const auto add_words = [&all](const std::string& pointer, const std::optional<Words>& words) {
        if (words) {
            all.emplace_back(pointer, either(*words));
        }
    };
    add("/body_hue", stone.body_hue);
    add("/cut/outline", stone.cut.outline);
    add("/cut/back", stone.cut.back);
    add_words("/cut/polish", stone.cut.polish);
    if (stone.treatments) {
        for (std::size_t i = 0; i < stone.treatments->size(); ++i) {
            all.emplace_back(fmt::format("/treatments/{}", i), (*stone.treatments)[i]);
        }
    }
    if (stone.play_of_colour) {
        add_words("/play_of_colour/pattern", stone.play_of_colour->pattern);
        add_words("/play_of_colour/directionality", stone.play_of_colour->directionality);
        if (stone.play_of_colour->colours) {
            for (std::size_t i = 0; i < stone.play_of_colour->colours->size(); ++i) {
                all.emplace_back(fmt::format("/play_of_colour/colours/{}/colour", i),
                                 (*stone.play_of_colour->colours)[i].colour);
            }
        }
    }
    if (stone.faults) {
        for (std::size_t i = 0; i < stone.faults->size(); ++i) {
            const Fault& fault = (*stone.faults)[i];
            all.emplace_back(fmt::format("/faults/{}", i),
                             fault.kind + " " + fault.place + " " + either(fault.severity));
        }
    }
    return all;
}

bool only_fitting_words(const Stone& stone, Diagnostics& diagnostics) {
    bool fitting = true;
    for (const auto& [pointer, text] : words_of(stone)) {
        if (const std::optional<BarredWord> barred = barred_word(stone, text)) {
            diagnostics.push_back(
                {Code::word_barred, Severity::error, pointer,
                 fmt::format("The word \"{}\" may not describe {}.", barred->word, barred->reason),
                 "Say it in another word, or correct the type, treatments or faults."});
            fitting = false;
        }
    }
    return fitting;
}

} // namespace

std::optional<Description> describe(const Stone& stone,
                                    const weight::Weight& weight,
                                    Spelling spelling,
                                    Diagnostics& diagnostics) {
    if (!stone.type) {
        diagnostics.push_back({Code::field_missing, Severity::error, "/type",
                               "A description has to say what the stone is, and its type is not "
                               "stated.",
                               "Add \"type\": solid, boulder, matrix, doublet, triplet, mosaic, "
                               "synthetic or imitation."});
        return std::nullopt;
    }
    if (!only_fitting_words(stone, diagnostics)) {
        return std::nullopt;
    }
    if (!stone.treatments) {
        diagnostics.push_back({Code::not_stated, Severity::warning, "/treatments",
                               "\"treatments\" is not stated, and the description says so.",
                               "State \"treatments\": [] when the stone was examined and none were "
                               "found."});
    }
    Description result;
    result.name = name_stone(stone).name;
    result.weight = carats(weight);
    result.title = title_of(stone, result);
    std::vector<std::string> sentences{body_sentence(stone, spelling),
                                       play_sentence(stone, spelling), cut_sentence(stone.cut),
                                       faults_sentence(stone)};
    if (stone.treatments && stone.treatments->empty()) {
        sentences.emplace_back("No treatment is known.");
    }
    if (weight.basis == weight::Basis::estimated) {
        sentences.emplace_back("Its weight is estimated from its dimensions.");
    }
    if (stone.mounted.value_or(false)) {
        sentences.emplace_back("It is set in a mount.");
    }
    for (const std::string& sentence : sentences) {
        if (!sentence.empty()) {
            result.text += (result.text.empty() ? "" : " ") + sentence;
        }
    }
    result.disclosures = disclosures(stone);
    result.care = care_for(stone);
    return result;
}

const std::vector<std::string_view>& template_fields() {
    static const std::vector<std::string_view> names{
        "id",   "title",       "name",        "weight", "outline",
        "size", "description", "disclosures", "care",   "notes"};
    return names;
}

std::optional<std::string> filled(const std::string& form,
                                  const Stone& stone,
                                  const Description& description,
                                  Diagnostics& diagnostics) {
    // The template is checked; what a record holds must not act on a terminal either.
    const auto joined = [](const std::vector<std::string>& sentences) {
        return safe(fmt::format("{}", fmt::join(sentences, " ")));
    };
    const std::string text = fmt::format(
        fmt::runtime(form), fmt::arg("id", safe(stone.id.value_or(""))),
        fmt::arg("title", safe(description.title)), fmt::arg("name", safe(description.name)),
        fmt::arg("weight", description.weight),
        fmt::arg("outline", safe(stone.cut.outline.value_or(""))),
        fmt::arg("size", size_of(stone.dimensions_mm)),
        fmt::arg("description", safe(description.text)),
        fmt::arg("disclosures", joined(description.disclosures)),
        fmt::arg("care", joined(description.care)),
        fmt::arg("notes", safe(stone.notes.value_or(""))));
    const auto error = [&diagnostics](Code code, std::string message, std::string hint) {
        diagnostics.push_back({code, Severity::error, "", std::move(message), std::move(hint)});
    };
    for (const std::string& sentence : description.disclosures) {
        if (text.find(safe(sentence)) == std::string::npos) {
            error(Code::template_field,
                  "The template leaves out what has to be disclosed: \"" + sentence + "\"",
                  "Add the placeholder {disclosures}, without a width or a precision.");
        }
    }
    if (text.find(safe(description.name)) == std::string::npos &&
        text.find(safe(capital(description.name))) == std::string::npos) {
        error(Code::template_field, "The template does not say what the stone is.",
              "Add the placeholder {title} or {name}.");
    }
    if (const std::optional<BarredWord> barred = barred_word(stone, text)) {
        error(Code::word_barred,
              fmt::format("The word \"{}\" may not describe {}.", barred->word, barred->reason),
              "Take it out of the template or the notes; a disclosure says it in other words.");
    }
    return text;
}

std::string described_text(const Stone& stone, const Description& description, TextStyle style) {
    if (description.filled) {
        return *description.filled;
    }
    std::string text = paint(style, strong, wrapped(description.title, style.width, 0)) + "\n";
    const auto paragraph = [&](const std::string& sentences) {
        if (!sentences.empty()) {
            text += "\n" + wrapped(sentences, style.width, 0) + "\n";
        }
    };
    paragraph(fmt::format("{}", fmt::join(description.disclosures, " ")));
    paragraph(description.text);
    paragraph(fmt::format("{}", fmt::join(description.care, " ")));
    if (stone.id) {
        text += "\n" + safe(*stone.id) + "\n";
    }
    return text;
}

void write_described(JsonWriter& json,
                     const Stone& stone,
                     const Description& description,
                     const Diagnostics& warnings) {
    const auto texts = [&json](const Key& name, const std::vector<std::string>& sentences) {
        json.key(name);
        json.begin_array();
        for (const std::string& sentence : sentences) {
            json.text(sentence);
        }
        json.end_array();
    };
    json.begin_object();
    json.key("id");
    if (stone.id) {
        json.text(*stone.id);
    } else {
        json.null();
    }
    json.member("title", description.title);
    json.member("name", description.name);
    json.member("weight", description.weight);
    texts("disclosures", description.disclosures);
    json.member("description", description.text);
    texts("care", description.care);
    if (description.filled) {
        json.member("filled", *description.filled);
    }
    json.key("warnings");
    json.begin_array();
    for (const Diagnostic& warning : warnings) {
        write_diagnostic(json, warning);
    }
    json.end_array();
    json.end_object();
}

} // namespace trayworth::output
