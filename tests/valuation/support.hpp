// Small matrices and stones for the tests of the valuation.
#pragma once

#include "core/stone.hpp"
#include "io/embedded.hpp"
#include "io/framer.hpp"
#include "io/matrix_reader.hpp"
#include "io/record_reader.hpp"
#include "pricing/matrix.hpp"
#include "valuation/simulate.hpp"
#include "valuation/value.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

namespace trayworth::test {

inline pricing::Matrix matrix_from(std::string_view text) {
    Diagnostics diagnostics;
    std::optional<pricing::Matrix> matrix = io::read_matrix(text, "test", diagnostics);
    for (const Diagnostic& d : diagnostics) {
        MESSAGE(d.pointer << ": " << d.message);
    }
    REQUIRE(matrix);
    return *matrix;
}

inline const pricing::Matrix& demonstration() {
    static const pricing::Matrix matrix = matrix_from(io::demonstration_matrix());
    return matrix;
}

// A matrix of invented numbers that are easy to reckon with. What it is given replaces the head's
// coverage, its grids and its factors.
struct Tiny {
    std::string coverage = "0.95";
    std::string currency = "AUD";
    std::string brightness = R"({"steps": 5, "brightest": 5, "mapping_half_width": 0.5})";
    std::string levels = R"({"trade": 1, "retail": [1.6, 2.5]})";
    std::string grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"], "body_tone": ["N2"],
                             "brightness": [3], "per_carat": [[1]]}])";
    std::string factors = "[]";

    [[nodiscard]] pricing::Matrix read() const {
        return matrix_from(R"({"format": "trayworth/price-matrix/1", "name": "tiny",
            "invented": true, "as_of": "2026-11-01", "market_level": "trade",
            "provenance": "invented", "rounding": [{"from": 0, "to_nearest": 1}],
            "coverage": )" +
                           coverage + R"(, "currency": ")" + currency + R"(", "brightness": )" +
                           brightness + R"(, "market_levels": )" + levels + R"(, "grids": )" +
                           grids + R"(, "factors": )" + factors + "}");
    }
};

inline Words word(std::string_view name) {
    return {std::string(name), std::string(name)};
}
inline Words words(std::string_view first, std::string_view second) {
    return {std::string(first), std::string(second)};
}

inline Reading reading(double value, double u) {
    return {.low = value, .high = value, .resolution = 0, .standard_uncertainty = u};
}
inline Reading limits(double low, double high) {
    return {.low = low, .high = high};
}

// Solid, opaque, N2, 3 of 5, weighed; what a tiny matrix asks for beyond that is added in the test.
inline Stone plain_stone(const Reading& weight = reading(2, 0.01)) {
    Stone stone;
    stone.type = StoneType::solid;
    stone.treatments.emplace();
    stone.faults.emplace();
    stone.body_tone = Range{2, 2};
    stone.transparency = point(Transparency::opaque);
    stone.brightness = Brightness{Range{3.0, 3.0}, 5, 5};
    stone.play_of_colour.emplace();
    stone.weight_ct = weight;
    return stone;
}

struct Outcome {
    std::optional<valuation::Valuation> valuation;
    Diagnostics diagnostics;

    const valuation::Valuation* operator->() const { return &*valuation; }
    [[nodiscard]] const valuation::Reason* reason(std::string_view step) const {
        const auto& all = valuation->reasons;
        const auto found = std::find_if(
            all.begin(), all.end(), [step](const auto& reason) { return reason.row.step == step; });
        return found == all.end() ? nullptr : &*found;
    }
    // Contribution to u(ln V) of a line of the budget; 0 when there is no such line.
    [[nodiscard]] double u_of(std::string_view source) const {
        for (const valuation::BudgetShare& line : valuation->budget) {
            if (line.source == source) {
                return line.u;
            }
        }
        return 0;
    }
};

inline Outcome try_value(const Stone& stone,
                         const pricing::Matrix& matrix,
                         std::string_view level = {},
                         std::size_t trials = 0,
                         std::uint64_t seed = 1) {
    const pricing::Entry* entry =
        pricing::find(matrix.market_levels, level.empty() ? matrix.market_level : level);
    REQUIRE(entry);
    Outcome outcome;
    outcome.valuation =
        valuation::value(stone, {matrix, *entry, trials, seed}, outcome.diagnostics);
    REQUIRE(outcome.valuation.has_value() == !has_errors(outcome.diagnostics));
    return outcome;
}

inline Outcome value_of(const Stone& stone,
                        const pricing::Matrix& matrix,
                        std::string_view level = {},
                        std::size_t trials = 0,
                        std::uint64_t seed = 1) {
    Outcome outcome = try_value(stone, matrix, level, trials, seed);
    for (const Diagnostic& d : outcome.diagnostics) {
        if (d.severity == Severity::error) {
            MESSAGE(d.pointer << ": " << d.message);
        }
    }
    REQUIRE(outcome.valuation);
    return outcome;
}

inline valuation::Model model_of(const Stone& stone, const pricing::Matrix& matrix) {
    Diagnostics diagnostics;
    const std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
    REQUIRE(weight);
    const std::optional<valuation::Model> model = valuation::build(
        stone, *weight, matrix, *pricing::find(matrix.market_levels, matrix.market_level),
        valuation::Explain::yes, diagnostics);
    REQUIRE(model);
    return *model;
}

// Every stone of a file of examples.
inline std::vector<Stone> stones_in(const std::string& name) {
    const std::string path = TRAYWORTH_SOURCE_DIR "/examples/" + name;
    io::FileSource source(path);
    io::Framer framer(source, name.ends_with(".ndjson") ? io::Form::lines : io::Form::any);
    Diagnostics diagnostics;
    std::optional<Stone> defaults;
    if (framer.shape() == io::Shape::tray) {
        defaults = io::read_tray(framer.envelope(), name, diagnostics);
    }
    std::vector<Stone> stones;
    while (const std::optional<io::Frame> frame = framer.next()) {
        io::ReadRecord record =
            io::read_record(*frame, defaults ? &*defaults : nullptr, name, diagnostics);
        REQUIRE(record.accepted);
        stones.push_back(std::move(record.stone));
    }
    REQUIRE_FALSE(stones.empty());
    return stones;
}

inline std::vector<Stone> all_examples() {
    std::vector<Stone> all;
    for (const char* name :
         {"first-stone.json", "ring-stone-set.json", "tray.json", "stock.ndjson"}) {
        for (Stone& stone : stones_in(name)) {
            all.push_back(std::move(stone));
        }
    }
    return all;
}

} // namespace trayworth::test
