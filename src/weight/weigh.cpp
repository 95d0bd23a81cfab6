// Symbols
//   L, W, D   length, width and depth, mm
//   V         estimated volume, mm3
//   rho       density, g/cm3
//   u         standard uncertainty; 2 u is taken for limits, about 95 % of a normal distribution
//             (JCGM 100:2008, 6.2)
//
// Check of a weighed stone: rho = 200 ct / V is implausible outside the band [low, high] of its
// density widened by the volume's part, [low (1 - 2 u(V)/V), high (1 + 2 u(V)/V)].
#include "weight/weigh.hpp"

#include "core/decimal.hpp"
#include "core/nearest.hpp"
#include "core/quantity.hpp"
#include "weight/carats.hpp"
#include "weight/density.hpp"
#include "weight/plausible.hpp"
#include "weight/profile.hpp"
#include "weight/quoted.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>

namespace trayworth::weight {
namespace {

constexpr std::string_view at_weight = "/weight_ct";
constexpr std::string_view at_density = "/density";
constexpr std::string_view at_outline = "/cut/outline";
constexpr std::string_view at_dome_word = "/cut/dome";
constexpr std::string_view at_back_word = "/cut/back";
constexpr std::string_view at_area = "/cut/area_mm2";
constexpr std::string_view at_length = "/dimensions_mm/length";
constexpr std::string_view at_width = "/dimensions_mm/width";
constexpr std::string_view at_depth = "/dimensions_mm/depth";
constexpr std::string_view at_wall = "/dimensions_mm/wall";
constexpr std::string_view at_dome = "/dimensions_mm/dome";
constexpr std::string_view at_back = "/dimensions_mm/back";

// "a, b or c"
std::string either(std::span<const std::string_view> names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (i > 0) {
            text += i + 1 < names.size() ? ", " : " or ";
        }
        text += names[i];
    }
    return text;
}

void unknown_word(Diagnostics& diagnostics,
                  std::string_view pointer,
                  std::string_view what,
                  std::string_view word,
                  std::span<const std::string_view> known) {
    std::string hint;
    if (const auto guess = nearest(word, known)) {
        hint = "Did you mean \"" + std::string(*guess) + "\"? ";
    }
    hint += "Known: " + either(known) + ".";
    report(diagnostics, Code::value_unknown, pointer,
           "\"" + std::string(word) + "\" is no known " + std::string(what) + ".", std::move(hint));
}

bool contains(std::span<const std::string_view> names, std::string_view name) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

// --- what may be estimated ----------------------------------------------------------------------

// Unknown composition or unequal parts: no one density makes sense.
bool never_estimable(StoneType type) {
    return type == StoneType::boulder || is_composite(type);
}

// The default density is that of solid natural opal.
bool has_default_density(StoneType type) {
    return type == StoneType::solid;
}

// A measured density serves any body, whatever it is made of.
bool is_estimable(const Stone& stone) {
    if (!stone.type) {
        return stone.density.has_value();
    }
    return !never_estimable(*stone.type) && (stone.density || has_default_density(*stone.type));
}

bool states_no_measure(const Stone& stone) {
    const Dimensions& d = stone.dimensions_mm;
    return !stone.cut.outline && !stone.cut.area_mm2 && !d.length && !d.width && !d.depth;
}

// False when the type rules an estimate out.
bool require_estimable(const Stone& stone, Diagnostics& diagnostics) {
    if (is_estimable(stone)) {
        return true;
    }
    if (!stone.type) {
        if (states_no_measure(stone)) {
            return true; // and is refused for that
        }
        report(diagnostics, Code::field_missing, at_density,
               "There is no density, and without the type of the stone none can be assumed.",
               "Give the density, or the type, or weigh the stone and give weight_ct.");
        return true;
    }
    const std::string type{name_of(*stone.type)};
    if (never_estimable(*stone.type)) {
        report(diagnostics, Code::not_estimable, at_weight,
               "The weight of a " + type +
                   " cannot be estimated: it has no density of its own as a whole.",
               "Weigh the stone and give weight_ct.");
    } else {
        report(diagnostics, Code::not_estimable, at_weight,
               "The weight cannot be estimated: there is no usual density for type " + type + ".",
               "Weigh the stone and give weight_ct, or give its measured density.");
    }
    return false;
}

// --- consistency of what was measured -----------------------------------------------------------

struct Field {
    const std::optional<Reading>& reading;
    std::string_view pointer;
};

void require_positive(const Stone& stone, Diagnostics& diagnostics) {
    const Dimensions& d = stone.dimensions_mm;
    const std::array fields{
        Field{stone.weight_ct, at_weight},  Field{stone.density, at_density},
        Field{stone.cut.area_mm2, at_area}, Field{d.length, at_length},
        Field{d.width, at_width},           Field{d.depth, at_depth},
    };
    for (const Field& field : fields) {
        if (field.reading && !(field.reading->low > 0)) {
            report(diagnostics, Code::value_range, field.pointer, "The value is not above zero.",
                   "Give the value as it was measured, or leave the field out.");
        }
    }
    for (const Field& field :
         {Field{d.wall, at_wall}, Field{d.dome, at_dome}, Field{d.back, at_back}}) {
        if (field.reading && !(field.reading->low >= 0)) {
            report(diagnostics, Code::value_range, field.pointer, "The height is below zero.",
                   "Give the height as it was measured, or leave the field out.");
        }
    }
}

Uncertain measured(const Dimensions& dimensions, const Reading& reading) {
    return dimensions.with_uncertainty(reading).uncertain();
}

// Wall, dome and back have to fit into the depth, and to fill it when no other part can.
void require_parts_fit(const Stone& stone, Diagnostics& diagnostics) {
    const Dimensions& d = stone.dimensions_mm;
    const bool flat = stone.cut.back == "flat";
    if (flat && d.back && d.back->low > 0) {
        report(diagnostics, Code::value_range, at_back,
               "The back is said to be flat and yet has a height.",
               "Leave the height of the back out, or call the back convex.");
        return;
    }
    if (!d.depth || !(d.wall || d.dome || d.back)) {
        return;
    }
    const Uncertain depth = measured(d, *d.depth);
    double sum = 0;
    double variance = depth.u * depth.u;
    for (const Field& field :
         {Field{d.wall, at_wall}, Field{d.dome, at_dome}, Field{d.back, at_back}}) {
        if (!field.reading) {
            continue;
        }
        const Uncertain part = measured(d, *field.reading);
        sum += part.value;
        variance += part.u * part.u;
        if (sum > depth.value + coverage_95 * std::sqrt(variance)) {
            report(diagnostics, Code::value_range, field.pointer,
                   "The parts are " + millimetres(sum) + " high together, more than the depth of " +
                       millimetres(depth.value) + ".",
                   "Measure the parts again: wall, dome and back add up to the depth.");
            return;
        }
    }
    const bool all_known = d.wall && d.dome && (d.back || flat);
    if (all_known && sum < depth.value - coverage_95 * std::sqrt(variance)) {
        report(diagnostics, Code::value_range, at_depth,
               "The parts are " + millimetres(sum) + " high together, less than the depth of " +
                   millimetres(depth.value) + ".",
               "Measure the parts again: wall, dome and back add up to the depth.");
    }
}

void require_area_fits(const Stone& stone, Diagnostics& diagnostics) {
    const Dimensions& d = stone.dimensions_mm;
    if (!stone.cut.area_mm2 || !d.length || !d.width) {
        return;
    }
    const Uncertain area = stone.cut.area_mm2->uncertain();
    const Uncertain length = measured(d, *d.length);
    const Uncertain width = measured(d, *d.width);
    const double box = length.value * width.value;
    const double u_box = std::hypot(length.u * width.value, width.u * length.value);
    if (area.value > box + coverage_95 * std::hypot(u_box, area.u)) {
        report(diagnostics, Code::value_range, at_area,
               "The area of " + fixed(area.value, 1) +
                   " mm2 is more than that of the rectangle of length and width, " + fixed(box, 1) +
                   " mm2.",
               "Measure the area again, or correct the length and width.");
    }
}

std::optional<Outline> known_outline(const Stone& stone) {
    return stone.cut.outline ? outline_from(*stone.cut.outline) : std::nullopt;
}

bool is_one_measure(std::optional<Outline> outline) {
    return outline == Outline::round || outline == Outline::square;
}

std::optional<Reading> width_of(const Stone& stone) {
    const Dimensions& d = stone.dimensions_mm;
    return d.width || !is_one_measure(known_outline(stone)) ? d.width : d.length;
}

void check_dome_word(const Stone& stone, Diagnostics& diagnostics) {
    const Dimensions& d = stone.dimensions_mm;
    const auto width_reading = width_of(stone);
    if (!stone.cut.dome || !width_reading || !d.depth) {
        return;
    }
    const std::optional<Range<double>> known_band = dome_band(*stone.cut.dome);
    if (!known_band) {
        return;
    }
    const Range<double> band = *known_band;
    const Uncertain width = measured(d, *width_reading);
    const Uncertain depth = measured(d, *d.depth);
    const Uncertain wall = d.wall ? measured(d, *d.wall) : exact(0);
    const Uncertain back = d.back ? measured(d, *d.back) : exact(0);

    // The dome if its height is settled, otherwise the room there is for it.
    const bool settled = d.dome || (d.wall && (d.back || stone.cut.back == "flat"));
    const Uncertain dome =
        d.dome ? measured(d, *d.dome)
               : normal(depth.value - wall.value - back.value, std::hypot(depth.u, wall.u, back.u));
    const bool contradicts = settled
                                 ? dome.value + coverage_95 * dome.u < band.low * width.value ||
                                       dome.value - coverage_95 * dome.u > band.high * width.value
                                 : !dome_from(*stone.cut.dome, width.value, dome.value);
    if (!contradicts) {
        return;
    }
    const Words& words = *stone.cut.dome;
    const std::string name = words.is_point() ? words.first : words.first + " to " + words.second;
    const std::string bounds =
        std::isinf(band.high)
            ? "at least " + millimetres(band.low * width.value)
            : millimetres(band.low * width.value) + " to " + millimetres(band.high * width.value);
    report(diagnostics, Code::dome_contradicts, at_dome_word,
           "A " + name + " dome on a width of " + millimetres(width.value) + " is " + bounds +
               " high, but " + (settled ? "it measures " : "there is room for ") +
               millimetres(dome.value) + ".",
           settled ? "Correct the word or the heights; the heights are used."
                   : "Correct the word or the depth; the word is left out of the estimate.");
}

// --- gathering what the estimate needs ----------------------------------------------------------

void require_measurements(const Stone& stone, Diagnostics& diagnostics) {
    const Dimensions& d = stone.dimensions_mm;
    const Cut& cut = stone.cut;
    if (states_no_measure(stone)) {
        report(diagnostics, Code::weight_missing, at_weight,
               "There is no weight, and nothing to estimate it from.",
               "Give weight_ct, or else cut.outline and the length, width and depth in "
               "dimensions_mm.");
        return;
    }
    const auto require = [&](bool given, std::string_view pointer, std::string_view what) {
        if (!given) {
            report(diagnostics, Code::field_missing, pointer,
                   "Without a weight the estimate needs the " + std::string(what) + ".",
                   "Give the " + std::string(what) + ", or weigh the stone and give weight_ct.");
        }
    };
    if (!cut.area_mm2) {
        const bool one_measure = is_one_measure(known_outline(stone));
        require(cut.outline.has_value(), at_outline, "outline");
        require(d.length || (one_measure && d.width), at_length, "length");
        require(d.width || one_measure, at_width, "width");
        if (cut.outline && !known_outline(stone)) {
            unknown_word(diagnostics, at_outline, "outline", *cut.outline, outline_names);
        }
    }
    require(d.depth.has_value(), at_depth, "depth");
    if (cut.dome) {
        for (const std::string* word : {&cut.dome->first, &cut.dome->second}) {
            if (!contains(dome_names, *word)) {
                unknown_word(diagnostics, at_dome_word, "height of a dome", *word, dome_names);
                break;
            }
        }
    }
    if (cut.back && !contains(back_names, *cut.back)) {
        unknown_word(diagnostics, at_back_word, "back", *cut.back, back_names);
    }
}

// Nothing when anything that the estimate needs is missing or unknown.
std::optional<Measurements> measurements_of(const Stone& stone, const SourcedDensity& density) {
    const Dimensions& d = stone.dimensions_mm;
    const auto outline = known_outline(stone);
    const auto width = width_of(stone);
    const auto length = d.length || !is_one_measure(outline) ? d.length : d.width;
    const bool area_known = stone.cut.area_mm2 || (outline && length && width);
    if (!area_known || !d.depth) {
        return std::nullopt;
    }
    const auto optional_measure = [&](const std::optional<Reading>& reading) {
        return reading ? std::optional{measured(d, *reading)} : std::nullopt;
    };
    Measurements m;
    m.outline = outline.value_or(Outline::freeform);
    m.length = length ? measured(d, *length) : exact(0);
    m.width = optional_measure(width);
    m.depth = measured(d, *d.depth);
    m.wall = optional_measure(d.wall);
    m.dome = optional_measure(d.dome);
    m.back = optional_measure(d.back);
    if (width) {
        m.dome_word = stone.cut.dome;
    }
    if (stone.cut.back) {
        m.back_word = *stone.cut.back;
    }
    if (stone.cut.area_mm2) {
        m.area = stone.cut.area_mm2->uncertain();
    }
    m.density = density.density;
    m.density_source = density.source;
    return m;
}

std::optional<SourcedDensity> density_for(const Stone& stone, Diagnostics& diagnostics) {
    if (stone.density) {
        return SourcedDensity{stone.density->uncertain(), "stated"};
    }
    if (stone.density_variety) {
        if (const DensityVariety* variety = find_density_variety(*stone.density_variety)) {
            return variety->sourced;
        }
        std::vector<std::string_view> names;
        for (const DensityVariety& variety : density_varieties()) {
            names.push_back(variety.name);
        }
        unknown_word(diagnostics, at_density, "variety with a density", *stone.density_variety,
                     names);
        return std::nullopt;
    }
    return default_density(stone.hydrophane.value_or(false));
}

// --- the check of a weighed stone ---------------------------------------------------------------

Range<double> stated_band(const Uncertain& density) {
    const double half = density.distribution == Distribution::rectangular ? density.half_width()
                                                                          : coverage_95 * density.u;
    return {density.value - half, density.value + half};
}

// A mistake that multiplies the implied density by `factor`.
struct Slip {
    double factor;
    std::string_view what;
};
constexpr std::string_view slipped_point =
    "look for a decimal point slipped in the weight or in one of the dimensions";
constexpr std::array<Slip, 9> slips{{
    {10, slipped_point},
    {100, slipped_point},
    {1000, slipped_point},
    {5, "look for a weight that was turned from grams into carats twice"}, // 1 g = 5 ct
    {200, "look for a weight in milligrams"},                              // 1 ct = 200 mg
    {1.0 / 10, slipped_point},
    {1.0 / 100, slipped_point},
    {1.0 / 1000, slipped_point},
    {1.0 / 5, "look for a weight in grams"},
}};

// The slip that brings the implied density nearest to the expected one, if any brings it in band.
const Slip* likely_slip(double implied, double expected, Range<double> band) {
    const Slip* likely = nullptr;
    double nearest_distance = 0;
    for (const Slip& slip : slips) {
        const double mended = implied / slip.factor;
        const double distance = std::abs(std::log(mended / expected));
        if (mended >= band.low && mended <= band.high &&
            (likely == nullptr || distance < nearest_distance)) {
            likely = &slip;
            nearest_distance = distance;
        }
    }
    return likely;
}

std::string causes(const Stone& stone, double ct, const Slip* slip, bool too_dense) {
    if (slip != nullptr) {
        return "At " + carats_text(Carat{ct / slip->factor}) +
               " ct it would fit: " + std::string(slip->what) + ".";
    }
    if (!too_dense) {
        return "Look for a hollow back, a dome flatter than it was called, a measure that takes in "
               "the setting, or a slip in the weight or in a dimension.";
    }
    std::string text = "Look for a setting, a backing or host rock weighed with it, ";
    if (stone.hydrophane.value_or(true)) {
        text += stone.hydrophane ? "water in the hydrophane, " : "water if it is hydrophane, ";
    }
    return text + "or a slip in the weight or in a dimension.";
}

void check_density(const Stone& stone,
                   double ct,
                   const Estimate& estimate,
                   Diagnostics& diagnostics) {
    const bool stated = stone.density || stone.density_variety;
    const Range<double> band = stated ? stated_band(estimate.density) : opal_density_limits;
    const double volume_part = coverage_95 * estimate.volume.u / estimate.volume.value;
    const Range<double> widened{std::max(band.low * (1 - volume_part), 0.0),
                                band.high * (1 + volume_part)};
    const double implied = density_of(Carat{ct}, Volume{estimate.volume.value}).value;
    if ((implied >= widened.low && implied <= widened.high) || unit_of_dimensions(stone)) {
        return; // check_plausible() tells of another unit
    }
    const Slip* slip = likely_slip(implied, estimate.density.value, widened);
    report(diagnostics, Code::density_implausible, at_weight,
           "Weight and dimensions imply a density of " + fixed(implied, 2) + " g/cm3; " +
               fixed(band.low, 2) + " to " + fixed(band.high, 2) + " is " +
               (stated ? "stated" : "usual for opal") + ", " + fixed(widened.low, 2) + " to " +
               fixed(widened.high, 2) + " with the uncertainty of the volume.",
           causes(stone, ct, slip, implied > widened.high));
}

// Opal joined to its host, or to other parts, has no density to be checked against.
bool is_checked(StoneType type) {
    return !never_estimable(type) && type != StoneType::matrix;
}

} // namespace

std::optional<Weight> weigh(const Stone& stone, Diagnostics& diagnostics) {
    Diagnostics found;
    const bool weighed = stone.weight_ct.has_value();
    const bool worth_gathering = weighed || require_estimable(stone, found);
    std::optional<SourcedDensity> density;
    if (worth_gathering) {
        require_positive(stone, found);
        require_parts_fit(stone, found);
        require_area_fits(stone, found);
        check_dome_word(stone, found);
        density = density_for(stone, found);
        if (!weighed) {
            require_measurements(stone, found);
        }
    }

    std::optional<Weight> result;
    if (!has_errors(found)) {
        result.emplace();
        if (is_estimable(stone)) {
            if (const auto measurements = measurements_of(stone, *density)) {
                result->estimate = estimate(*measurements);
            }
        }
        if (weighed) {
            Reading reading = *stone.weight_ct;
            if (!reading.standard_uncertainty) {
                reading.standard_uncertainty = stone.weight_uncertainty;
            }
            result->basis = Basis::weighed;
            result->ct = reading.uncertain();
            if (stone.mounted.value_or(false)) {
                report(found, Code::setting_weighed, at_weight,
                       "The stone is mounted, so its weight may take in the setting.",
                       "Give the weight of the stone alone, or leave weight_ct out to have it "
                       "estimated.");
            }
            if (result->estimate && stone.type && is_checked(*stone.type)) {
                check_density(stone, result->ct.value, *result->estimate, found);
            }
        } else {
            result->basis = Basis::estimated;
            result->ct = result->estimate->ct;
        }
    }
    diagnostics.insert(diagnostics.end(), std::make_move_iterator(found.begin()),
                       std::make_move_iterator(found.end()));
    return result;
}

} // namespace trayworth::weight
