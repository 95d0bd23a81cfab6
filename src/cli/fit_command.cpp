#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/progress.hpp"
#include "cli/records.hpp"
#include "core/decimal.hpp"
#include "fitting/assessment.hpp"
#include "io/fitted_matrix.hpp"
#include "io/framer.hpp"
#include "io/record_reader.hpp"
#include "output/fit.hpp"
#include "output/json_writer.hpp"
#include "output/safe_text.hpp"

#include <algorithm>
#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

struct FitOptions {
    MatrixChoice matrix;
    std::string file = "-";
    std::string format = "text";
    std::optional<std::string> report;
    std::optional<double> most_change;
    std::size_t jobs = 0;
    bool assess = false;
    bool trend = false;
    bool quiet = false;
};

struct Ledger {
    std::vector<fitting::Observation> sales;
    std::size_t refused = 0;
};

// Reads each record as it comes and keeps what it says of the matrix.
class LedgerReader {
public:
    LedgerReader(Session& session, const std::string& file, const fitting::Subject& subject)
        : session_(session), file_(label(file)), subject_(subject) {}

    Ledger read(io::Framer& framer, Progress& progress) {
        Ledger ledger;
        std::size_t records = 0;
        std::size_t bytes = 0;
        each_record(session_, framer, file_, "nothing was learnt",
                    [&](const io::Frame& frame, const Stone* defaults) {
                        if (auto sale = observed(frame, defaults)) {
                            ledger.sales.push_back(std::move(*sale));
                        } else {
                            ++ledger.refused;
                        }
                        bytes += frame.text.size();
                        progress.update(++records, bytes);
                    });
        return ledger;
    }

private:
    // Warnings are of the stone and not of its sale: `value` tells them.
    std::optional<fitting::Observation> observed(const io::Frame& frame, const Stone* defaults) {
        Diagnostics diagnostics;
        const io::ReadRecord record = io::read_record(frame, defaults, file_, diagnostics);
        std::optional<fitting::Observation> found;
        if (record.accepted) {
            found = fitting::observe(record.stone, subject_.matrix, subject_.numbers, diagnostics);
            if (!found) {
                std::erase_if(diagnostics, [](const Diagnostic& diagnostic) {
                    return diagnostic.severity == Severity::warning;
                });
                io::place_in_frame(diagnostics, 0, frame, file_);
            }
        }
        if (!found) {
            session_.report(diagnostics);
        }
        return found;
    }

    Session& session_;
    std::string file_;
    const fitting::Subject& subject_;
};

Ledger read_ledger(Session& session, const FitOptions& options, const fitting::Subject& subject) {
    const std::unique_ptr<io::ByteSource> source = session.open(options.file);
    io::Framer framer(*source, form_of(options.file));
    const Surroundings& around = session.around;
    Progress progress(around.err,
                      around.err_is_terminal && !options.quiet && !session.errors_as_json,
                      source->size());
    Ledger ledger = LedgerReader(session, options.file, subject).read(framer, progress);
    progress.clear();
    return ledger;
}

std::string
written(const output::FitReport& report, const std::string& format, output::TextStyle style) {
    if (format == "json") {
        std::string text;
        output::JsonWriter json(text, output::Layout::pretty);
        output::write_fit(json, report);
        return text + "\n";
    }
    return format == "html" ? output::fit_html(report) : output::fit_text(report, style);
}

// The matrix's own text with the new numbers and the head that goes with them.
std::string fitted_text(const io::WholeMatrix& whole, const output::FitReport& report) {
    std::vector<io::NewSpread> numbers;
    for (const fitting::Change& change : report.proposal.changes) {
        const auto end = [](double x) { return to_significant(x); };
        numbers.push_back(
            {report.numbers[change.number].pointer, end(change.now.low()), end(change.now.high())});
    }
    return io::with_numbers(
        whole.text, numbers,
        {std::max(whole.matrix.as_of, output::day_text(report.last)), provenance_of(report)});
}

// What a reader must not miss, though the matrix is written.
void warn(Session& session,
          const io::WholeMatrix& whole,
          const output::FitReport& report,
          const FitOptions& options) {
    Diagnostics found;
    if (const fitting::OutOfSample* tried = report.assessment.no_better()) {
        trayworth::report(
            found, Code::fit_no_better, "",
            fmt::format("Out of sample the new matrix is off by {}, and the present one by {}.",
                        output::share_text(tried->after.median_ape),
                        output::share_text(tried->before.median_ape)),
            "Keep the present matrix, or gather more sales.");
        found.back().file = label(options.file);
    }
    Diagnostics together;
    if (!options.assess) {
        for (const auto& [a, b] : report.proposal.estimate.together) {
            trayworth::report(
                together, Code::sold_together, report.numbers[a].pointer,
                fmt::format("{} were sold together only: no sale tells one from the other.",
                            output::both_names(report.numbers, a, b)),
                "Look at both numbers; a sale of a stone with one of them would tell.");
        }
        whole.place(together);
    }
    std::move(together.begin(), together.end(), std::back_inserter(found));
    session.report(found);
}

int fit(Session& session, const FitOptions& options) {
    if (options.matrix.file == "-" && options.file == "-") {
        throw Refusal("the matrix and the sales cannot both come from standard input.",
                      "Name a file for one of them.");
    }
    Diagnostics diagnostics;
    const std::optional<io::WholeMatrix> whole =
        matrix_of(session, document_of(session, options.matrix), "", diagnostics);
    session.report(diagnostics);
    if (!whole) {
        throw Reported("the matrix was refused, so nothing was learnt.");
    }
    const pricing::Matrix& matrix = whole->matrix;
    const fitting::Subject subject(matrix);
    const Ledger ledger = read_ledger(session, options, subject);
    if (ledger.sales.empty()) {
        throw Refusal("no record could be used, so nothing was learnt.",
                      "Give records with a \"sale\": see trayworth-record(5).");
    }
    fitting::ProposalOptions how;
    how.estimate.trend = options.trend;
    how.most_change = options.most_change;
    std::vector<const fitting::Observation*> sales;
    const auto earlier = [](const auto& a, const auto& b) { return a.day < b.day; };
    const auto [first, last] =
        std::minmax_element(ledger.sales.begin(), ledger.sales.end(), earlier);
    for (const fitting::Observation& sale : ledger.sales) {
        sales.push_back(&sale);
    }
    const fitting::Proposal proposal = fitting::propose(sales, subject, how);
    fitting::Assessment assessment = fitting::assess(ledger.sales, subject);
    fitting::cut_up(assessment, ledger.sales, subject, how, proposal.estimate,
                    threads_for(options.jobs));

    const output::FitReport report{matrix,          subject.numbers, assessment, proposal,
                                   !options.assess, ledger.refused,  first->day, last->day};
    const Surroundings& around = session.around;
    if (options.assess) {
        around.out.write(written(report, options.format, {around.columns, around.colour_out}));
    } else {
        around.out.write(output::safe_json(fitted_text(*whole, report)));
        if (options.report) {
            session.create(*options.report).write(written(report, options.format, {}));
        }
    }
    warn(session, *whole, report, options);
    if (!options.quiet && !session.errors_as_json) {
        around.err.write(output::fit_summary(report));
    }
    return ledger.refused > 0 ? some_refused : all_done;
}

} // namespace

void add_fit(CLI::App& app, Session& session) {
    const auto options = std::make_shared<FitOptions>();
    CLI::App& sub =
        add_command(app, session, "fit", "Test a matrix against past sales, and move it by them",
                    [&session, options] { return fit(session, *options); });
    sub.add_option("file", options->file,
                   "Records with their sales: a tray, an array, NDJSON or CSV; \"-\" is standard "
                   "input");
    add_matrix_choice(sub, options->matrix);
    CLI::Option* assess = sub.add_flag("--assess", options->assess,
                                       "Say how good the matrix is, in place of writing a new one");
    sub.add_flag("--trend", options->trend, "Let prices rise or fall by the year");
    constexpr double least_change = 0.001;
    constexpr double most_change = 100;
    sub.add_option("--max-change", options->most_change,
                   "The most that a number may change: 0.2 is a fifth of it, up or down")
        ->type_name("SHARE")
        ->check(CLI::Range(least_change, most_change));
    sub.add_option("--report", options->report, "Write what changed, and why, to a file")
        ->type_name("FILE")
        ->excludes(assess);
    sub.add_option("--format", options->format, "Form of the report, or of the assessment")
        ->type_name("NAME")
        ->check(CLI::IsMember({"text", "json", "html"}));
    add_jobs(sub, options->jobs);
    add_quiet(sub, options->quiet);
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
