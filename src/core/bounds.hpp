// How much is read before it is refused: every bound on the size of an input. Beyond them time and
// memory are linear in the input, and a record costs what its bound says and no more.
#pragma once

#include <cstddef>

namespace trayworth::bounds {

// ---- bytes
// A record, and likewise what stands in a tray before its stones or after them.
inline constexpr std::size_t record_bytes = std::size_t{1} << 20U;
// A tray whose stones stand before its defaults: the stones are kept until those are known.
inline constexpr std::size_t tray_bytes = std::size_t{64} << 20U;
// A matrix or a plan.
inline constexpr std::size_t document_bytes = std::size_t{4} << 20U;
inline constexpr std::size_t template_bytes = std::size_t{1} << 20U;
inline constexpr std::size_t csv_bytes = std::size_t{64} << 20U;
inline constexpr std::size_t csv_cell_bytes = std::size_t{1} << 20U;

// ---- characters
inline constexpr std::size_t text_length = 10'000;
inline constexpr std::size_t name_length = 200; // of a field

// ---- numbers of things
inline constexpr std::size_t nesting = 64; // objects and arrays within each other
inline constexpr std::size_t colours = 100;
inline constexpr std::size_t faults = 100;
inline constexpr std::size_t treatments = 100;
inline constexpr std::size_t own_fields = 1000;  // those that begin with "x-"
inline constexpr std::size_t conditions = 100;   // on the command line
inline constexpr std::size_t placeholders = 100; // of a template
inline constexpr std::size_t members = 1000;     // of an object of a matrix or a plan
inline constexpr std::size_t severities = 100;   // that a factor for faults prices
inline constexpr std::size_t grids = 100;
inline constexpr std::size_t factors = 1000;
inline constexpr std::size_t branches = 500;       // alternatives of a plan, and likewise outcomes
inline constexpr std::size_t csv_rows = 1'048'576; // the most that common spreadsheets hold
inline constexpr std::size_t csv_columns = 16'384;
// Errors of one record or matrix that are listed.
inline constexpr std::size_t errors = 50;

// ---- magnitude
// Of a number in a record or a matrix, whatever its sign.
inline constexpr double number = 1e9;

} // namespace trayworth::bounds
