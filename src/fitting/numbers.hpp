// The numbers of a price matrix that sales may move, one after the other: prices per carat,
// factors, market levels.
#pragma once

#include "pricing/matrix.hpp"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <unordered_map>
#include <vector>

namespace trayworth::fitting {

struct Number {
    std::string pointer;   // JSON Pointer into the matrix
    std::string table;     // the name of its grid or factor, "market levels"
    std::string name;      // "N3 at brightness 2", "slight", "at 0.9"
    std::size_t group = 0; // numbers of one table, from 0
    bool price = false;    // per carat, of a grid
    bool held = false;     // exactly 1: what the others of its table are measured against
    bool no_gain = false;  // of a fault or a treatment, and not above 1: it stays there
};

class Numbers {
public:
    // The matrix must stay where it is as long as find() is asked.
    explicit Numbers(const pricing::Matrix& matrix);

    [[nodiscard]] const std::vector<Number>& all() const { return all_; }
    [[nodiscard]] const Number& operator[](std::size_t index) const { return all_[index]; }
    [[nodiscard]] std::size_t size() const { return all_.size(); }
    // As the matrix has them.
    [[nodiscard]] const std::vector<pricing::Spread>& spreads() const { return spreads_; }
    [[nodiscard]] std::size_t groups() const { return groups_; }
    // The index of a number by its place in the matrix; nothing where it is none of these, as the
    // matrix's own level.
    [[nodiscard]] std::optional<std::size_t> find(const pricing::Spread& in_matrix) const {
        const auto found = places_.find(&in_matrix);
        return found == places_.end() ? std::nullopt : std::optional(found->second);
    }

private:
    std::vector<Number> all_;
    std::vector<pricing::Spread> spreads_;
    std::size_t groups_ = 0;
    std::unordered_map<const pricing::Spread*, std::size_t> places_;
};

// The matrix with other numbers, in the order of Numbers.
pricing::Matrix with_spreads(pricing::Matrix matrix, std::span<const pricing::Spread> spreads);

} // namespace trayworth::fitting
