// Reads a trayworth/plan/1 document: what might be done with a stone. // comments are allowed.
#pragma once

#include "core/diagnostic.hpp"
#include "recutting/plan.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace trayworth::io {

// `record` is the text of the stone's record, which was accepted. The changes of an outcome are a
// merge patch (RFC 7396) on it, after those of the outcomes that lead there, and what they make of
// it is read as any record is. Every fault is appended to `diagnostics`, placed in `file`; nothing
// is returned when there is one.
std::optional<recutting::Plan> read_plan(std::string_view text,
                                         const std::string& file,
                                         std::string_view record,
                                         Diagnostics& diagnostics);

} // namespace trayworth::io
