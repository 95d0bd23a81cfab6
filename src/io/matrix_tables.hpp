// A price matrix as a folder for a spreadsheet: a CSV for each grid, factor, the market levels and
// the rounding, and a head for the rest; and back.
//
// The head is the matrix's own text with a file's name in the place of each table. In a CSV the
// first row names the columns. A price or factor takes two cells, low and high: high empty for a
// single number, both empty where nothing is priced. Numbers keep the text they are written with.
//
// Comments of a table: one behind a row stands in its last cell; those on lines above it are rows
// of their own that hold the comment, // and all, in the first cell; those inside a row, and
// several behind one, go above it. Comments elsewhere stay where they are in the head. A text that
// a spreadsheet would take for a formula, a number or a truth value, or that begins with an
// apostrophe, has one in front.
#pragma once

#include "core/diagnostic.hpp"

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::io {

struct NamedText {
    std::string name;
    std::string text;
};

inline constexpr std::string_view matrix_head_name = "matrix.json";

// The head first. Requires a text that read_matrix() accepts. Nothing when it cannot be put in
// cells: the fault is then appended to `diagnostics`, placed in `file`.
std::optional<std::vector<NamedText>>
export_matrix(std::string_view json, const std::string& file, Diagnostics& diagnostics);

struct ImportedMatrix {
    std::string json;
    std::vector<std::string> files; // that were read, the head first
};

// `read` gives the text of a file of the folder by its name, and throws FileError; `folder` is what
// stands in front of names in diagnostics, "prices/". Nothing when there is a fault: each is
// appended to `diagnostics`, with the name of the cell in its message.
std::optional<ImportedMatrix>
import_matrix(const std::function<std::string(const std::string& name)>& read,
              const std::string& folder,
              Diagnostics& diagnostics);

} // namespace trayworth::io
