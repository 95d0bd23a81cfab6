// What a record may say and a stone can hardly be: measures out of order or in another unit, grades
// that contradict each other. Of the stone alone: no matrix, no estimate.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"

#include <optional>

namespace trayworth::weight {

// Appends a warning for each, with pointers from the record's root. Sound records cost a few
// comparisons.
void check_plausible(const Stone& stone, Diagnostics& diagnostics);

// Millimetres in the unit in which the dimensions seem to be given, 10 or 25.4, where a weight
// tells so: the density that they imply is that of an opal in that unit and a thousand times it or
// more in millimetres.
std::optional<double> unit_of_dimensions(const Stone& stone);

} // namespace trayworth::weight
