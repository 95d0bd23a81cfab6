// A price matrix whose lists are keyed, so that a merge patch can change one entry of them:
//   /grids      by the grid's name, and in a grid
//     per_carat by body tone and then by brightness: {"N3": {"2": [170, 290]}}
//   /factors    by the factor's name, and in a curve
//     points    by "at": {"0.9": [0.9, 0.95]}
// A number is keyed by its shortest digits.
#pragma once

#include "io/written_json.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::io {

// From lists to keys and back. What is not of the form expected stays as it is, and is found fault
// with when the whole is read. Points come back by where they stand.
WrittenJson keyed(WrittenJson matrix);
WrittenJson with_lists(WrittenJson matrix);

// The number that is written so; nothing when it is none.
std::optional<double> number_of(std::string_view digits);
// The key of that number.
std::string shortest(double number);
// What an entry of an axis, a text or a number, is keyed by.
std::string key_of(const WrittenJson& entry);

// A step down from the root: the key, and the index where the matrix has a list.
struct Step {
    std::string key;
    std::optional<std::size_t> index{};
};
// The way to a JSON Pointer of a matrix with lists.
std::vector<Step> way_to(const WrittenJson& matrix, std::string_view pointer);

// How far a document goes along a way, and where that is in it. The document has lists or keys.
struct Reached {
    std::string pointer;
    std::size_t depth = 0;
    bool settles = false; // all the way, or to a value that replaces what is below it
};
Reached follow(const WrittenJson& document, const std::vector<Step>& way);

} // namespace trayworth::io
