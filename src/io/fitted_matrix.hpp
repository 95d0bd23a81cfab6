// Puts new numbers into the text of a price matrix; what is not changed stays as it is written,
// comments and all.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace trayworth::io {

struct NewSpread {
    std::string pointer; // JSON Pointer of a price, a factor or a market level
    double low = 0;
    double high = 0; // equals low where it is a single number
};

// What the head of the matrix says of them.
struct NewHead {
    std::string as_of; // ISO 8601
    std::string provenance;
};

// Requires a text that read_matrix() accepts, and pointers into it.
std::string
with_numbers(std::string_view matrix, std::span<const NewSpread> numbers, const NewHead& head);

} // namespace trayworth::io
