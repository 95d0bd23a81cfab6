// Commands over records: where these come from, how the answers are written down and shared out.
#pragma once

#include "cli/answers.hpp"
#include "cli/session.hpp"
#include "cli/stream.hpp"
#include "io/files.hpp"
#include "io/framer.hpp"

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace trayworth::cli {

struct RecordOptions {
    std::string file = "-";
    std::string format = "text";
    std::size_t jobs = 0; // 0: the processors there are
    bool fail_fast = false;
    bool quiet = false;
    std::optional<std::string> errors; // the file for diagnostics
};

// How `value` writes its answers, beside the format.
struct AnswerOptions {
    bool reasons = false;
    bool brief = false;
    bool total = false;
    valuation::Order order{};
};

void add_file(CLI::App& sub, std::string& file);
void add_format(CLI::App& sub, std::string& format, const std::vector<std::string>& formats);
void add_spelling(CLI::App& sub, std::string& spelling);
void add_jobs(CLI::App& sub, std::size_t& jobs);
void add_quiet(CLI::App& sub, bool& quiet);
void add_sharing(CLI::App& sub, RecordOptions& options); // the others of RecordOptions

std::size_t threads_for(std::size_t jobs); // 0: as many as there are processors
Format format_of(const std::string& name);
output::Spelling spelling_of(const std::string& name);
io::Form form_of(const std::string& file); // by its name

Rendering rendering_for(const Session& session,
                        const RecordOptions& options,
                        const AnswerOptions& answers,
                        io::Shape shape);

// Throws Refusal, io::FileError.
Tally stream(Session& session,
             const RecordOptions& options,
             const AnswerOptions& how,
             io::Framer& framer,
             const Answers& answers,
             std::optional<std::size_t> size);

// Reads the records, answers each and sums up on standard error; `done` is what was done to them.
// Throws Refusal, io::FileError.
int answer(Session& session,
           const RecordOptions& options,
           const AnswerOptions& how,
           const std::function<std::unique_ptr<Answers>(const Rendering&)>& make,
           std::string_view done);

// Gives each record to `take`, as it comes and with the tray's defaults where there are any; `file`
// is what diagnostics call it. Throws Reported, which says what is `undone` where the defaults are
// refused; Refusal, io::FileError.
void each_record(Session& session,
                 io::Framer& framer,
                 const std::string& file,
                 std::string_view undone,
                 const std::function<void(const io::Frame&, const Stone* defaults)>& take);

int status_of(const Tally& tally);

} // namespace trayworth::cli
