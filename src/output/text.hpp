// Answers for a person at a terminal: name and range first, then how it was reckoned.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "output/text_parts.hpp"
#include "pricing/matrix.hpp"
#include "valuation/value.hpp"
#include "weight/weigh.hpp"

#include <string>

namespace trayworth::output {

// One stone in full, warnings and cautions included.
std::string valued_text(const Stone& stone,
                        const valuation::Valuation& valuation,
                        const pricing::Matrix& matrix,
                        const Diagnostics& warnings,
                        TextStyle style);

std::string weighed_text(const Stone& stone,
                         const weight::Weight& weight,
                         const Diagnostics& warnings,
                         TextStyle style);

} // namespace trayworth::output
