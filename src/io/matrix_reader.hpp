// Reads a trayworth/price-matrix/1 document into the domain type; // comments are allowed.
#pragma once

#include "core/diagnostic.hpp"
#include "pricing/matrix.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace trayworth::io {

// Every fault is appended to `diagnostics`, placed in `file`; nothing is returned when there is
// one.
std::optional<pricing::Matrix>
read_matrix(std::string_view text, const std::string& file, Diagnostics& diagnostics);

} // namespace trayworth::io
