// What the export and the import of a matrix's tables agree on: columns and texts of cells.
#pragma once

#include "io/commented_json.hpp"

#include <string>
#include <string_view>

namespace trayworth::io {

inline constexpr std::string_view tone_heading = "body_tone";
inline constexpr std::string_view name_heading = "name";
inline constexpr std::string_view at_heading = "at";
inline constexpr std::string_view kind_heading = "kind";
inline constexpr std::string_view place_heading = "place";
inline constexpr std::string_view from_heading = "from";
inline constexpr std::string_view to_nearest_heading = "to_nearest";
inline constexpr std::string_view low_heading = "low";
inline constexpr std::string_view high_heading = "high";
inline constexpr std::string_view comment_heading = "comment";

// A name's cell, with an apostrophe in front where it would be taken for a formula, a comment or
// nothing at all; and the name that a cell holds.
std::string name_cell(std::string_view name);
std::string name_in(std::string_view cell);

// The cell with an apostrophe after each semicolon that would begin a formula where semicolons part
// the cells, and without it again.
std::string guarded_semicolons(std::string_view cell);
std::string plain_semicolons(std::string_view cell);

// Whether a row whose first cell is this holds a comment and nothing else.
bool opens_comment(std::string_view cell);

// The cell of a comment behind a row: its words alone where // and a blank are all that is lost.
std::string comment_cell(std::string_view comment);
// The comments that a cell holds, one for each line that is not within /* */.
Remarks comments_in(std::string_view cell);

} // namespace trayworth::io
