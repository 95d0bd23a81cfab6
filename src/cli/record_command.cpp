#include "cli/commands.hpp"
#include "cli/dialogue.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/records.hpp"
#include "core/bounds.hpp"
#include "io/files.hpp"
#include "io/framer.hpp"
#include "io/output_file.hpp"
#include "io/record_draft.hpp"
#include "io/record_reader.hpp"
#include "output/safe_text.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

struct NewOptions {
    std::vector<std::string> set;
    MatrixChoice matrix;
    bool ask_nothing = false;
};

struct EditOptions {
    std::string file;
    std::vector<std::string> set;
    std::vector<std::string> unset;
};

// ---- fields by their pointers

Refusal not_set(const std::string& given, const Diagnostic& why) {
    return Refusal(fmt::format("{}: {}", output::safe(given), why.message), why.hint);
}

void set_fields(io::RecordDraft& draft, const std::vector<std::string>& given) {
    for (const std::string& each : given) {
        const std::size_t equals = each.find('=');
        if (equals == std::string::npos) {
            throw Refusal(fmt::format("--set {}: there is no value.", output::safe(each)),
                          "Write the pointer, = and the value, as --set /body_tone=N4.");
        }
        const std::string pointer = each.substr(0, equals);
        const std::optional<std::string> json = io::json_or_text(each.substr(equals + 1));
        if (!json) {
            throw Refusal(fmt::format("--set {}: the value is no UTF-8, or nested too deep.",
                                      output::safe(pointer)),
                          "Give JSON, or a text in UTF-8.");
        }
        if (const std::optional<Diagnostic> why = draft.set(pointer, *json)) {
            throw not_set("--set " + each, *why);
        }
    }
}

void unset_fields(io::RecordDraft& draft, const std::vector<std::string>& pointers) {
    for (const std::string& pointer : pointers) {
        if (const std::optional<Diagnostic> why = draft.unset(pointer)) {
            throw not_set("--unset " + pointer, *why);
        }
    }
}

void add_set(CLI::App& sub, std::vector<std::string>& set) {
    sub.add_option("--set", set,
                   "Give a field by its JSON Pointer: --set /body_tone=N4; the value is JSON or "
                   "plain text. Repeat it for more")
        ->type_name("POINTER=VALUE")
        ->allow_extra_args(false);
}

// ---- record new

// Lines of a source, as they come.
class Lines {
public:
    explicit Lines(io::ByteSource& source) : source_(source) {}
    // Nothing at the end. What stands there without a line break is no line: it was not finished.
    std::optional<std::string> next() {
        std::size_t end = buffer_.find('\n');
        while (end == std::string::npos) {
            char bytes[4096];
            const std::size_t got = source_.read(bytes, sizeof bytes);
            if (got == 0 || buffer_.size() > bounds::record_bytes) {
                return std::nullopt;
            }
            buffer_.append(bytes, got);
            end = buffer_.find('\n');
        }
        std::string line = buffer_.substr(0, end);
        buffer_.erase(0, end + 1);
        return line;
    }

private:
    io::ByteSource& source_;
    std::string buffer_;
};

// The record, or nothing when the answers end before it is complete.
std::optional<std::string>
ask(Session& session, const pricing::Matrix& matrix, io::RecordDraft given) {
    io::ByteSink& out = session.around.err;
    Dialogue dialogue(matrix, std::move(given), session.error_style());
    Lines lines(session.around.in);
    out.write(dialogue.opening());
    while (!dialogue.finished()) {
        out.write(dialogue.ask());
        const std::optional<std::string> line = lines.next();
        if (!line) {
            out.write("\ntrayworth: the answers ended, and nothing was written.\n");
            return std::nullopt;
        }
        out.write(dialogue.take(*line));
    }
    return dialogue.record();
}

void require_complete(Session& session, const std::string& record) {
    const Diagnostics diagnostics = check_record(record);
    session.report(diagnostics);
    if (has_errors(diagnostics)) {
        throw Reported("the record is not complete or not sound, and nothing was written. Give "
                       "each field named above, as --set /body_tone=N4, or answer the questions "
                       "at a terminal.");
    }
}

int make(Session& session, const NewOptions& options) {
    io::RecordDraft draft;
    set_fields(draft, options.set);
    const bool asks = !options.ask_nothing && session.around.in_is_terminal &&
                      session.around.err_is_terminal && !session.errors_as_json;
    std::optional<std::string> record;
    if (asks) {
        const Diagnostics faults = faults_so_far(draft.text());
        session.report(faults);
        if (!faults.empty()) {
            throw Reported("what --set gives is not sound, so nothing was asked.");
        }
        const pricing::Matrix matrix = load_matrix(session, options.matrix, "");
        record = ask(session, matrix, std::move(draft));
    } else {
        record = draft.text();
        require_complete(session, *record);
    }
    if (!record) {
        return nothing_done;
    }
    session.around.out.write(output::safe_json(*record));
    return all_done;
}

// ---- record edit

void keep_unreadable(Diagnostics& diagnostics) {
    std::erase_if(diagnostics, [](const Diagnostic& d) { return d.code >= Code::field_unknown; });
}

struct Checked {
    Diagnostics diagnostics;
    bool by_lines = false;
};

class TextSource : public io::ByteSource {
public:
    explicit TextSource(std::string_view text) : rest_(text) {}
    std::size_t read(char* data, std::size_t size) override {
        const std::size_t got = rest_.copy(data, size);
        rest_.remove_prefix(got);
        return got;
    }

private:
    std::string_view rest_;
};

// Whether there is JSON to change, or whether all is well with it.
enum class Asked : std::uint8_t { readable, sound };

// What is wrong with the records of a text, of which no more is told than of one record.
Checked check_all(std::string_view text, const std::string& file, Asked asked) {
    Checked checked;
    TextSource source(text);
    io::Framer framer(source, form_of(file));
    checked.by_lines = framer.shape() == io::Shape::lines;
    std::optional<Stone> defaults;
    if (framer.shape() == io::Shape::tray) {
        defaults = io::read_tray(framer.envelope(), label(file), checked.diagnostics);
        if (asked == Asked::readable) {
            keep_unreadable(checked.diagnostics);
        }
        if (!defaults) {
            return checked;
        }
    }
    while (const std::optional<io::Frame> frame = framer.next()) {
        Diagnostics found;
        io::read_record(*frame, defaults ? &*defaults : nullptr, label(file), found);
        if (asked == Asked::readable) {
            keep_unreadable(found);
        }
        std::move(found.begin(), found.end(), std::back_inserter(checked.diagnostics));
        if (checked.diagnostics.size() > bounds::errors) {
            checked.diagnostics.resize(bounds::errors);
            report(checked.diagnostics, Code::errors_too_many, "", errors_too_many(),
                   "Correct these first.");
            checked.diagnostics.back().file = label(file);
            break;
        }
    }
    return checked;
}

void require_json(Session& session, const std::string& text, const std::string& file) {
    const Checked before = check_all(text, file, Asked::readable);
    if (before.by_lines) {
        throw Refusal(fmt::format("{} holds a record a line.", label(file)),
                      "Edit a file of one record, a tray or an array.");
    }
    if (!before.diagnostics.empty()) {
        session.report(before.diagnostics);
        throw Reported(fmt::format("{} cannot be read, and stays as it is.", label(file)));
    }
}

void require_sound(Session& session, const std::string& text, const std::string& file) {
    Checked after = check_all(text, file, Asked::sound);
    for (Diagnostic& diagnostic : after.diagnostics) {
        diagnostic.position.reset(); // it is one of the changed text, which nobody sees
    }
    session.report(after.diagnostics);
    if (!after.diagnostics.empty()) {
        throw Reported(
            fmt::format("so changed it would be refused: {} stays as it is.", label(file)));
    }
}

int edit(Session& session, const EditOptions& options) {
    if (options.set.empty() && options.unset.empty()) {
        throw Refusal("there is nothing to change.", "Give --set or --unset.");
    }
    const std::string text = io::read_all(*session.open(options.file), bounds::tray_bytes);
    if (text.size() > bounds::tray_bytes) {
        throw Refusal(fmt::format("{} is too large to be edited at once.", label(options.file)));
    }
    require_json(session, text, options.file);
    io::RecordDraft draft(text);
    unset_fields(draft, options.unset);
    set_fields(draft, options.set);
    const std::string changed = draft.text();
    require_sound(session, changed, options.file);
    if (options.file == "-" || session.output) {
        session.around.out.write(output::safe_json(changed));
        return all_done;
    }
    io::OutputFile file(options.file);
    file.write(changed);
    file.finish();
    return all_done;
}

void add_new(CLI::App& record, Session& session) {
    const auto options = std::make_shared<NewOptions>();
    CLI::App& sub =
        add_command(record, session, "new",
                    "Ask the questions of a grading sheet, and write the record of a stone",
                    [&session, options] { return make(session, *options); });
    add_set(sub, options->set);
    sub.add_flag("--ask-nothing", options->ask_nothing,
                 "Ask nothing, though at a terminal: --set gives it all");
    add_matrix_choice(sub, options->matrix);
    add_errors_as(sub, session);
}

void add_edit(CLI::App& record, Session& session) {
    const auto options = std::make_shared<EditOptions>();
    CLI::App& sub = add_command(record, session, "edit",
                                "Change fields of a file of records, and keep the rest as it is",
                                [&session, options] { return edit(session, *options); });
    sub.add_option("file", options->file,
                   "A stone, a tray or an array, changed in its place; \"-\" is standard input")
        ->required();
    add_set(sub, options->set);
    sub.add_option("--unset", options->unset,
                   "Take a field out, before any is set. Repeat it for more")
        ->type_name("POINTER")
        ->allow_extra_args(false);
    add_errors_as(sub, session);
}

} // namespace

void add_record(CLI::App& app, Session& session) {
    CLI::App& record = *app.add_subcommand("record", "Write a stone's record, or change it");
    record.require_subcommand(1);
    add_new(record, session);
    add_edit(record, session);
}

} // namespace trayworth::cli
