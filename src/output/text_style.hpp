// The page that a text is written for.
#pragma once

#include <cstddef>

namespace trayworth::output {

struct TextStyle {
    std::size_t width = 80; // characters, 80 at least
    bool colour = false;
    bool source_lines = false; // diagnostics show the line they are about
};

} // namespace trayworth::output
