// Answers for a person at a terminal: name and range first, then how it was reckoned.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "pricing/matrix.hpp"
#include "valuation/value.hpp"
#include "weight/weigh.hpp"

#include <cstddef>
#include <optional>
#include <string>

namespace trayworth::output {

struct TextStyle {
    std::size_t width = 80; // characters, 80 at least
    bool colour = false;
};

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

// A tray: a heading, a line for each stone, and what holds for all of them.
std::string
tray_heading(const pricing::Matrix& matrix, const pricing::Entry& level, TextStyle style);
std::string tray_line(const Stone& stone,
                      const valuation::Valuation& valuation,
                      const pricing::Matrix& matrix,
                      const Diagnostics& warnings,
                      TextStyle style);
std::string
refused_line(const std::optional<std::string>& id, const Diagnostics& diagnostics, TextStyle style);
std::string tray_footing(const pricing::Matrix& matrix, TextStyle style);

// "file:line:column: error: ..." with the source line, a caret and the mend.
std::string diagnostic_text(const Diagnostic& diagnostic, TextStyle style);

} // namespace trayworth::output
