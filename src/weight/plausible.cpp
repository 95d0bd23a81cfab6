// Symbols
//   L, W, D   length, width and depth, mm; a round or square stone may state one of L and W
//   rho       implied density, g/cm3: ct / (k L W D)
//   k         0.0026 ct per mm3 and g/cm3, for cabochons (GIA/Carmona weight-estimation handbook,
//             from memory); within 20 % for most published cabochons
//   f         millimetres in another unit: 10 in a centimetre, 25.4 in an inch
//   u         standard uncertainty; 2 u is taken for a limit (JCGM 100:2008, 6.2)
//
// Dimensions in centimetres imply a density f^3 = 1000 times too high, in inches 16387 times: so
// far apart that any opal, its host rock included, has a density within [1, 5] in one unit only.
//
// Body tone, its classes and "crystal": Gemmological Association of Australia, opal nomenclature,
// 1997; see core/nomenclature.hpp. The parts of composites: CIBJO Gemstone Book. That length is the
// longer measure, heart and triangle excepted, is common practice, no source; so is that cabochons
// are not cut deeper than wide, nor smaller than 2 mm.
#include "weight/plausible.hpp"

#include "core/decimal.hpp"
#include "core/nomenclature.hpp"
#include "weight/outline.hpp"
#include "weight/quoted.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>

namespace trayworth::weight {
namespace {

constexpr double handbook_k = 0.0026;
constexpr double millimetres_in_centimetre = 10;
constexpr double millimetres_in_inch = 25.4;  // exactly
constexpr Range<double> any_density{1, 5};    // g/cm3, with the spread of k
constexpr double longest_in_other_units = 10; // a cabochon of 10 cm is no longer than that
constexpr double shortest_length = 2;         // mm

constexpr std::string_view at_dimensions = "/dimensions_mm";
constexpr std::string_view at_colours = "/play_of_colour/colours";
constexpr std::string_view at_coverage = "/play_of_colour/coverage";
constexpr std::string_view at_hue = "/body_hue";

// ---- colours

void check_shares(const Stone& stone, Diagnostics& diagnostics) {
    if (!stone.play_of_colour || !stone.play_of_colour->colours) {
        return;
    }
    double total = 0;
    for (const ColourShare& colour : *stone.play_of_colour->colours) {
        total += colour.share ? (colour.share->low + colour.share->high) / 2 : 0;
    }
    if (total > 0 && std::abs(total - 1) > share_tolerance) {
        report(diagnostics, Code::shares_sum, at_colours,
               "The shares of colour sum to " + shortest(total, 4) + ", not to 1.",
               "A value takes each of them divided by the sum; correct them if that is not meant.");
    }
}

void check_coverage(const Stone& stone, Diagnostics& diagnostics) {
    const PlayOfColour* play = stone.play_of_colour ? &*stone.play_of_colour : nullptr;
    if (play != nullptr && play->coverage && play->coverage->high == 0) {
        report(
            diagnostics, Code::grades_contradict, at_coverage,
            "None of the face shows colour by its coverage of 0, and yet there " +
                std::string(play->pattern ? "is a pattern." : "are colours."),
            "Correct the coverage, or write \"play_of_colour\": null and \"brightness\": null for "
            "a stone without play-of-colour.");
    }
}

// ---- the body

bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

// Whether the text holds the word, which is in small letters, whatever the case.
bool has_word(std::string_view text, std::string_view word) {
    const auto same = [](char a, char b) {
        return (a >= 'A' && a <= 'Z' ? static_cast<char>(a - 'A' + 'a') : a) == b;
    };
    auto at = text.begin();
    while (true) {
        at = std::search(at, text.end(), word.begin(), word.end(), same);
        if (at == text.end()) {
            return false;
        }
        const auto end = at + static_cast<std::ptrdiff_t>(word.size());
        if ((at == text.begin() || !is_letter(*std::prev(at))) &&
            (end == text.end() || !is_letter(*end))) {
            return true;
        }
        ++at;
    }
}

std::string tones_of(const Range<int>& tone) {
    return tone.is_point()
               ? std::string(tone_name(tone.low))
               : std::string(tone_name(tone.low)) + " to " + std::string(tone_name(tone.high));
}

// A hue is said beside the tone and the transparency, not in their place.
void check_hue(const Stone& stone, Diagnostics& diagnostics) {
    if (!stone.body_hue) {
        return;
    }
    const std::string_view hue = *stone.body_hue;
    const std::optional<Range<int>>& tone = stone.body_tone;
    if (stone.transparency && stone.transparency->low == Transparency::opaque &&
        has_word(hue, "crystal")) {
        report(diagnostics, Code::grades_contradict, at_hue,
               "The body hue says crystal, and the transparency opaque.",
               "Crystal opal is transparent or translucent: correct the transparency, or leave the "
               "word out; a stone's name comes from its grades.");
    }
    if (tone && tone->low > lightest_black_tone && has_word(hue, "black")) {
        report(diagnostics, Code::grades_contradict, at_hue,
               "The body hue says black, and the body tone " + tones_of(*tone) + ".",
               "Black opal is N1 to N4: correct the tone, or leave the word out; a stone's name "
               "comes from its grades.");
    }
    if (tone && tone->high <= lightest_dark_tone && has_word(hue, "white")) {
        report(
            diagnostics, Code::grades_contradict, at_hue,
            "The body hue says white, and the body tone " + tones_of(*tone) + ".",
            "White opal is N9, and light opal N7 to N9: correct the tone, or leave the word out; "
            "a stone's name comes from its grades.");
    }
}

// ---- places of faults

// A part that only some stones have.
struct Part {
    std::string_view name;
    bool (*is_there)(StoneType);
    std::string_view of;
};

constexpr std::array<Part, 5> parts{{
    {"cap", [](StoneType type) { return type == StoneType::triplet; }, "a triplet"},
    {"backing",
     [](StoneType type) { return type == StoneType::doublet || type == StoneType::triplet; },
     "a doublet or triplet"},
    {"join", is_composite, "a doublet, triplet or mosaic"},
    {"host", [](StoneType type) { return type == StoneType::boulder || type == StoneType::matrix; },
     "a boulder or matrix opal"},
    {"ironstone", [](StoneType type) { return type == StoneType::boulder; }, "a boulder opal"},
}};

void check_fault_places(const Stone& stone, Diagnostics& diagnostics) {
    if (!stone.faults) {
        return;
    }
    for (std::size_t i = 0; i < stone.faults->size(); ++i) {
        const std::string& place = (*stone.faults)[i].place;
        const auto pointer = [i] { return "/faults/" + std::to_string(i) + "/place"; };
        if (place == "back" && stone.cut.back == "double") {
            report(diagnostics, Code::fault_place, pointer(),
                   "A double cabochon is domed on both sides and has no back.",
                   "Write the place of a fault that can be seen, such as \"face\"; a fault of the "
                   "back is priced as one that is out of sight.");
        }
        if (!stone.type) {
            continue;
        }
        for (const Part& part : parts) {
            if (place == part.name && !part.is_there(*stone.type)) {
                report(diagnostics, Code::fault_place, pointer(),
                       "A stone of type " + std::string(name_of(*stone.type)) + " has no " + place +
                           ": that is a part of " + std::string(part.of) + ".",
                       "Write the place where the fault is, or correct the type.");
            }
        }
    }
}

// ---- dimensions

// Null where it is not stated.
struct StatedSize {
    const Reading* length = nullptr;
    const Reading* width = nullptr;
    const Reading* depth = nullptr;

    [[nodiscard]] bool complete() const {
        return length != nullptr && width != nullptr && depth != nullptr;
    }
};

StatedSize size_of(const Stone& stone) {
    const auto read = [](const std::optional<Reading>& reading) {
        return reading ? &*reading : nullptr;
    };
    const Dimensions& mm = stone.dimensions_mm;
    StatedSize size{read(mm.length), read(mm.width), read(mm.depth)};
    const bool either = size.length == nullptr || size.width == nullptr;
    if (either && (stone.cut.outline == "round" || stone.cut.outline == "square")) {
        size.length = size.length != nullptr ? size.length : size.width;
        size.width = size.length;
    }
    return size;
}

// By more than both are uncertain.
bool is_above(const Reading* a, const Reading* b, const Dimensions& mm) {
    if (a == nullptr || b == nullptr || a->middle() <= b->middle()) {
        return false;
    }
    const double u =
        std::hypot(mm.with_uncertainty(*a).uncertain().u, mm.with_uncertainty(*b).uncertain().u);
    return a->middle() - b->middle() > coverage_95 * u;
}

// "12.10 x 9.90 x 4.40 mm"
std::string in_millimetres(const StatedSize& size, double unit) {
    std::string text;
    for (const Reading* one : {size.length, size.width, size.depth}) {
        if (one != nullptr) {
            text += (text.empty() ? "" : " x ") + fixed(one->middle() * unit, 2);
        }
    }
    return text + " mm";
}

double longest_of(const StatedSize& size) {
    double longest = 0;
    for (const Reading* one : {size.length, size.width, size.depth}) {
        longest = std::max(longest, one != nullptr ? one->middle() : 0);
    }
    return longest;
}

std::optional<double> implied_density(const Stone& stone, const StatedSize& size) {
    if (!stone.weight_ct || !size.complete()) {
        return std::nullopt;
    }
    const double volume = size.length->middle() * size.width->middle() * size.depth->middle();
    return stone.weight_ct->middle() / (handbook_k * volume);
}

std::optional<double> unit_of(std::optional<double> density, const StatedSize& size) {
    if (!density || *density <= any_density.high || longest_of(size) > longest_in_other_units) {
        return std::nullopt;
    }
    for (const double unit : {millimetres_in_centimetre, millimetres_in_inch}) {
        const double mended = *density / (unit * unit * unit);
        if (mended >= any_density.low && mended <= any_density.high) {
            return unit;
        }
    }
    return std::nullopt;
}

void check_unit(const Stone& stone, const StatedSize& size, Diagnostics& diagnostics) {
    const std::optional<double> density = implied_density(stone, size);
    if (const std::optional<double> unit = unit_of(density, size)) {
        report(diagnostics, Code::dimensions_unit, at_dimensions,
               "At " + in_millimetres(size, 1) + " and " + shortest(stone.weight_ct->middle(), 6) +
                   " ct the density would be about " + shortest(*density, 2) + " g/cm3.",
               "Are they in " +
                   std::string(*unit == millimetres_in_inch ? "inches" : "centimetres") +
                   "? Times " + shortest(*unit, 3) + " they are " + in_millimetres(size, *unit) +
                   ", and the density about " + shortest(*density / (*unit * *unit * *unit), 2) +
                   ": write millimetres, or correct the weight.");
    } else if (!density && size.length != nullptr && longest_of(size) < shortest_length) {
        report(diagnostics, Code::dimensions_unit, at_dimensions,
               "At " + in_millimetres(size, 1) + " the stone is smaller than cabochons are cut.",
               "Are they in another unit? As centimetres, times 10, they are " +
                   in_millimetres(size, millimetres_in_centimetre) + "; as inches, times 25.4, " +
                   in_millimetres(size, millimetres_in_inch) + ": write millimetres.");
    }
}

// Where length is the measure along the axis of the outline, or there is no longer one.
bool may_be_wider_than_long(const Stone& stone) {
    static constexpr std::array<std::string_view, 5> outlines{"round", "square", "heart",
                                                              "triangle", "freeform"};
    return stone.cut.outline &&
           std::find(outlines.begin(), outlines.end(), *stone.cut.outline) != outlines.end();
}

void check_dimensions(const Stone& stone, Diagnostics& diagnostics) {
    const StatedSize size = size_of(stone);
    const Dimensions& mm = stone.dimensions_mm;
    if (is_above(size.width, size.length, mm) && !may_be_wider_than_long(stone)) {
        report(diagnostics, Code::dimensions_order, "/dimensions_mm/width",
               "The width of " + millimetres(size.width->middle()) + " is above the length of " +
                   millimetres(size.length->middle()) + ".",
               "Write the longer measure as the length.");
    }
    if (is_above(size.depth, size.width, mm)) {
        report(diagnostics, Code::depth_above_width, "/dimensions_mm/depth",
               "The depth of " + millimetres(size.depth->middle()) + " is above the width of " +
                   millimetres(size.width->middle()) +
                   "; cabochons are hardly ever deeper than wide.",
               "Are length, width and depth in that order? Measure again, or correct them.");
    }
    check_unit(stone, size, diagnostics);
}

} // namespace

std::optional<double> unit_of_dimensions(const Stone& stone) {
    const StatedSize size = size_of(stone);
    return unit_of(implied_density(stone, size), size);
}

void check_plausible(const Stone& stone, Diagnostics& diagnostics) {
    check_hue(stone, diagnostics);
    check_shares(stone, diagnostics);
    check_coverage(stone, diagnostics);
    check_fault_places(stone, diagnostics);
    check_dimensions(stone, diagnostics);
}

} // namespace trayworth::weight
