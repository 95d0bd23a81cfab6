#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/records.hpp"
#include "core/bounds.hpp"

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

struct ValueOptions {
    RecordOptions records;
    MatrixChoice matrix;
    CurrencyChoice currency;
    AnswerOptions answers;
    std::string level;
    std::size_t trials = 0;
    std::uint64_t seed = 1;
    std::vector<std::string> only;
    std::string sort;
    bool sensitivity = false;
};

// What the options ask for together must make sense.
void require_agreement(const ValueOptions& options) {
    const AnswerOptions& answers = options.answers;
    if (answers.total && options.records.format == "html") {
        throw Refusal(
            "--total: a page always has the total, below its stones. Leave one of --total "
            "and --format html out.");
    }
    if (!options.sensitivity) {
        if (options.records.format == "svg") {
            throw Refusal("--format svg draws what --sensitivity finds.",
                          "Give both, or another format.");
        }
        return;
    }
    const std::pair<bool, std::string_view> at_odds[]{
        {options.records.format == "csv", "--format csv"},
        {options.trials > 0, "--simulate"},
        {answers.reasons, "--reasons"},
        {answers.brief, "--brief"},
        {answers.total, "--total"}};
    for (const auto& [given, name] : at_odds) {
        if (given) {
            throw Refusal(fmt::format("--sensitivity and {} do not go together.", name),
                          "Leave one of them out.");
        }
    }
}

std::vector<valuation::Condition> conditions(const std::vector<std::string>& only) {
    if (only.size() > bounds::conditions) {
        throw Refusal(fmt::format("--only is given more than {} times.", bounds::conditions),
                      "Value first, and choose from the answers.");
    }
    std::vector<valuation::Condition> all;
    for (const std::string& text : only) {
        valuation::Parsed<valuation::Condition> parsed = valuation::condition_from(text);
        if (!parsed.value) {
            throw Refusal("--only: " + parsed.error);
        }
        all.push_back(std::move(*parsed.value));
    }
    return all;
}

valuation::Order order(const std::string& sort) {
    if (sort.empty()) {
        return {};
    }
    const valuation::Parsed<valuation::Order> parsed = valuation::order_from(sort);
    if (!parsed.value) {
        throw Refusal("--sort: " + parsed.error);
    }
    return *parsed.value;
}

std::unique_ptr<Answers> sensitivity_answers(Rendering rendering,
                                             const ValueOptions& options,
                                             const pricing::Matrix& matrix,
                                             const pricing::Entry& level,
                                             const std::vector<valuation::Condition>& only) {
    const bool svg = options.records.format == "svg";
    if (svg && !rendering.in_full) {
        throw Refusal("--format svg draws one stone, and this may be more.",
                      "Give a record, not a tray, an array or lines; --format html draws each.");
    }
    rendering.in_full = true; // there is no table of charts
    return std::make_unique<SensitivityAnswers>(
        rendering, label(options.records.file),
        valuation::Request{matrix, level, 0, options.seed,
                           rendering.format == Format::html ? valuation::Explain::yes
                                                            : valuation::Explain::no},
        only, svg ? SensitivityAnswers::Drawing::svg : SensitivityAnswers::Drawing::in_text);
}

int value(Session& session, const ValueOptions& options) {
    require_agreement(options);
    const pricing::Matrix matrix =
        in_currency(load_matrix(session, options.matrix, options.records.file), options.currency);
    const pricing::Entry& level = level_of(matrix, options.level);
    AnswerOptions answers = options.answers;
    answers.order = order(options.sort);
    const std::vector<valuation::Condition> only = conditions(options.only);
    return answer(
        session, options.records, answers,
        [&](const Rendering& rendering) -> std::unique_ptr<Answers> {
            if (options.sensitivity) {
                return sensitivity_answers(rendering, options, matrix, level, only);
            }
            return std::make_unique<ValueAnswers>(
                rendering, label(options.records.file),
                valuation::Request{matrix, level, options.trials, options.seed,
                                   rendering.brief ? valuation::Explain::no
                                                   : valuation::Explain::yes},
                only);
        },
        "valued");
}

} // namespace

void add_value(CLI::App& app, Session& session) {
    const auto options = std::make_shared<ValueOptions>();
    CLI::App& sub = add_command(app, session, "value", "Value stones: a range, with its reasons",
                                [&session, options] { return value(session, *options); });
    add_file(sub, options->records.file);
    add_matrix_choice(sub, options->matrix);
    add_day(sub, options->matrix.on);
    add_format(sub, options->records.format, {"text", "json", "ndjson", "csv", "html", "svg"});
    add_level(sub, options->level);
    add_currency_choice(sub, options->currency);
    sub.add_option("--simulate", options->trials,
                   "Confirm the range by a simulation of so many trials")
        ->type_name("TRIALS")
        ->check(CLI::Range(std::size_t{2}, std::size_t{100'000'000}));
    sub.add_option("--seed", options->seed, "Seed of the simulation")->type_name("NUMBER");
    sub.add_flag("--sensitivity", options->sensitivity,
                 "What one step of each grade, 0.1 ct or each fault is worth, as a chart");
    sub.add_flag("--reasons", options->answers.reasons,
                 "Text: each stone of a tray in full, not one line for it");
    sub.add_flag("--brief", options->answers.brief,
                 "JSON: id, name, weight and value, without the reasons");
    sub.add_flag("--total", options->answers.total, "What the stones sum to, and not the stones");
    sub.add_option("--only", options->only,
                   "Only stones that meet a condition, as fault=crack or \"likely>=100\"; "
                   "repeat it for more")
        ->type_name("CONDITION")
        ->allow_extra_args(false);
    sub.add_option(
           "--sort", options->sort,
           "Text and HTML: order of the table: id, name, weight, likely or range, with - in "
           "front for the largest first")
        ->type_name("KEY");
    add_sharing(sub, options->records);
    add_strict(sub, session);
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
