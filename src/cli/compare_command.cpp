#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/records.hpp"
#include "io/framer.hpp"
#include "io/record_reader.hpp"
#include "output/compare.hpp"
#include "output/json_writer.hpp"
#include "output/safe_text.hpp"

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

struct CompareOptions {
    MatrixChoice a;
    MatrixChoice b;
    std::string level;
    std::string file = "-";
    std::string format = "text";
    bool reasons = false;
    bool quiet = false;
};

struct Records {
    std::vector<output::ComparedStone> stones;
    bool single = false;
};

// Compares each record as it comes. Records that cannot be read are reported, and kept as refused.
class Comparing {
public:
    Comparing(Session& session,
              const std::string& file,
              const valuation::Request& a,
              const valuation::Request& b)
        : session_(session), file_(label(file)), a_(a), b_(b) {}

    Records run(io::Framer& framer) {
        Records records;
        records.single = framer.shape() == io::Shape::single;
        each_record(session_, framer, file_, "nothing was compared",
                    [&](const io::Frame& frame, const Stone* defaults) {
                        records.stones.push_back(compared(frame, defaults));
                    });
        return records;
    }

private:
    output::ComparedStone compared(const io::Frame& frame, const Stone* defaults) {
        output::ComparedStone found;
        io::ReadRecord record = io::read_record(frame, defaults, file_, found.refused);
        found.id = record.stone.id;
        session_.report(found.refused);
        if (!record.accepted) {
            return found;
        }
        found.refused.clear();
        found.comparison = valuation::compare(record.stone, a_, b_);
        for (Diagnostics* diagnostics :
             {&found.comparison.a_diagnostics, &found.comparison.b_diagnostics}) {
            io::place_in_frame(*diagnostics, 0, frame, file_);
        }
        const valuation::Compared& comparison = found.comparison;
        if (comparison.a || comparison.b) {
            found.name = (comparison.b ? comparison.b : comparison.a)->nomenclature.name;
        }
        return found;
    }

    Session& session_;
    std::string file_;
    const valuation::Request& a_;
    const valuation::Request& b_;
};

std::string written(const output::CompareReport& report,
                    bool in_full,
                    const CompareOptions& options,
                    const Session& session) {
    if (options.format == "csv") {
        return output::compare_csv(report);
    }
    if (options.format == "html") {
        return output::compare_html(report);
    }
    if (options.format == "json") {
        std::string text;
        output::JsonWriter json(text, output::Layout::pretty);
        output::write_compare(json, report);
        return text + "\n";
    }
    return output::compare_text(report, in_full,
                                {session.around.columns, session.around.colour_out});
}

int compare(Session& session, const CompareOptions& options) {
    if (options.a.file == "-" && options.b.file == "-") {
        throw Refusal("two matrices cannot both come from standard input.",
                      "Name a file for one of them.");
    }
    const pricing::Matrix a = load_matrix(session, options.a, options.file);
    const pricing::Matrix b = load_matrix(session, options.b, options.file);
    if (a.currency != b.currency) {
        throw Refusal(fmt::format("A is in {} and B in {}.", a.currency.code, b.currency.code),
                      "Compare matrices of the same currency.");
    }
    const pricing::Entry& a_level = level_of(a, options.level);
    const pricing::Entry& b_level = level_of(b, options.level);
    const valuation::Request a_request{a, a_level};
    const valuation::Request b_request{b, b_level};
    const std::unique_ptr<io::ByteSource> source = session.open(options.file);
    io::Framer framer(*source, form_of(options.file));
    Records records = Comparing(session, options.file, a_request, b_request).run(framer);

    valuation::ComparedTotal total;
    for (const output::ComparedStone& stone : records.stones) {
        total.add(stone.comparison);
    }
    total.sort_steps();
    output::sort_by_change(records.stones);
    const output::CompareReport report{
        {a, a_level}, {b, b_level}, std::move(records.stones), std::move(total)};
    session.around.out.write(written(report, options.reasons || records.single, options, session));
    const valuation::ComparedTotal& sum = report.total;
    const std::size_t refused = sum.only_a + sum.only_b + sum.neither;
    if (!records.single && !options.quiet && !session.errors_as_json) {
        session.around.err.write(
            fmt::format("{} compared, {} refused under one or both\n", sum.both, refused));
    }
    return refused > 0 ? some_refused : all_done;
}

} // namespace

void add_compare(CLI::App& app, Session& session) {
    const auto options = std::make_shared<CompareOptions>();
    CLI::App& sub =
        add_command(app, session, "compare", "Value stones by two matrices, and say what differs",
                    [&session, options] { return compare(session, *options); });
    sub.add_option("A", options->a.file, "A price matrix")->required();
    sub.add_option("B", options->b.file, "Another; \"demonstration\" is the built-in one")
        ->required();
    add_file(sub, options->file);
    add_format(sub, options->format, {"text", "json", "csv", "html"});
    sub.add_option("--level", options->level,
                   "Market level, one that both have; without it, each at its own")
        ->type_name("NAME");
    sub.add_flag("--reasons", options->reasons,
                 "Text: every cause of every stone, with its place in both matrices");
    sub.add_flag("--quiet", options->quiet, "No summary on standard error");
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
