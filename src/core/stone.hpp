// One stone as it was graded: the domain form of a trayworth/stone/1 record.
// Absent is std::nullopt; an empty list says that the grader looked and found none.
#pragma once

#include "core/grades.hpp"
#include "core/quantity.hpp"
#include "core/range.hpp"
#include "core/uncertain.hpp"

#include <optional>
#include <string>
#include <vector>

namespace trayworth {

// A word the matrix prices, or the two words between which the grader could not choose.
struct Words {
    std::string first;
    std::string second; // equals first when the grader did choose

    [[nodiscard]] bool is_point() const { return first == second; }
    friend bool operator==(const Words&, const Words&) = default;
};

struct Brightness {
    std::optional<Range<double>> grade;
    std::optional<int> steps;
    std::optional<int> brightest;
};

struct ColourShare {
    std::string colour;
    std::optional<Range<double>> share; // of the play-of-colour, 0 to 1
};

// Shares of colour that sum to 1 within this are taken to.
inline constexpr double share_tolerance = 0.005;

struct PlayOfColour {
    std::optional<std::vector<ColourShare>> colours;
    std::optional<Words> pattern;
    std::optional<Range<double>> coverage; // share of the face that shows colour, 0 to 1
    std::optional<Words> directionality;
};

struct Fault {
    std::string kind;
    std::string place;
    Words severity;
};

struct Cut {
    std::optional<std::string> outline;
    std::optional<Words> dome; // "low", "medium", "high"
    std::optional<std::string> back;
    std::optional<Words> polish;
    std::optional<Reading> area_mm2; // of the outline, measured
};

// All in millimetres. Depth is the whole height of the stone; wall, dome and back are parts of it.
struct Dimensions {
    std::optional<Reading> length;
    std::optional<Reading> width;
    std::optional<Reading> depth;
    std::optional<Reading> wall;       // height of the girdle wall
    std::optional<Reading> dome;       // height of the dome above the wall
    std::optional<Reading> back;       // height of a convex back below the wall
    std::optional<double> uncertainty; // standard uncertainty of each that states none of its own

    [[nodiscard]] bool complete() const { return length && width && depth; }
    // The reading with the common uncertainty filled in.
    [[nodiscard]] Reading with_uncertainty(Reading reading) const {
        if (!reading.standard_uncertainty) {
            reading.standard_uncertainty = uncertainty;
        }
        return reading;
    }
};

struct Cost {
    std::optional<double> amount;
    std::optional<std::string> currency;
    std::optional<std::string> note;
};

// What became of a stone that was offered: it sold, or it did not.
struct Sale {
    std::optional<double> price;     // that was paid for the whole stone
    std::optional<double> unsold_at; // that was asked, and nobody paid
    std::optional<std::string> currency;
    std::optional<std::string> date; // ISO 8601: of the sale, or the last day of the offer
    std::optional<std::string> market_level;
    std::optional<double> days; // on offer
};

// A field of the user's own (its name begins with "x-"), kept as the text that was read.
struct Extension {
    std::string name;
    std::string json;
};

struct Stone {
    std::optional<std::string> id;
    std::optional<StoneType> type;
    std::optional<std::vector<std::string>> treatments;
    std::optional<Range<int>> body_tone; // 1 (N1) to 9 (N9)
    std::optional<std::string> body_hue;
    std::optional<Range<Transparency>> transparency;
    std::optional<bool> hydrophane;
    std::optional<Brightness> brightness;
    std::optional<PlayOfColour> play_of_colour;
    bool no_play_of_colour = false; // play_of_colour was given as null: common opal
    std::optional<std::vector<Fault>> faults;
    Cut cut;
    Dimensions dimensions_mm;
    std::optional<Reading> weight_ct;
    std::optional<double> weight_uncertainty; // of a weight that states none of its own
    std::optional<Reading> density;           // g/cm3
    std::optional<std::string> density_variety;
    std::optional<bool> mounted;
    std::optional<Cost> cost;
    std::optional<Sale> sale;
    std::optional<std::string> notes;
    std::vector<Extension> extensions;
};

} // namespace trayworth
