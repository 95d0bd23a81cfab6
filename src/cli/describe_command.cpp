#include "cli/commands.hpp"
#include "cli/records.hpp"
#include "core/bounds.hpp"
#include "core/decimal.hpp"
#include "io/bytes.hpp"
#include "io/template_reader.hpp"

#include <memory>
#include <optional>
#include <string>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

struct DescribeOptions {
    RecordOptions records;
    std::string spelling = "british";
    std::string form; // the file of the template
};

// A template that may be filled. Throws Refusal, io::FileError.
std::optional<std::string> sound_form(Session& session, const DescribeOptions& options) {
    if (options.form.empty()) {
        return std::nullopt;
    }
    if (options.form == "-" && options.records.file == "-") {
        throw Refusal("the template and the records cannot both come from standard input.",
                      "Name a file for one of them.");
    }
    std::string form = io::read_all(*session.open(options.form), bounds::template_bytes);
    if (form.size() > bounds::template_bytes) {
        throw Refusal(
            fmt::format("the template is larger than {} bytes.", grouped(bounds::template_bytes)),
            "Is it the right file?");
    }
    if (form.starts_with(io::byte_order_mark)) {
        form.erase(0, io::byte_order_mark.size());
    }
    Diagnostics diagnostics;
    io::check_template(form, label(options.form), output::template_fields(), diagnostics);
    if (has_errors(diagnostics)) {
        session.report(diagnostics);
        throw Reported("the template was refused, so nothing was described.");
    }
    return form;
}

int describe(Session& session, const DescribeOptions& options) {
    const output::Spelling spelling = spelling_of(options.spelling);
    const std::optional<std::string> form = sound_form(session, options);
    return answer(
        session, options.records, {},
        [&](Rendering rendering) {
            rendering.in_full = true;
            return std::make_unique<DescribeAnswers>(rendering, label(options.records.file),
                                                     spelling, form);
        },
        "described");
}

} // namespace

void add_describe(CLI::App& app, Session& session) {
    const auto options = std::make_shared<DescribeOptions>();
    CLI::App& sub = add_command(app, session, "describe",
                                "Describe stones in words, with what has to be disclosed",
                                [&session, options] { return describe(session, *options); });
    add_file(sub, options->records.file);
    add_format(sub, options->records.format, {"text", "json", "ndjson"});
    add_spelling(sub, options->spelling);
    sub.add_option("--template", options->form,
                   "A text with placeholders such as {title}, filled for each stone")
        ->type_name("FILE");
    add_sharing(sub, options->records);
    add_strict(sub, session);
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
