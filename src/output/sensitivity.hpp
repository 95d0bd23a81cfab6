// What one step of each grade is worth: a tornado chart in text, as SVG and for a page, and as
// JSON.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "output/json_writer.hpp"
#include "output/text_style.hpp"
#include "pricing/matrix.hpp"
#include "valuation/sensitivity.hpp"

#include <string>

namespace trayworth::output {

// `warnings` are the diagnostics of the stone as it is.
std::string sensitivity_text(const Stone& stone,
                             const valuation::Sensitivity& sensitivity,
                             const pricing::Matrix& matrix,
                             const Diagnostics& warnings,
                             TextStyle style);

// A whole document (SVG 1.1), with a title and a description for those who do not see it.
std::string sensitivity_svg(const Stone& stone,
                            const valuation::Sensitivity& sensitivity,
                            const pricing::Matrix& matrix);

// A section of a stone's card.
std::string html_sensitivity(const valuation::Sensitivity& sensitivity,
                             const pricing::Matrix& matrix);

// Every step has its "edit", a JSON merge patch (RFC 7396): applied to the record, complete with
// what its tray supplies, it gives the record that is worth the step's value.
void write_sensitivity(JsonWriter& json,
                       const Stone& stone,
                       const valuation::Sensitivity& sensitivity,
                       const pricing::Matrix& matrix,
                       const Diagnostics& warnings);

} // namespace trayworth::output
