#include "cli/session.hpp"

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

} // namespace

std::unique_ptr<io::ByteSource> Session::open(const std::string& file) {
    if (file != "-") {
        return std::make_unique<io::FileSource>(file);
    }
    if (around.in_is_terminal) {
        throw Refusal("there is nothing to read.", "Name a file, or pipe records in.");
    }
    return std::make_unique<Borrowed>(around.in);
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
