// A stone with its value and the model behind it: what recutting compares.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "valuation/model.hpp"
#include "valuation/value.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>

namespace trayworth::recutting {

// By what it is valued, and how it is simulated.
struct Terms {
    const pricing::Matrix& matrix;
    const pricing::Entry& level;
    std::size_t trials = 10'000; // 2 at least
    std::uint64_t seed = 1;

    [[nodiscard]] valuation::Request request() const {
        return {matrix, level, 0, seed, valuation::Explain::no};
    }
};

struct Subject {
    Stone stone;
    valuation::Valuation valuation; // without reasons
    valuation::Model model;         // explained
};

// Errors and warnings are appended; nothing is returned when there is an error.
std::optional<Subject> subject_of(Stone stone, const Terms& terms, Diagnostics& diagnostics);

} // namespace trayworth::recutting
