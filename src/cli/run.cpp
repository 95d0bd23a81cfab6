#include "cli/run.hpp"

#include "cli/answers.hpp"
#include "cli/stream.hpp"
#include "core/nearest.hpp"
#include "io/embedded.hpp"
#include "io/files.hpp"
#include "io/framer.hpp"
#include "io/matrix_reader.hpp"
#include "output/json.hpp"
#include "output/safe_text.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cstdint>
#include <exception>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#ifndef TRAYWORTH_VERSION
#error "TRAYWORTH_VERSION comes from CMakeLists.txt"
#endif

namespace trayworth::cli {
namespace {

constexpr std::string_view matrix_marker = "trayworth/price-matrix/";
constexpr std::size_t longest_search_for_marker = 65536;

// A command that cannot be carried out: said on standard error, exit status 2.
class Refusal : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

struct Options {
    std::string file = "-";
    std::string matrix;
    std::string level;
    std::string format = "text";
    std::size_t trials = 0;
    std::uint64_t seed = 1;
    bool reasons = false;
    bool brief = false;
    bool total = false;
    bool fail_fast = false;
    bool quiet = false;
    std::size_t jobs = 0; // 0: the processors there are
    std::string sort;
    std::vector<std::string> only;
    std::string errors;
    std::string schema;
    // weigh without a record
    std::string outline;
    std::string size;
    std::string density;
    std::string wall;
    std::string dome;
    std::string back;
    std::string area;
    std::string uncertainty;

    [[nodiscard]] bool measures() const {
        return !(outline.empty() && size.empty() && density.empty() && wall.empty() &&
                 dome.empty() && back.empty() && area.empty() && uncertainty.empty());
    }
};

std::string known(const std::vector<std::string_view>& names) {
    return fmt::format("{}", fmt::join(names, ", "));
}

// "1 record", "2 records"
std::string counted(std::size_t number, std::string_view what) {
    return fmt::format("{} {}{}", number, what, number == 1 ? "" : "s");
}

Format format_of(const std::string& name) {
    return name == "json"     ? Format::json
           : name == "ndjson" ? Format::ndjson
           : name == "csv"    ? Format::csv
                              : Format::text;
}

class Program {
public:
    explicit Program(Surroundings surroundings) : around_(surroundings) {}

    int run(const std::vector<std::string>& arguments) {
        CLI::App app("Grades, weighs and values finished opal cabochons.", "trayworth");
        describe(app);
        try {
            std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
            app.parse(reversed);
        } catch (const CLI::CallForHelp&) {
            const std::vector<CLI::App*> chosen = app.get_subcommands();
            around_.out.write(chosen.empty() ? app.help() : deepest(app)->help(path_to(app)));
            return all_done;
        } catch (const CLI::CallForVersion&) {
            around_.out.write("trayworth " TRAYWORTH_VERSION "\n");
            return all_done;
        } catch (const CLI::ParseError& error) {
            if (!app.remaining(true).empty()) {
                throw Refusal(unexpected(app));
            }
            const std::vector<std::string> commands = commands_of(*deepest(app));
            if (error.get_name() == "RequiredError" && !commands.empty()) {
                throw Refusal(
                    fmt::format("a command is missing: {}; see \"trayworth{} --help\".",
                                fmt::join(commands, ", "),
                                deepest(app) == &app ? "" : " " + deepest(app)->get_name()));
            }
            throw Refusal(fmt::format("{}; see \"trayworth{} --help\".", error.what(),
                                      app.get_subcommands().empty()
                                          ? ""
                                          : " " + app.get_subcommands().front()->get_name()));
        }
        return chosen_();
    }

private:
    // ---- the options

    void describe(CLI::App& app) {
        app.set_version_flag("--version", "trayworth " TRAYWORTH_VERSION);
        app.require_subcommand(1);
        app.footer("A first try: trayworth value stone.json\n"
                   "Values are estimates for pricing stock, not appraisals; the prices of the "
                   "built-in\nmatrix are invented.");

        CLI::App& value = command(app, "value", "Value stones: a range, with its reasons",
                                  [this] { return this->value(); });
        add_file(value);
        add_matrix(value);
        add_format(value, {"text", "json", "ndjson", "csv"});
        value.add_option("--level", options_.level, "Market level, one that the matrix has")
            ->type_name("NAME");
        value
            .add_option("--simulate", options_.trials,
                        "Confirm the range by a simulation of so many trials")
            ->type_name("TRIALS")
            ->check(CLI::Range(std::size_t{2}, std::size_t{100'000'000}));
        value.add_option("--seed", options_.seed, "Seed of the simulation")->type_name("NUMBER");
        value.add_flag("--reasons", options_.reasons,
                       "Text: each stone of a tray in full, not one line for it");
        value.add_flag("--brief", options_.brief,
                       "JSON: id, name, weight and value, without the reasons");
        value.add_flag("--total", options_.total, "What the stones sum to, and not the stones");
        value
            .add_option("--only", options_.only,
                        "Only stones that meet a condition, as fault=crack or \"likely>=100\"; "
                        "repeat it for more")
            ->type_name("CONDITION")
            ->allow_extra_args(false);
        value
            .add_option("--sort", options_.sort,
                        "Text: order of the lines: id, name, weight, likely or range, with - in "
                        "front for the largest first")
            ->type_name("KEY");
        add_stream(value);

        CLI::App& weigh =
            command(app, "weigh", "Weigh stones: by the scale, or estimated from dimensions",
                    [this] { return this->weigh(); });
        add_file(weigh);
        add_format(weigh, {"text", "json", "ndjson"});
        add_stream(weigh);
        const std::string no_record = "No record: ";
        weigh.add_option("--outline", options_.outline, no_record + "round, oval, pear, ...")
            ->type_name("NAME");
        weigh.add_option("--size", options_.size, no_record + "length x width x depth in mm")
            ->type_name("LxWxD");
        weigh
            .add_option("--density", options_.density,
                        no_record + "g/cm3, as 2.10 or 2.06-2.14, or a variety's name")
            ->type_name("DENSITY");
        weigh.add_option("--wall", options_.wall, no_record + "height of the girdle wall, mm")
            ->type_name("MM");
        weigh
            .add_option("--dome", options_.dome,
                        no_record + "height of the dome in mm, or low, medium, high")
            ->type_name("MM|NAME");
        weigh.add_option("--back", options_.back, no_record + "flat, convex or double")
            ->type_name("NAME");
        weigh.add_option("--area", options_.area, no_record + "measured area of the outline, mm2")
            ->type_name("MM2");
        weigh
            .add_option("--uncertainty", options_.uncertainty,
                        no_record + "standard uncertainty of each dimension, mm")
            ->type_name("MM");

        CLI::App& check = command(app, "check", "Check records or a matrix without valuing",
                                  [this] { return this->check(); });
        add_file(check);
        add_format(check, {"text", "json", "ndjson"});
        add_stream(check);

        CLI::App& matrix = *app.add_subcommand("matrix", "Work with a price matrix");
        matrix.require_subcommand(1);
        CLI::App& show = command(matrix, "show", "Print a matrix, comments and all",
                                 [this] { return show_matrix(); });
        add_matrix(show);
        show.add_option("--format", options_.format, "Form of the output")
            ->check(CLI::IsMember({"json"}));

        CLI::App& schema = command(app, "schema", "Print the JSON Schema of a format",
                                   [this] { return this->schema(); });
        schema.add_option("format", options_.schema, "record, matrix or valuation")
            ->required()
            ->check(CLI::IsMember({"record", "matrix", "valuation"}));
    }

    CLI::App& command(CLI::App& parent,
                      const std::string& name,
                      const std::string& description,
                      std::function<int()> action) {
        CLI::App* sub = parent.add_subcommand(name, description);
        sub->final_callback([this, action = std::move(action)] { chosen_ = action; });
        return *sub;
    }

    void add_file(CLI::App& sub) {
        sub.add_option("file", options_.file,
                       "A stone, a tray, an array or NDJSON; \"-\" is standard input");
    }
    void add_matrix(CLI::App& sub) {
        sub.add_option("--matrix", options_.matrix,
                       "The price matrix; without it, the built-in demonstration")
            ->type_name("FILE");
    }
    void add_format(CLI::App& sub, const std::vector<std::string>& formats) {
        sub.add_option("--format", options_.format, "Form of the answer")
            ->type_name("NAME")
            ->check(CLI::IsMember(formats));
    }
    void add_stream(CLI::App& sub) {
        constexpr std::size_t most_jobs = 1024;
        sub.add_option("--jobs", options_.jobs,
                       "Threads; without it, the processors there are. The output is the same")
            ->type_name("NUMBER")
            ->check(CLI::Range(std::size_t{1}, most_jobs));
        sub.add_flag("--fail-fast", options_.fail_fast, "Stop at the first record that is refused");
        sub.add_option("--errors", options_.errors, "Write the diagnostics to a file, as NDJSON")
            ->type_name("FILE");
        sub.add_flag("--quiet", options_.quiet,
                     "Neither progress nor the summary on standard error");
    }

    static const CLI::App* deepest(const CLI::App& app) {
        const CLI::App* last = &app;
        while (!last->get_subcommands().empty()) {
            last = last->get_subcommands().front();
        }
        return last;
    }

    // The commands before the deepest one, as they are typed.
    static std::string path_to(const CLI::App& app) {
        const CLI::App* last = deepest(app);
        std::string path = "trayworth";
        for (const CLI::App* sub = app.get_subcommands().front(); sub != last;
             sub = sub->get_subcommands().front()) {
            path += " " + sub->get_name();
        }
        return path;
    }

    static std::vector<std::string> commands_of(const CLI::App& app) {
        std::vector<std::string> names;
        for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
            names.push_back(sub->get_name());
        }
        return names;
    }

    // CLI11 lists what it did not expect backwards and suggests nothing.
    static std::string unexpected(const CLI::App& app) {
        const std::vector<std::string> words = app.remaining(true);
        const CLI::App* where = deepest(app);
        std::vector<std::string> names;
        if (words.front().starts_with("-")) {
            for (const CLI::Option* option : where->get_options()) {
                names.push_back(option->get_name());
            }
        } else {
            names = commands_of(*where);
        }
        const std::vector<std::string_view> views(names.begin(), names.end());
        const std::optional<std::string_view> near = nearest(words.front(), views);
        return fmt::format("\"{}\" was not expected here{}; see \"{} --help\".", words.front(),
                           near ? fmt::format(" (did you mean \"{}\"?)", *near) : "",
                           where == &app ? "trayworth" : path_to(app) + " " + where->get_name());
    }

    // ---- the commands

    int value() {
        const pricing::Matrix matrix = load_matrix();
        const pricing::Entry& level = level_of(matrix);
        return answer([&](const Rendering& rendering) -> std::unique_ptr<Answers> {
            return std::make_unique<ValueAnswers>(
                rendering, label(options_.file),
                valuation::Request{matrix, level, options_.trials, options_.seed,
                                   rendering.brief ? valuation::Explain::no
                                                   : valuation::Explain::yes},
                conditions());
        });
    }

    int weigh() {
        if (options_.measures()) {
            if (options_.file != "-") {
                throw Refusal("a record states its own measures: give either a file, or --size "
                              "and the options beside it.");
            }
            return weigh_measures();
        }
        return answer([&](Rendering rendering) -> std::unique_ptr<Answers> {
            rendering.in_full = true;
            return std::make_unique<WeighAnswers>(rendering, label(options_.file));
        });
    }

    int check() {
        const std::unique_ptr<io::ByteSource> source = open(options_.file);
        PeekedSource peeked(*source, longest_search_for_marker);
        if (peeked.start().find(matrix_marker) != std::string_view::npos) {
            return check_matrix(io::read_all(peeked));
        }
        io::Framer framer(peeked, is_by_lines(options_.file));
        Rendering rendering = rendering_for(framer.shape());
        rendering.in_full = true;
        const CheckAnswers answers(rendering, label(options_.file));
        const Tally tally = stream(framer, answers, source->size());
        if (format_of(options_.format) == Format::text && !tally.unreadable) {
            around_.out.write(fmt::format("{}: {}, {} refused, {}\n",
                                          output::safe(label(options_.file)),
                                          counted(tally.records, "record"), tally.refused,
                                          counted(tally.warnings, "warning")));
        }
        return status_of(tally);
    }

    int check_matrix(const std::string& text) {
        Diagnostics diagnostics;
        const std::optional<pricing::Matrix> matrix =
            io::read_matrix(text, label(options_.file), diagnostics);
        if (format_of(options_.format) == Format::text) {
            report(diagnostics);
            around_.out.write(
                fmt::format("{}: a price matrix, {}\n", output::safe(label(options_.file)),
                            matrix ? "sound: " + counted(matrix->grids.size(), "grid") + ", " +
                                         counted(matrix->factors.size(), "factor")
                                   : "refused: " + counted(diagnostics.size(), "error")));
        } else {
            std::string out;
            output::JsonWriter json(out, format_of(options_.format) == Format::json
                                             ? output::Layout::pretty
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
            around_.out.write(out + "\n");
        }
        return matrix ? all_done : some_refused;
    }

    int show_matrix() {
        around_.out.write(matrix_text());
        return all_done;
    }

    int schema() {
        around_.out.write(options_.schema == "record"   ? io::record_schema()
                          : options_.schema == "matrix" ? io::matrix_schema()
                                                        : io::valuation_schema());
        return all_done;
    }

    // ---- what they share

    // A source whose start was looked at, and is read all the same.
    class PeekedSource : public io::ByteSource {
    public:
        PeekedSource(io::ByteSource& source, std::size_t most)
            : source_(source), start_(most, '\0') {
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

    // Standard input, without owning it.
    class Borrowed : public io::ByteSource {
    public:
        explicit Borrowed(io::ByteSource& source) : source_(source) {}
        std::size_t read(char* data, std::size_t size) override { return source_.read(data, size); }
        [[nodiscard]] std::optional<std::size_t> size() const override { return source_.size(); }

    private:
        io::ByteSource& source_;
    };

    // What diagnostics call a file.
    static std::string label(const std::string& file) {
        return file == "-" ? "standard input" : file;
    }

    std::unique_ptr<io::ByteSource> open(const std::string& file) {
        if (file != "-") {
            return std::make_unique<io::FileSource>(file);
        }
        if (around_.in_is_terminal) {
            throw Refusal("there is nothing to read: name a file, or pipe records in.");
        }
        return std::make_unique<Borrowed>(around_.in);
    }

    static bool is_by_lines(const std::string& file) {
        return file.ends_with(".ndjson") || file.ends_with(".jsonl");
    }

    Rendering rendering_for(io::Shape shape) const {
        Format format = format_of(options_.format);
        if (format == Format::json && shape == io::Shape::lines) {
            format = Format::ndjson; // NDJSON in, NDJSON out
        }
        const bool nested = shape == io::Shape::tray || shape == io::Shape::array;
        const bool brief = options_.brief && format != Format::text && format != Format::csv;
        return {.format = options_.total ? Format::text : format,
                .in_full = !options_.total && (options_.reasons || shape == io::Shape::single),
                .depth = format == Format::json && nested ? 1 : 0,
                .brief = brief && !options_.total,
                .faults = !options_.errors.empty(),
                .out = {around_.columns, around_.colour_out},
                .err = {around_.columns, around_.colour_err}};
    }

    template<class Make>
    int answer(Make make) {
        const std::unique_ptr<io::ByteSource> source = open(options_.file);
        io::Framer framer(*source, is_by_lines(options_.file));
        const std::unique_ptr<Answers> answers = make(rendering_for(framer.shape()));
        const Tally tally = stream(framer, *answers, source->size());
        if (framer.shape() != io::Shape::single && !options_.quiet && !tally.unreadable) {
            around_.err.write(fmt::format(
                "{} {}, {} refused, {} with warnings\n", tally.records - tally.refused,
                answers->request() != nullptr ? "valued" : "weighed", tally.refused, tally.warned));
        }
        return status_of(tally);
    }

    Tally stream(io::Framer& framer, const Answers& answers, std::optional<std::size_t> size) {
        std::optional<io::FileSink> faults;
        if (!options_.errors.empty()) {
            faults.emplace(options_.errors);
        }
        const bool looked_at = around_.err_is_terminal && !options_.quiet;
        Progress progress(around_.err, looked_at && !around_.out_is_terminal, size);
        StreamOptions options;
        options.jobs = options_.jobs > 0
                           ? options_.jobs
                           : std::max<std::size_t>(1, std::thread::hardware_concurrency());
        options.fail_fast = options_.fail_fast;
        options.total_only =
            options_.total ? std::optional(format_of(options_.format)) : std::nullopt;
        options.order = order();
        options.faults = faults ? &*faults : nullptr;
        options.progress = &progress;
        const Tally tally = answer_all(framer, answers, options, around_.out, around_.err);
        progress.clear();
        return tally;
    }

    [[nodiscard]] std::vector<valuation::Condition> conditions() const {
        std::vector<valuation::Condition> all;
        for (const std::string& text : options_.only) {
            valuation::Parsed<valuation::Condition> parsed = valuation::condition_from(text);
            if (!parsed.value) {
                throw Refusal("--only: " + parsed.error);
            }
            all.push_back(std::move(*parsed.value));
        }
        return all;
    }

    [[nodiscard]] valuation::Order order() const {
        if (options_.sort.empty()) {
            return {};
        }
        const valuation::Parsed<valuation::Order> parsed = valuation::order_from(options_.sort);
        if (!parsed.value) {
            throw Refusal("--sort: " + parsed.error);
        }
        return *parsed.value;
    }

    static int status_of(const Tally& tally) {
        return tally.unreadable ? nothing_done : tally.refused > 0 ? some_refused : all_done;
    }

    void report(const Diagnostics& diagnostics) {
        for (const Diagnostic& diagnostic : diagnostics) {
            around_.err.write(
                output::diagnostic_text(diagnostic, {around_.columns, around_.colour_err}));
        }
    }

    std::string matrix_text() {
        if (options_.matrix.empty()) {
            return std::string(io::demonstration_matrix());
        }
        if (options_.matrix == "-" && options_.file == "-" && chosen_needs_file_) {
            throw Refusal("the matrix and the records cannot both come from standard input.");
        }
        const std::unique_ptr<io::ByteSource> source = open(options_.matrix);
        return io::read_all(*source);
    }

    pricing::Matrix load_matrix() {
        chosen_needs_file_ = true;
        Diagnostics diagnostics;
        std::optional<pricing::Matrix> matrix = io::read_matrix(
            matrix_text(), options_.matrix.empty() ? "the built-in matrix" : label(options_.matrix),
            diagnostics);
        if (!matrix) {
            report(diagnostics);
            throw Refusal("the matrix was refused, so nothing was valued.");
        }
        return std::move(*matrix);
    }

    const pricing::Entry& level_of(const pricing::Matrix& matrix) const {
        const std::string& name = options_.level.empty() ? matrix.market_level : options_.level;
        if (const pricing::Entry* level = pricing::find(matrix.market_levels, name)) {
            return *level;
        }
        std::vector<std::string_view> names;
        for (const pricing::Entry& entry : matrix.market_levels) {
            names.emplace_back(entry.name);
        }
        throw Refusal(fmt::format("the matrix has no market level \"{}\"; it has: {}.",
                                  output::safe(name), known(names)));
    }

    // ---- weigh by options alone

    static Reading reading_option(std::string_view option, std::string_view text) {
        const std::optional<Reading> reading = reading_from(text);
        if (!reading) {
            throw Refusal(fmt::format("{} takes a number above 0 such as 4.4, or limits such as "
                                      "4.3-4.5, not \"{}\".",
                                      option, output::safe(text)));
        }
        return *reading;
    }

    static std::optional<Reading> optional_reading(std::string_view option,
                                                   const std::string& text) {
        return text.empty() ? std::nullopt : std::optional(reading_option(option, text));
    }

    Stone measured_stone() const {
        Stone stone;
        Dimensions& mm = stone.dimensions_mm;
        if (!options_.outline.empty()) {
            stone.cut.outline = options_.outline;
        }
        read_size(mm);
        mm.wall = optional_reading("--wall", options_.wall);
        stone.cut.area_mm2 = optional_reading("--area", options_.area);
        if (!options_.back.empty()) {
            stone.cut.back = options_.back;
        }
        if (options_.dome == "low" || options_.dome == "medium" || options_.dome == "high") {
            stone.cut.dome = Words{options_.dome, options_.dome};
        } else {
            mm.dome = optional_reading("--dome", options_.dome);
        }
        mm.uncertainty = uncertainty_option();
        const bool named = !options_.density.empty() &&
                           options_.density.find_first_of("0123456789") == std::string::npos;
        if (named) {
            stone.type = StoneType::solid;
            stone.density_variety = options_.density;
        } else {
            stone.density = optional_reading("--density", options_.density);
        }
        return stone;
    }

    std::optional<double> uncertainty_option() const {
        const std::string& text = options_.uncertainty;
        if (text.empty() || text.find_first_not_of("0.") == std::string::npos) {
            return text.empty() ? std::nullopt : std::optional(0.0);
        }
        const Reading reading = reading_option("--uncertainty", text);
        if (reading.low != reading.high) {
            throw Refusal("--uncertainty takes one number, such as 0.02, not limits.");
        }
        return reading.low;
    }

    void read_size(Dimensions& mm) const {
        if (options_.size.empty()) {
            return;
        }
        std::vector<Reading> readings;
        std::string_view rest = options_.size;
        while (true) {
            const std::size_t cross = rest.find('x');
            readings.push_back(reading_option("--size", rest.substr(0, cross)));
            if (cross == std::string_view::npos) {
                break;
            }
            rest.remove_prefix(cross + 1);
        }
        if (readings.size() == 2) {
            mm.length = readings[0]; // a round or square stone: one measure and the depth
            mm.depth = readings[1];
        } else if (readings.size() == 3) {
            mm.length = readings[0];
            mm.width = readings[1];
            mm.depth = readings[2];
        } else {
            throw Refusal("--size takes length x width x depth, such as 12.1x9.9x4.4, or diameter "
                          "x depth of a round stone.");
        }
    }

    int weigh_measures() {
        const Stone stone = measured_stone();
        Diagnostics diagnostics;
        const std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
        const Format format = format_of(options_.format);
        std::string out;
        if (format == Format::text) {
            if (weight) {
                out = output::weighed_text(stone, *weight, diagnostics,
                                           {around_.columns, around_.colour_out});
            } else {
                report(diagnostics);
            }
        } else {
            output::JsonWriter json(out, format == Format::json ? output::Layout::pretty
                                                                : output::Layout::compact);
            if (weight) {
                output::write_weighed(json, stone, *weight, diagnostics);
            } else {
                output::write_refused(json, std::nullopt, diagnostics);
            }
            out += "\n";
        }
        around_.out.write(out);
        return weight ? all_done : nothing_done;
    }

    Surroundings around_;
    Options options_;
    std::function<int()> chosen_;
    bool chosen_needs_file_ = false;
};

} // namespace

int run(const std::vector<std::string>& arguments, Surroundings surroundings) {
    const auto refuse = [&surroundings](std::string_view why) {
        try {
            surroundings.err.write(fmt::format("trayworth: {}\n", output::safe(why)));
        } catch (const std::exception&) {
            return nothing_done; // nobody is left to tell
        }
        return nothing_done;
    };
    try {
        return Program(surroundings).run(arguments);
    } catch (const std::exception& error) {
        return refuse(error.what());
    }
}

} // namespace trayworth::cli
