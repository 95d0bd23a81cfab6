// The names of a trayworth/stone/1 record, by the object they stand in.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace trayworth::io {

enum class Field : std::uint8_t {
    amount,
    area_mm2,
    back,
    body_hue,
    body_tone,
    brightest,
    brightness,
    colour,
    colours,
    cost,
    coverage,
    currency,
    cut,
    date,
    days,
    density,
    depth,
    dimensions_mm,
    directionality,
    dome,
    faults,
    format,
    grade,
    hydrophane,
    id,
    kind,
    length,
    market_level,
    mounted,
    note,
    notes,
    outline,
    pattern,
    place,
    play_of_colour,
    polish,
    price,
    sale,
    severity,
    share,
    steps,
    stones,
    transparency,
    tray,
    treatments,
    type,
    uncertainty,
    unsold_at,
    value,
    wall,
    weight_ct,
    width,
    count_,
};
static_assert(static_cast<int>(Field::count_) <= 64, "a set of fields is one 64-bit word");

inline constexpr std::array<std::string_view, static_cast<std::size_t>(Field::count_)> field_names{
    "amount",    "area_mm2",    "back",          "body_hue",       "body_tone",
    "brightest", "brightness",  "colour",        "colours",        "cost",
    "coverage",  "currency",    "cut",           "date",           "days",
    "density",   "depth",       "dimensions_mm", "directionality", "dome",
    "faults",    "format",      "grade",         "hydrophane",     "id",
    "kind",      "length",      "market_level",  "mounted",        "note",
    "notes",     "outline",     "pattern",       "place",          "play_of_colour",
    "polish",    "price",       "sale",          "severity",       "share",
    "steps",     "stones",      "transparency",  "tray",           "treatments",
    "type",      "uncertainty", "unsold_at",     "value",          "wall",
    "weight_ct", "width"};

constexpr std::string_view name_of(Field field) {
    return field_names[static_cast<std::size_t>(field)];
}

// The objects and arrays of a record.
enum class Place : std::uint8_t {
    root, // outside any object
    envelope,
    record,
    brightness,
    play_of_colour,
    colours, // array
    colour,
    faults, // array
    fault,
    cut,
    dimensions,
    reading,
    cost,
    sale,
    treatments, // array
    count_,
};

constexpr bool is_array(Place place) {
    return place == Place::colours || place == Place::faults || place == Place::treatments;
}

namespace fields {
using enum Field;
inline constexpr std::array envelope{format, tray, stones};
inline constexpr std::array record{format,         id,         type,
                                   treatments,     body_tone,  body_hue,
                                   transparency,   hydrophane, Field::brightness,
                                   play_of_colour, faults,     cut,
                                   dimensions_mm,  weight_ct,  density,
                                   mounted,        cost,       sale,
                                   notes};
inline constexpr std::array in_brightness{grade, steps, brightest};
inline constexpr std::array in_play_of_colour{colours, pattern, coverage, directionality};
inline constexpr std::array in_colour{colour, share};
inline constexpr std::array in_fault{kind, place, severity};
inline constexpr std::array in_cut{outline, dome, back, polish, area_mm2};
inline constexpr std::array in_dimensions{length, width, depth, wall, dome, back, uncertainty};
inline constexpr std::array in_reading{value, uncertainty};
inline constexpr std::array in_cost{amount, currency, note};
inline constexpr std::array in_sale{price, unsold_at, currency, date, market_level, days};
} // namespace fields

// The fields that may stand in each object.
constexpr std::span<const Field> fields_of(Place within) {
    switch (within) {
    case Place::envelope:
        return fields::envelope;
    case Place::record:
        return fields::record;
    case Place::brightness:
        return fields::in_brightness;
    case Place::play_of_colour:
        return fields::in_play_of_colour;
    case Place::colour:
        return fields::in_colour;
    case Place::fault:
        return fields::in_fault;
    case Place::cut:
        return fields::in_cut;
    case Place::dimensions:
        return fields::in_dimensions;
    case Place::reading:
        return fields::in_reading;
    case Place::cost:
        return fields::in_cost;
    case Place::sale:
        return fields::in_sale;
    case Place::root:
    case Place::colours:
    case Place::faults:
    case Place::treatments:
    case Place::count_:
        break;
    }
    return {};
}

// A perfect hash of the names: no two fall into one slot, which the compiler checks. (Found by
// trying multipliers; try again when a name is added.)
inline constexpr std::size_t field_slots = 128;
constexpr std::size_t slot_of(std::string_view name) {
    if (name.empty()) {
        return 0;
    }
    const auto byte = [name](std::size_t i) {
        return std::size_t{static_cast<unsigned char>(name[i])};
    };
    return (name.size() * 65 + byte(0) * 5 + byte(name.size() - 1) * 62 +
            byte(name.size() / 2) * 93) %
           field_slots;
}
constexpr std::array<std::uint8_t, field_slots> fields_by_slot() {
    std::array<std::uint8_t, field_slots> slots{};
    for (std::size_t i = 0; i < field_names.size(); ++i) {
        std::uint8_t& slot = slots[slot_of(field_names[i])];
        if (slot != 0) {
            throw "two names in one slot"; // not a constant expression: the build fails
        }
        slot = static_cast<std::uint8_t>(i + 1);
    }
    return slots;
}

constexpr std::uint64_t bit_of(Field field) {
    return std::uint64_t{1} << static_cast<unsigned>(field);
}

// The fields of each object as a set.
constexpr auto field_sets() {
    std::array<std::uint64_t, static_cast<std::size_t>(Place::count_)> sets{};
    for (std::size_t place = 0; place < sets.size(); ++place) {
        for (const Field field : fields_of(static_cast<Place>(place))) {
            sets[place] |= bit_of(field);
        }
    }
    return sets;
}

inline constexpr auto slots = fields_by_slot();
inline constexpr auto sets = field_sets();

constexpr std::optional<Field> field_in(Place within, std::string_view name) {
    const std::size_t index = slots[slot_of(name)];
    if (index == 0) {
        return std::nullopt;
    }
    const std::string_view known = field_names[index - 1];
    // GCC does not inline the comparison of string_view.
    if (known.size() != name.size() ||
        std::char_traits<char>::compare(known.data(), name.data(), known.size()) != 0) {
        return std::nullopt;
    }
    const auto field = static_cast<Field>(index - 1);
    const bool here = (sets[static_cast<std::size_t>(within)] & bit_of(field)) != 0;
    return here ? std::optional(field) : std::nullopt;
}

} // namespace trayworth::io
