// A whole input, record by record: one answer in the place of each.
#pragma once

#include "cli/answers.hpp"
#include "cli/progress.hpp"
#include "io/files.hpp"
#include "io/framer.hpp"
#include "valuation/selection.hpp"

#include <cstddef>
#include <optional>

namespace trayworth::cli {

struct StreamOptions {
    std::size_t jobs = 1;               // threads; the bytes written do not depend on it
    bool fail_fast = false;             // stop at the first record that is refused
    std::optional<Format> total_only{}; // instead of the answers, what they sum to
    valuation::Order order{};           // of a table
    io::ByteSink* faults = nullptr;     // where the diagnostics go as NDJSON
    Progress* progress = nullptr;
};

struct Tally {
    std::size_t records = 0; // those that were not asked for among them
    std::size_t refused = 0;
    std::size_t warned = 0;   // records
    std::size_t warnings = 0; // in all
    bool unreadable = false;  // the defaults of the tray could not be read: nothing was answered
};

// Throws io::FileError.
Tally answer_all(io::Framer& framer,
                 const Answers& answers,
                 const StreamOptions& options,
                 io::ByteSink& out,
                 io::ByteSink& err);

} // namespace trayworth::cli
