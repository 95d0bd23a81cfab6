// Why a text is not JSON, in the words of someone who types it by hand: a decimal comma, a comma
// too many, a comment, a text in the wrong quotes.
//
// Each slip that can mean only one thing is mended in a copy, byte for byte of the same length, and
// the reading goes on from there. What is mended is refused all the same: the copy is there to find
// what else is wrong.
#pragma once

#include "core/diagnostic.hpp"
#include "io/json_errors.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::io {

struct Patch {
    std::size_t offset = 0;
    std::string bytes; // in the place of as many
};

// One slip: its message and hint, and how to read on.
struct Slip {
    SyntaxError error;
    std::vector<Patch> patches; // none where what was meant cannot be known
};

// What stands at the place where the parser stopped.
Slip slip_at(std::string_view text, SyntaxError error);

struct Mended {
    std::string text;
    bool is_json = false; // when the last slip could be mended too
    Diagnostics slips;
    std::vector<std::size_t> offsets; // of each slip
};

// Of a text without comments.
Mended mend_json(std::string_view text);

// The text with its comments, // to the end of the line and /* to */, written over with blanks.
std::string without_comments(std::string_view text);

} // namespace trayworth::io
