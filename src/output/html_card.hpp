// A stone on a page: what stands between its <article> tags, which the page puts around it.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "pricing/matrix.hpp"
#include "valuation/value.hpp"

#include <optional>
#include <string>

namespace trayworth::output {

// `warnings` are the diagnostics of a stone that was valued, none of them an error.
std::string html_valued(const Stone& stone,
                        const valuation::Valuation& valuation,
                        const pricing::Matrix& matrix,
                        const Diagnostics& warnings);

// At least one of the diagnostics is an error.
std::string html_refused(const std::optional<std::string>& id, const Diagnostics& diagnostics);

} // namespace trayworth::output
