#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/records.hpp"
#include "core/bounds.hpp"
#include "io/extended_matrix.hpp"
#include "output/json.hpp"
#include "output/safe_text.hpp"
#include "pricing/lint.hpp"

#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

constexpr std::string_view matrix_marker = "trayworth/price-matrix/";
constexpr std::size_t longest_search_for_marker = 65536;

// A source whose start was looked at, and is read all the same.
class PeekedSource : public io::ByteSource {
public:
    PeekedSource(io::ByteSource& source, std::size_t most) : source_(source), start_(most, '\0') {
        std::size_t filled = 0;
        while (filled < most) {
            const std::size_t got = source_.read(start_.data() + filled, most - filled);
            if (got == 0) {
                break;
            }
            filled += got;
        }
        start_.resize(filled);
    }
    [[nodiscard]] std::string_view start() const { return start_; }
    std::size_t read(char* data, std::size_t size) override {
        const std::size_t kept = start_.copy(data, size, at_);
        at_ += kept;
        return kept > 0 ? kept : source_.read(data, size);
    }

private:
    io::ByteSource& source_;
    std::string start_;
    std::size_t at_ = 0;
};

struct CheckOptions {
    RecordOptions records;
    std::string on; // of a matrix
};

// Takes the matrix away where a warning is an error.
void lint(const Session& session, std::optional<io::WholeMatrix>& whole, Diagnostics& diagnostics) {
    Diagnostics found = pricing::lint(whole->matrix);
    whole->place(found);
    if (session.strict && !found.empty()) {
        make_errors(found);
        whole.reset();
    }
    std::move(found.begin(), found.end(), std::back_inserter(diagnostics));
}

int check_matrix(Session& session, const CheckOptions& options, const std::string& text) {
    const Format format = format_of(options.records.format);
    const std::string file = label(options.records.file);
    Diagnostics diagnostics;
    std::optional<io::WholeMatrix> whole = matrix_of(
        session,
        options.records.file == "-" ? io::MatrixDocument{file, text, "", options.records.file}
                                    : io::MatrixLibrary::from_file(options.records.file, text),
        options.on, diagnostics);
    if (whole) {
        lint(session, whole, diagnostics);
    }
    const pricing::Matrix* matrix = whole ? &whole->matrix : nullptr;
    if (format == Format::text || session.errors_as_json) {
        session.report(diagnostics);
    }
    if (format == Format::text) {
        session.around.out.write(fmt::format(
            "{}: a price matrix, {}{}\n", output::safe(file),
            matrix ? "sound: " + counted(matrix->grids.size(), "grid") + ", " +
                         counted(matrix->factors.size(), "factor")
                   : "refused: " + counted(diagnostics.size(), "error"),
            matrix && !diagnostics.empty() ? ", " + counted(diagnostics.size(), "warning") : ""));
        return matrix ? all_done : some_refused;
    }
    std::string out;
    output::JsonWriter json(out, format == Format::json ? output::Layout::pretty
                                                        : output::Layout::compact);
    if (matrix) {
        json.begin_object();
        json.member("name", matrix->name);
        output::write_diagnostics(json, "warnings", diagnostics);
        json.end_object();
    } else {
        output::write_refused(json, std::nullopt, diagnostics);
    }
    session.around.out.write(out + "\n");
    return matrix ? all_done : some_refused;
}

int check(Session& session, const CheckOptions& options) {
    const std::unique_ptr<io::ByteSource> source = session.open(options.records.file);
    PeekedSource peeked(*source, longest_search_for_marker);
    if (peeked.start().find(matrix_marker) != std::string_view::npos) {
        return check_matrix(session, options, io::read_all(peeked, bounds::document_bytes));
    }
    io::Framer framer(peeked, form_of(options.records.file));
    Rendering rendering = rendering_for(session, options.records, {}, framer.shape());
    rendering.in_full = true;
    const CheckAnswers answers(rendering, label(options.records.file));
    const Tally tally = stream(session, options.records, {}, framer, answers, source->size());
    if (format_of(options.records.format) == Format::text && !tally.unreadable) {
        session.around.out.write(fmt::format(
            "{}: {}, {} refused, {}\n", output::safe(label(options.records.file)),
            counted(tally.records, "record"), tally.refused, counted(tally.warnings, "warning")));
    }
    return status_of(tally);
}

} // namespace

void add_check(CLI::App& app, Session& session) {
    const auto options = std::make_shared<CheckOptions>();
    CLI::App& sub = add_command(app, session, "check", "Check records or a matrix without valuing",
                                [&session, options] { return check(session, *options); });
    add_file(sub, options->records.file);
    add_format(sub, options->records.format, {"text", "json", "ndjson"});
    add_day(sub, options->on);
    add_sharing(sub, options->records);
    add_strict(sub, session);
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
