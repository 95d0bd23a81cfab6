// The price matrix as the program holds it: every number that moves money, and nothing else.
//
// Symbols
//   [low, high]   interval of a price or multiplier at the matrix's stated coverage p
//   m = (ln low + ln high) / 2     middle in logarithms: the likely value is the geometric mean
//   h = (ln high - ln low) / 2     half-width in logarithms
//   k                              coverage factor of p; the standard uncertainty of ln is h / k
//
// Prices and multipliers are interpolated in the logarithm, along each axis linearly.
#pragma once

#include "core/diagnostic.hpp"
#include "core/grades.hpp"
#include "core/money.hpp"

#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace trayworth::pricing {

// A positive number known to an interval. Invariant: 0 < low <= high.
struct Spread {
    double log_middle = 0;
    double log_half = 0;

    static Spread between(double low, double high) {
        return {(std::log(low) + std::log(high)) / 2, (std::log(high) - std::log(low)) / 2};
    }
    [[nodiscard]] double low() const { return std::exp(log_middle - log_half); }
    [[nodiscard]] double high() const { return std::exp(log_middle + log_half); }
    // The logarithm at z half-widths from the middle.
    [[nodiscard]] double at(double z) const { return log_middle + z * log_half; }
    [[nodiscard]] bool is_one() const { return log_middle == 0 && log_half == 0; }
};

// The stones that a grid or a factor is for. An axis that is not restricted admits all.
struct StoneClass {
    std::uint8_t types = 0xff;          // bit per StoneType
    std::uint8_t transparencies = 0xff; // bit per Transparency

    [[nodiscard]] bool admits(StoneType type, Transparency transparency) const {
        return (types >> static_cast<unsigned>(type) & 1U) != 0 &&
               (transparencies >> static_cast<unsigned>(transparency) & 1U) != 0;
    }
};

// Where a coordinate falls between two neighbours of an ascending axis.
struct AxisPlace {
    std::size_t below = 0;
    std::size_t above = 0; // equals below on a point of the axis
    double weight_above = 0;
};
// Beyond the ends, the end.
AxisPlace place_on(const std::vector<double>& axis, double x);

// Price per carat in the matrix's currency: body tone down, brightness across.
struct Grid {
    std::string name;
    std::string pointer; // JSON Pointer of the grid in the matrix
    StoneClass stones;
    std::vector<double> tones;                // ascending, 1 (N1) to 9 (N9)
    std::vector<double> brightness;           // ascending, on the matrix's brightness scale
    std::vector<std::optional<Spread>> cells; // row by row; absent is not priced

    struct Neighbour {
        std::size_t row = 0;
        std::size_t column = 0;
        double weight = 0;
    };
    using Neighbours = std::array<Neighbour, 4>; // those without weight have weight 0
    [[nodiscard]] Neighbours neighbours(double tone, double brightness_grade) const;
    [[nodiscard]] const std::optional<Spread>& cell(std::size_t row, std::size_t column) const {
        return cells[row * brightness.size() + column];
    }
    // Interpolated in logarithms. Requires that every neighbour with weight is priced.
    [[nodiscard]] Spread price(double tone, double brightness_grade) const;
    [[nodiscard]] std::string cell_pointer(std::size_t row, std::size_t column) const;
    // "N3 at brightness 2"
    [[nodiscard]] std::string cell_name(std::size_t row, std::size_t column) const;
};

// A spread in figures of seven significant digits, as they are printed and reckoned with.
struct Figures {
    double low = 1;
    double likely = 1;
    double high = 1;
};

struct Entry {
    Entry(std::string named, Spread priced);

    std::string name;
    Spread spread;
    Figures figures; // of the spread
};
const Entry* find(const std::vector<Entry>& entries, std::string_view name);

// Fields a category factor may read. Booleans are read as the words "yes" and "no".
enum class WordField : std::uint8_t {
    pattern,
    directionality,
    outline,
    dome,
    back,
    polish,
    body_hue,
    hydrophane,
    mounted,
    treatments, // a list: each entry multiplies
    transparency,
    type,
};
inline constexpr std::array<std::string_view, 12> word_field_pointers{
    "/play_of_colour/pattern",
    "/play_of_colour/directionality",
    "/cut/outline",
    "/cut/dome",
    "/cut/back",
    "/cut/polish",
    "/body_hue",
    "/hydrophane",
    "/mounted",
    "/treatments",
    "/transparency",
    "/type"};

// Fields a curve may read: carats, a share of the face, millimetres.
enum class NumberField : std::uint8_t { weight, coverage, length, width, depth };
inline constexpr std::array<std::string_view, 5> number_field_pointers{
    "/weight_ct", "/play_of_colour/coverage", "/dimensions_mm/length", "/dimensions_mm/width",
    "/dimensions_mm/depth"};

struct Category {
    WordField field = WordField::pattern;
    std::vector<Entry> values;
};

// The arithmetic mean of the colours' factors, each weighted by its share.
struct ShareWeighted {
    std::vector<Entry> values;
};

// ln factor is linear in x, or in ln x, between ascending points; not extrapolated.
struct Curve {
    NumberField field = NumberField::weight;
    std::optional<NumberField> per; // then x is the ratio field / per
    bool log_spacing = false;
    std::vector<double> at;     // x as written
    std::vector<double> places; // x, or ln x when log_spacing
    std::vector<Spread> factors;

    [[nodiscard]] AxisPlace place(double x) const;
    [[nodiscard]] Spread factor(double x) const;
};

struct FaultPlace {
    std::string name;
    std::vector<Entry> severities;
};
struct FaultKind {
    std::string name;
    std::vector<FaultPlace> places;
};
struct Faults {
    std::vector<FaultKind> kinds;
};

struct Factor {
    std::string name;
    std::string pointer;
    StoneClass stones;
    std::optional<Entry> if_absent; // without it a record that lacks the field is refused
    std::variant<Category, ShareWeighted, Curve, Faults> rule;
};

// What an input of a value is, for what stones of one tray have in common.
enum class InputKind : std::uint8_t {
    prices,       // the [low, high] of a grid
    factors,      // the [low, high] of a factor
    market_level, // the [low, high] of a level
    grading,      // straddles, shares, another brightness scale
    measuring,    // weight and dimensions
};
inline constexpr std::array<std::string_view, 5> input_kind_names{
    "prices", "factors", "market_level", "grading", "measuring"};

struct RoundingStep {
    double from = 0;
    double to_nearest = 1;
};

// A warning that the matrix's owner means to live with.
struct Acceptance {
    Code code = Code::grid_gap;
    std::string at; // JSON Pointer: there, and anywhere below
    std::string reason;
    std::string pointer; // of the acceptance itself
};

// From `from` on, up to the next step's: the amounts n x to_nearest + ending, n = 0, 1, 2, ..., are
// prices to ask. In the matrix's currency, each a whole number of its minor units; `from` and
// `ending` are 0 at least, `ending` is less than `to_nearest`.
struct ListStep {
    Money from;
    Money to_nearest;
    Money ending;
};

// From the matrix's own currency into another, at a rate that the user states.
struct Conversion {
    Currency from;
    Entry rate;       // units of the other currency for one of `from`
    std::string date; // of the rate, ISO 8601
};

struct Matrix {
    std::string name;
    Currency currency; // of the values; where there is a conversion, not that of the prices
    std::optional<Conversion> conversion;
    std::string as_of; // ISO 8601 date
    std::string market_level;
    std::string provenance;
    bool invented = false;
    double coverage = 0;
    double coverage_factor = 0; // of `coverage`, for a normal distribution
    BrightnessScale brightness;
    double mapping_half_width = 0; // in steps of `brightness`
    std::vector<Entry> market_levels;
    std::vector<Grid> grids;
    std::vector<Factor> factors;
    std::vector<RoundingStep> rounding; // ascending
    std::vector<Acceptance> accepted;
    // Ascending; each has at least one price. Empty: prices to ask are rounded as all others are.
    std::vector<ListStep> list_prices;
    // By InputKind: the correlation of such an input between two stones, 0 to 1. What the matrix
    // does not state is taken as wholly common, which makes a total's range no narrower than it is.
    std::array<double, input_kind_names.size()> common{1, 1, 1, 1, 1};

    // Of a matrix that extends others: their files, the extending one first, and which of them
    // each place is from, by JSON Pointer. Empty for a matrix that stands alone.
    std::vector<std::string> sources;
    std::map<std::string, std::size_t, std::less<>> origins; // indices of `sources`

    // The file that a place is from; empty where there is but one.
    [[nodiscard]] std::string_view origin_of(std::string_view pointer) const;

    [[nodiscard]] double common_of(InputKind kind) const {
        return common[static_cast<std::size_t>(kind)];
    }

    // That of the prices in the grids.
    [[nodiscard]] const Currency& price_currency() const {
        return conversion ? conversion->from : currency;
    }

    [[nodiscard]] const Grid* grid_for(StoneType type, Transparency transparency) const;
    // For display: to the step that its size asks for.
    [[nodiscard]] Money rounded(Money money) const;
};

} // namespace trayworth::pricing
