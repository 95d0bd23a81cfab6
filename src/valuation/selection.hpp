// Which stones of a tray are asked for, and in which order: "fault=crack", "likely>=100",
// "-likely".
#pragma once

#include "core/stone.hpp"
#include "valuation/value.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::valuation {

// A value, or one sentence on what is wrong with the text. The sentence quotes the text as it is:
// make it safe before it goes to a terminal.
template<class T>
struct Parsed {
    std::optional<T> value;
    std::string error{};
};

enum class Field : std::uint8_t {
    id,           // exactly so
    name,         // the name contains it, in capitals or not
    type,         //
    tone,         // N1 to N9
    transparency, //
    pattern,      //
    fault,        // the kind of one of its faults; "none" for a stone without any
    basis,        // weighed, estimated
    refused,      // yes, no
    warnings,     // yes, no
    weight,       // ct
    low,          // in the matrix's currency, not rounded; so are likely and high
    likely,
    high,
};

enum class Comparison : std::uint8_t {
    equal,
    not_equal,
    less,
    less_or_equal,
    greater,
    greater_or_equal,
};

struct Condition {
    Field field = Field::id;
    Comparison comparison = Comparison::equal;
    std::string word;  // what words are compared with
    double number = 0; // what numbers and tones (1 to 9) are compared with
};

// FIELD=VALUE, or != < <= > >=, blanks around the comparison or not. Words take = and != only.
Parsed<Condition> condition_from(std::string_view text);

// How a condition that begins with `typed` may go on: "tone=" after "to", "tone=N3" after "tone=N".
// Nothing where only the user knows.
std::vector<std::string> conditions_after(std::string_view typed);

struct Candidate {
    const Stone& stone;           // what was read of it, if it was refused
    const Valuation* valuation{}; // none if it was refused
    bool warned = false;
};

// A grade that straddles matches when either end, or for a scale a step between them, does; "!="
// when none does. What a record does not state, or a refused one has not, matches no condition.
bool matches(const Condition& condition, const Candidate& candidate);

enum class SortKey : std::uint8_t { as_given, id, name, weight, likely, width };

struct Order {
    SortKey key = SortKey::as_given;
    bool reversed = false; // largest, or last in the alphabet, first
};

inline constexpr std::array<std::string_view, 5> order_names{"id", "name", "weight", "likely",
                                                             "range"};

// One of order_names ("range" is the width against the value), reversed by a leading "-".
Parsed<Order> order_from(std::string_view text);

// Whether a goes before b where numbers in a text count as numbers: T-2 before T-10.
bool goes_before(std::string_view a, std::string_view b);

} // namespace trayworth::valuation
