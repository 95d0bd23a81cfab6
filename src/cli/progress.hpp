// How far a long run has come, on a terminal's standard error.
#pragma once

#include "io/files.hpp"

#include <chrono>
#include <cstddef>
#include <optional>

namespace trayworth::cli {

// The clock is read here alone, and nothing but this line depends on it.
class Progress {
public:
    // `shown` only on a terminal; `size` in bytes of the whole input, where it is known.
    Progress(io::ByteSink& err, bool shown, std::optional<std::size_t> size);

    // Writes the line over itself a few times a second, not before the run has become long.
    void update(std::size_t records, std::size_t bytes);
    // Clears the line, so that something else can be written.
    void clear();

private:
    using Clock = std::chrono::steady_clock;

    io::ByteSink& err_;
    bool shown_;
    std::optional<std::size_t> size_;
    Clock::time_point start_;
    Clock::time_point next_;
    bool on_line_ = false;
};

} // namespace trayworth::cli
