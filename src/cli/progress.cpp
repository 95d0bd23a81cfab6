#include "cli/progress.hpp"

#include <string>

#include <fmt/format.h>

namespace trayworth::cli {
namespace {

using namespace std::chrono_literals;

constexpr auto patience = 1s; // before the first line
constexpr auto pause = 200ms; // between lines
constexpr std::string_view clear_line = "\r\x1b[K";

} // namespace

Progress::Progress(io::ByteSink& err, bool shown, std::optional<std::size_t> size)
    : err_(err), shown_(shown), size_(size), start_(Clock::now()), next_(start_ + patience) {}

void Progress::update(std::size_t records, std::size_t bytes) {
    if (!shown_) {
        return;
    }
    const Clock::time_point now = Clock::now();
    if (now < next_) {
        return;
    }
    next_ = now + pause;
    const double seconds = std::chrono::duration<double>(now - start_).count();
    std::string line = fmt::format("{}{} records, {:.0f} a second", clear_line, records,
                                   static_cast<double>(records) / seconds);
    if (size_ && bytes > 0 && bytes <= *size_) {
        const double share = static_cast<double>(bytes) / static_cast<double>(*size_);
        line +=
            fmt::format(", {:.0f} %, {:.0f} s left", 100 * share, seconds / share * (1 - share));
    }
    err_.write(line);
    on_line_ = true;
}

void Progress::clear() {
    if (on_line_) {
        err_.write(clear_line);
        on_line_ = false;
    }
}

} // namespace trayworth::cli
