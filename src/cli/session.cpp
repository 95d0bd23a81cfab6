#include "cli/session.hpp"

#include "core/bounds.hpp"
#include "output/diagnostic_text.hpp"
#include "output/json.hpp"

#include <optional>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

// Standard input, without owning it.
class Borrowed : public io::ByteSource {
public:
    explicit Borrowed(io::ByteSource& source) : source_(source) {}
    std::size_t read(char* data, std::size_t size) override { return source_.read(data, size); }
    [[nodiscard]] std::optional<std::size_t> size() const override { return source_.size(); }

private:
    io::ByteSource& source_;
};

Refusal would_overwrite(const std::string& file) {
    return Refusal(fmt::format("{} is what is read.", file), "Write to another file.");
}

} // namespace

Session::Session(const Surroundings& surroundings)
    : standard_output_(surroundings.out),
      out_(surroundings.out), around{.in = surroundings.in,
                                     .out = out_,
                                     .err = surroundings.err,
                                     .in_is_terminal = surroundings.in_is_terminal,
                                     .out_is_terminal = surroundings.out_is_terminal,
                                     .err_is_terminal = surroundings.err_is_terminal,
                                     .colour_out = surroundings.colour_out,
                                     .colour_err = surroundings.colour_err,
                                     .columns = surroundings.columns,
                                     .folders = surroundings.folders},
      matrices(io::matrix_folders(surroundings.folders.home,
                                  surroundings.folders.data_home,
                                  surroundings.folders.data_dirs),
               [this](const std::string& path) { return text_of(path); }) {}

std::unique_ptr<io::ByteSource> Session::open(const std::string& file) {
    read_.push_back(file == "-" ? "/dev/stdin" : file);
    for (const std::unique_ptr<io::OutputFile>& written : written_) {
        if (written->is_at(read_.back())) {
            throw would_overwrite(label(file));
        }
    }
    if (file != "-") {
        return std::make_unique<io::FileSource>(file);
    }
    if (around.in_is_terminal) {
        throw Refusal("there is nothing to read.", "Name a file, or pipe records in.");
    }
    return std::make_unique<Borrowed>(around.in);
}

std::string Session::text_of(const std::string& file) {
    return io::read_all(*open(file), bounds::document_bytes);
}

io::ByteSink& Session::create(const std::string& file) {
    for (const std::unique_ptr<io::OutputFile>& other : written_) {
        if (other->is_at(file)) {
            throw Refusal(fmt::format("{} is to be written twice.", file), "Name two files.");
        }
    }
    written_.push_back(std::make_unique<io::OutputFile>(file));
    for (const std::string& read : read_) {
        if (written_.back()->is_at(read)) {
            throw would_overwrite(file);
        }
    }
    return *written_.back();
}

int Session::carry_out() {
    if (output && *output != "-") {
        out_.redirect(create(*output));
        around.out_is_terminal = false;
        around.colour_out = false;
        around.columns = page_columns;
    }
    const int status = chosen();
    if (status != nothing_done) {
        standard_output_.finish();
        for (const std::unique_ptr<io::OutputFile>& file : written_) {
            file->finish();
        }
    }
    return status;
}

int Session::say(std::string_view text) {
    standard_output_.write(text);
    standard_output_.finish();
    return all_done;
}

void Session::report(const Diagnostics& diagnostics) {
    if (diagnostics.empty()) {
        return;
    }
    around.err.write(errors_as_json ? output::diagnostic_lines(diagnostics)
                                    : output::diagnostic_texts(diagnostics, error_style()));
}

void Session::refuse(Code code, const std::string& message, const std::string& hint) {
    const Diagnostics refused{{code, Severity::error, "", message, hint}};
    if (!errors_as_json) {
        around.err.write("trayworth: ");
    }
    report(refused);
}

void add_errors_as(CLI::App& sub, Session& session) {
    sub.add_option_function<std::string>(
           "--errors-as",
           [&session](const std::string& form) { session.errors_as_json = form == "json"; },
           "Form of the diagnostics on standard error: text or json, an object a line")
        ->type_name("FORM")
        ->check(CLI::IsMember({"text", "json"}));
}

void add_strict(CLI::App& sub, Session& session) {
    sub.add_flag("--strict", session.strict, "Refuse what there is a warning about");
}

std::string label(const std::string& file) {
    return file == "-" ? "standard input" : file;
}

std::string counted(std::size_t number, std::string_view what) {
    return fmt::format("{} {}{}", number, what, number == 1 ? "" : "s");
}

} // namespace trayworth::cli
