#include "cli/records.hpp"

#include "cli/progress.hpp"
#include "io/record_reader.hpp"

#include <algorithm>
#include <string_view>
#include <thread>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {

void add_file(CLI::App& sub, std::string& file) {
    sub.add_option("file", file,
                   "A stone, a tray, an array, NDJSON or CSV; \"-\" is standard input");
}

void add_format(CLI::App& sub, std::string& format, const std::vector<std::string>& formats) {
    sub.add_option("--format", format, "Form of the answer")
        ->type_name("NAME")
        ->check(CLI::IsMember(formats));
}

void add_spelling(CLI::App& sub, std::string& spelling) {
    sub.add_option("--spelling", spelling, "british or american")
        ->type_name("NAME")
        ->check(CLI::IsMember({"british", "american"}));
}

void add_jobs(CLI::App& sub, std::size_t& jobs) {
    constexpr std::size_t most_jobs = 1024;
    sub.add_option("--jobs", jobs,
                   "Threads; without it, the processors there are. The output is the same")
        ->type_name("NUMBER")
        ->check(CLI::Range(std::size_t{1}, most_jobs));
}

void add_quiet(CLI::App& sub, bool& quiet) {
    sub.add_flag("--quiet", quiet, "Neither progress nor the summary on standard error");
}

std::size_t threads_for(std::size_t jobs) {
    return jobs > 0 ? jobs : std::max<std::size_t>(1, std::thread::hardware_concurrency());
}

void add_sharing(CLI::App& sub, RecordOptions& options) {
    add_jobs(sub, options.jobs);
    sub.add_flag("--fail-fast", options.fail_fast, "Stop at the first record that is refused");
    sub.add_option("--errors", options.errors, "Write the diagnostics to a file, as NDJSON")
        ->type_name("FILE");
    add_quiet(sub, options.quiet);
}

Format format_of(const std::string& name) {
    return name == "json"     ? Format::json
           : name == "ndjson" ? Format::ndjson
           : name == "csv"    ? Format::csv
           : name == "html"   ? Format::html
                              : Format::text;
}

output::Spelling spelling_of(const std::string& name) {
    return name == "american" ? output::Spelling::american : output::Spelling::british;
}

io::Form form_of(const std::string& file) {
    return file.ends_with(".csv")                                  ? io::Form::table
           : file.ends_with(".ndjson") || file.ends_with(".jsonl") ? io::Form::lines
                                                                   : io::Form::any;
}

Rendering rendering_for(const Session& session,
                        const RecordOptions& options,
                        const AnswerOptions& how,
                        io::Shape shape) {
    Format format = format_of(options.format);
    if (format == Format::json && shape == io::Shape::lines) {
        format = Format::ndjson; // NDJSON in, NDJSON out
    }
    const bool nested = shape == io::Shape::tray || shape == io::Shape::array;
    const bool brief = how.brief && is_json(format);
    return {.format = how.total ? Format::text : format,
            .in_full = !how.total && (how.reasons || shape == io::Shape::single),
            .depth = format == Format::json && nested ? 1 : 0,
            .brief = brief && !how.total,
            .faults = options.errors.has_value(),
            .errors_as_json = session.errors_as_json,
            .strict = session.strict,
            .out = {session.around.columns, session.around.colour_out},
            .err = session.error_style()};
}

Tally stream(Session& session,
             const RecordOptions& options,
             const AnswerOptions& how,
             io::Framer& framer,
             const Answers& answers,
             std::optional<std::size_t> size) {
    io::ByteSink* const faults = options.errors ? &session.create(*options.errors) : nullptr;
    const Surroundings& around = session.around;
    const bool looked_at = around.err_is_terminal && !options.quiet && !session.errors_as_json;
    Progress progress(around.err, looked_at && !around.out_is_terminal, size);
    StreamOptions sharing;
    sharing.jobs = threads_for(options.jobs);
    sharing.fail_fast = options.fail_fast;
    sharing.total_only = how.total ? std::optional(format_of(options.format)) : std::nullopt;
    sharing.order = how.order;
    sharing.faults = faults;
    sharing.progress = &progress;
    const Tally tally = answer_all(framer, answers, sharing, around.out, around.err);
    progress.clear();
    return tally;
}

int answer(Session& session,
           const RecordOptions& options,
           const AnswerOptions& how,
           const std::function<std::unique_ptr<Answers>(const Rendering&)>& make,
           std::string_view done) {
    const std::unique_ptr<io::ByteSource> source = session.open(options.file);
    io::Framer framer(*source, form_of(options.file));
    const std::unique_ptr<Answers> answers =
        make(rendering_for(session, options, how, framer.shape()));
    const Tally tally = stream(session, options, how, framer, *answers, source->size());
    if (framer.shape() != io::Shape::single && !options.quiet && !session.errors_as_json &&
        !tally.unreadable) {
        session.around.err.write(fmt::format("{} {}, {} refused, {} with warnings\n",
                                             tally.records - tally.refused, done, tally.refused,
                                             tally.warned));
    }
    return status_of(tally);
}

void each_record(Session& session,
                 io::Framer& framer,
                 const std::string& file,
                 std::string_view undone,
                 const std::function<void(const io::Frame&, const Stone* defaults)>& take) {
    const auto defaults_now = [&] {
        Diagnostics diagnostics;
        std::optional<Stone> defaults = io::read_tray(framer.envelope(), file, diagnostics);
        session.report(diagnostics);
        if (!defaults) {
            throw Reported(fmt::format("the tray's defaults were refused, so {}.", undone));
        }
        return std::move(*defaults);
    };
    std::optional<Stone> defaults;
    if (framer.shape() == io::Shape::tray) {
        defaults = defaults_now();
    }
    while (const std::optional<io::Frame> frame = framer.next()) {
        take(*frame, defaults ? &*defaults : nullptr);
    }
    // What stands after the stones of a tray is known only now.
    if (defaults && !framer.envelope().tail.empty()) {
        defaults_now();
    }
}

int status_of(const Tally& tally) {
    return tally.unreadable ? nothing_done : tally.refused > 0 ? some_refused : all_done;
}

} // namespace trayworth::cli
