#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/records.hpp"
#include "core/bounds.hpp"
#include "io/document.hpp"
#include "io/framer.hpp"
#include "io/plan_reader.hpp"
#include "io/record_reader.hpp"
#include "output/json.hpp"
#include "output/recut_json.hpp"
#include "output/recut_text.hpp"
#include "output/recut_tree.hpp"
#include "recutting/answer.hpp"
#include "weight/plausible.hpp"

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include <CLI/CLI.hpp>

namespace trayworth::cli {
namespace {

struct RecutOptions {
    std::string file = "-";
    std::string plan;
    std::string format = "text";
    MatrixChoice matrix;
    std::string level;
    std::size_t trials = 10'000;
    std::uint64_t seed = 1;
    double aversion = 0;
};

// One stone, read from a file: its text is needed again, for the changes of a plan.
struct OneStone {
    std::string text;
    io::Frame frame{};
    Stone stone;
    Diagnostics diagnostics;
    bool accepted = false;
};

std::unique_ptr<OneStone> read_stone(Session& session, const std::string& file) {
    const std::unique_ptr<io::ByteSource> source = session.open(file);
    io::Framer framer(*source, form_of(file));
    auto one = std::make_unique<OneStone>();
    if (framer.shape() != io::Shape::single) {
        throw Refusal("recut looks at one stone at a time.", "Give a file that holds one record.");
    }
    if (std::optional<io::Frame> frame = framer.next()) {
        one->text = frame->text;
        one->frame = std::move(*frame);
        one->frame.text = one->text;
        io::ReadRecord read = io::read_record(one->frame, nullptr, label(file), one->diagnostics);
        one->stone = std::move(read.stone);
        one->accepted = read.accepted;
    }
    return one;
}

class Recut {
public:
    Recut(Session& session, const RecutOptions& options) : session_(session), options_(options) {}

    int run() {
        if (options_.format == "svg" && options_.plan.empty()) {
            throw Refusal("--format svg draws a plan.", "Give one with --plan.");
        }
        if (options_.plan == "-" && (options_.file == "-" || options_.matrix.file == "-")) {
            throw Refusal("the plan cannot come from standard input, which is taken.",
                          "Name a file for it.");
        }
        if (options_.aversion > 0 && options_.plan.empty()) {
            throw Refusal("--aversion is towards the risks of a plan.", "Give one with --plan.");
        }
        const pricing::Matrix matrix = load_matrix(session_, options_.matrix, options_.file);
        const pricing::Entry& level = level_of(matrix, options_.level);
        const recutting::Terms terms{matrix, level, options_.trials, options_.seed};

        const std::unique_ptr<OneStone> one = read_stone(session_, options_.file);
        std::optional<recutting::Subject> now;
        if (one->accepted) {
            weight::check_plausible(one->stone, one->diagnostics);
            now = recutting::subject_of(one->stone, terms, one->diagnostics);
            io::place_in_frame(one->diagnostics, 0, one->frame, label(options_.file));
            if (session_.strict && !one->diagnostics.empty()) {
                make_errors(one->diagnostics);
                now.reset();
            }
        }
        if (!now) {
            return refuse(one->stone.id, one->diagnostics);
        }
        recutting::CommonDraws draws(terms.trials, terms.seed);
        std::optional<recutting::Planned> planned;
        if (!options_.plan.empty()) {
            Diagnostics faults;
            planned = plan_for(*now, one->text, terms, draws, faults);
            if (!planned) {
                return refuse(one->stone.id, faults);
            }
        }
        const recutting::FaultCosts faults = recutting::fault_costs(*now, terms, draws);
        recutting::Sizes sizes = recutting::calibrated_sizes_in(*now, terms, draws);
        const recutting::Answer answer{std::move(*now), faults, std::move(sizes),
                                       std::move(planned)};
        write(answer, terms, one->diagnostics);
        return all_done;
    }

private:
    std::optional<recutting::Planned> plan_for(const recutting::Subject& now,
                                               const std::string& record,
                                               const recutting::Terms& terms,
                                               recutting::CommonDraws& draws,
                                               Diagnostics& faults) {
        const std::string text =
            io::read_all(*session_.open(options_.plan), bounds::document_bytes);
        const std::string name = label(options_.plan);
        std::optional<recutting::Plan> plan = io::read_plan(text, name, record, faults);
        if (!plan) {
            return std::nullopt;
        }
        std::optional<recutting::Comparison> comparison =
            recutting::compare(now, *plan, options_.aversion, terms, draws, faults);
        io::place_in_document(faults, text, name);
        return comparison
                   ? std::optional(recutting::Planned{std::move(*plan), std::move(*comparison)})
                   : std::nullopt;
    }

    int refuse(const std::optional<std::string>& id, const Diagnostics& diagnostics) {
        if (options_.format == "json") {
            std::string out;
            output::JsonWriter json(out, output::Layout::pretty);
            output::write_refused(json, id, diagnostics);
            session_.around.out.write(out + "\n");
        }
        if (options_.format != "json" || session_.errors_as_json) {
            session_.report(diagnostics);
        }
        return some_refused;
    }

    void write(const recutting::Answer& answer,
               const recutting::Terms& terms,
               const Diagnostics& warnings) {
        if (options_.format == "json") {
            std::string out;
            output::JsonWriter json(out, output::Layout::pretty);
            output::write_recut(json, answer, terms, warnings);
            session_.around.out.write(out + "\n");
        }
        if (options_.format != "json" || session_.errors_as_json) {
            session_.report(warnings);
        }
        if (options_.format == "json") {
            return;
        }
        session_.around.out.write(
            options_.format == "svg"
                ? output::tree_svg(answer, terms.matrix)
                : output::recut_text(answer, terms,
                                     {session_.around.columns, session_.around.colour_out}));
    }

    Session& session_;
    const RecutOptions& options_;
};

} // namespace

void add_recut(CLI::App& app, Session& session) {
    const auto options = std::make_shared<RecutOptions>();
    CLI::App& sub = add_command(app, session, "recut",
                                "Is it worth taking more off? Faults, sizes and plans of one stone",
                                [&session, options] { return Recut(session, *options).run(); });
    sub.add_option("file", options->file, "One stone; \"-\" is standard input");
    sub.add_option("--plan", options->plan, "What might be done with it, to be compared")
        ->type_name("FILE");
    add_matrix_choice(sub, options->matrix);
    add_day(sub, options->matrix.on);
    add_format(sub, options->format, {"text", "json", "svg"});
    add_level(sub, options->level);
    constexpr double most_aversion = 100;
    sub.add_option("--aversion", options->aversion,
                   "Constant relative risk aversion; 0, the expected money alone, without it")
        ->type_name("NUMBER")
        ->check(CLI::Range(0.0, most_aversion));
    sub.add_option("--simulate", options->trials, "Trials of the simulation; 10000 without it")
        ->type_name("TRIALS")
        ->check(CLI::Range(std::size_t{100}, std::size_t{10'000'000}));
    sub.add_option("--seed", options->seed, "Seed of the simulation")->type_name("NUMBER");
    add_strict(sub, session);
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
