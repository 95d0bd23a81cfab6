#include "cli/commands.hpp"
#include "cli/records.hpp"
#include "io/matrix_reader.hpp"
#include "output/json.hpp"
#include "output/safe_text.hpp"

#include <memory>
#include <optional>
#include <string>
#include <string_view>

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

int check_matrix(Session& session, const RecordOptions& options, const std::string& text) {
    const Format format = format_of(options.format);
    Diagnostics diagnostics;
    const std::optional<pricing::Matrix> matrix =
        io::read_matrix(text, label(options.file), diagnostics);
    if (format == Format::text) {
        session.report(diagnostics);
        session.around.out.write(
            fmt::format("{}: a price matrix, {}\n", output::safe(label(options.file)),
                        matrix ? "sound: " + counted(matrix->grids.size(), "grid") + ", " +
                                     counted(matrix->factors.size(), "factor")
                               : "refused: " + counted(diagnostics.size(), "error")));
        return matrix ? all_done : some_refused;
    }
    std::string out;
    output::JsonWriter json(out, format == Format::json ? output::Layout::pretty
                                                        : output::Layout::compact);
    if (matrix) {
        json.begin_object();
        json.member("name", matrix->name);
        json.key("warnings");
        json.begin_array();
        json.end_array();
        json.end_object();
    } else {
        output::write_refused(json, std::nullopt, diagnostics);
    }
    session.around.out.write(out + "\n");
    return matrix ? all_done : some_refused;
}

int check(Session& session, const RecordOptions& options) {
    const std::unique_ptr<io::ByteSource> source = session.open(options.file);
    PeekedSource peeked(*source, longest_search_for_marker);
    if (peeked.start().find(matrix_marker) != std::string_view::npos) {
        return check_matrix(session, options, io::read_all(peeked));
    }
    io::Framer framer(peeked, is_by_lines(options.file));
    Rendering rendering = rendering_for(session, options, {}, framer.shape());
    rendering.in_full = true;
    const CheckAnswers answers(rendering, label(options.file));
    const Tally tally = stream(session, options, {}, framer, answers, source->size());
    if (format_of(options.format) == Format::text && !tally.unreadable) {
        session.around.out.write(fmt::format(
            "{}: {}, {} refused, {}\n", output::safe(label(options.file)),
            counted(tally.records, "record"), tally.refused, counted(tally.warnings, "warning")));
    }
    return status_of(tally);
}

} // namespace

void add_check(CLI::App& app, Session& session) {
    const auto options = std::make_shared<RecordOptions>();
    CLI::App& sub = add_command(app, session, "check", "Check records or a matrix without valuing",
                                [&session, options] { return check(session, *options); });
    add_file(sub, options->file);
    add_format(sub, options->format, {"text", "json", "ndjson"});
    add_sharing(sub, *options);
}

} // namespace trayworth::cli
