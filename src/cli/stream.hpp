// A whole input, record by record: one answer in the place of each.
#pragma once

#include "cli/answers.hpp"
#include "io/files.hpp"
#include "io/framer.hpp"

#include <cstddef>

namespace trayworth::cli {

struct Tally {
    std::size_t records = 0;
    std::size_t refused = 0;
    std::size_t warnings = 0;
    bool unreadable = false; // the defaults of the tray could not be read: nothing was answered
};

// Throws io::FileError.
Tally answer_all(io::Framer& framer, const Answers& answers, io::ByteSink& out, io::ByteSink& err);

} // namespace trayworth::cli
