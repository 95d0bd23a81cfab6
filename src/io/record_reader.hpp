// Reads trayworth/stone/1 records into stones: one pass of nlohmann-json's SAX parser, no DOM, and
// no positions until there is something to report.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "io/framer.hpp"

#include <optional>
#include <string>

namespace trayworth::io {

struct ReadRecord {
    Stone stone; // as far as it could be read
    bool accepted = false;
};

// The stone of a frame, on top of the tray's defaults where there are any. Every fault of the
// record is appended to `diagnostics`, placed in `file`; a record with a fault is not accepted.
ReadRecord read_record(const Frame& frame,
                       const Stone* defaults,
                       const std::string& file,
                       Diagnostics& diagnostics);

// The defaults of a tray.
std::optional<Stone>
read_tray(const Envelope& envelope, const std::string& file, Diagnostics& diagnostics);

// Completes diagnostics about a frame's record: file, position, and the pointer from the root of
// the document. `from` is the first of them.
void place_in_frame(Diagnostics& diagnostics,
                    std::size_t from,
                    const Frame& frame,
                    const std::string& file);

} // namespace trayworth::io
