// One run of the program: what surrounds it, and what its commands share.
#pragma once

#include "cli/run.hpp"
#include "core/diagnostic.hpp"
#include "io/files.hpp"
#include "io/matrix_library.hpp"
#include "io/output_file.hpp"
#include "output/text_style.hpp"

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace CLI {
class App;
}

namespace trayworth::cli {

// A command that cannot be carried out: said on standard error, exit status 2.
class Refusal : public std::runtime_error {
public:
    // What is wrong, and how to mend it.
    explicit Refusal(const std::string& message, std::string hint = {})
        : std::runtime_error(message), hint_(std::move(hint)) {}
    [[nodiscard]] const std::string& hint() const { return hint_; }

private:
    std::string hint_;
};

// The same, and its diagnostics are reported already: what() sums up for a person.
class Reported : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

// Standard output, or the file that is written in its place.
class Output : public io::ByteSink {
public:
    explicit Output(io::ByteSink& standard) : sink_(&standard) {}
    void redirect(io::ByteSink& sink) { sink_ = &sink; }
    void write(std::string_view bytes) override { sink_->write(bytes); }

private:
    io::ByteSink* sink_;
};

class Session {
    io::ByteSink& standard_output_;
    Output out_;
    std::vector<std::string> read_;
    std::vector<std::unique_ptr<io::OutputFile>> written_;

public:
    explicit Session(const Surroundings& surroundings);

    // "-" is standard input. Throws Refusal, io::FileError.
    [[nodiscard]] std::unique_ptr<io::ByteSource> open(const std::string& file);
    // Of a matrix or a plan, and no more than a byte beyond the most that they have. "-" is
    // standard input. Throws Refusal, io::FileError.
    [[nodiscard]] std::string text_of(const std::string& file);
    // A file to write, none of those that are read or written already. It stays as it was unless
    // all is finished. Throws Refusal, io::FileError.
    [[nodiscard]] io::ByteSink& create(const std::string& file);
    // On standard error, in the form that errors are wanted in.
    void report(const Diagnostics& diagnostics);
    // Of an error of the command line or of a file.
    void refuse(Code code, const std::string& message, const std::string& hint);
    [[nodiscard]] output::TextStyle error_style() const {
        return {around.columns, around.colour_err, around.err_is_terminal};
    }

    // Does what was asked for. Returns the exit status, and leaves every file as it was where that
    // is nothing_done. Throws Refusal, io::FileError.
    int carry_out();
    // Of the program itself, on standard output. Returns all_done. Throws io::FileError.
    int say(std::string_view text);

    Surroundings around;
    io::MatrixLibrary matrices;
    bool errors_as_json = false;       // an object a line, and nothing else on standard error
    bool strict = false;               // a warning is an error
    std::function<int()> chosen;       // the command that was asked for; returns the exit status
    std::optional<std::string> output; // the file that is written in the place of standard output
};

void add_errors_as(CLI::App& sub, Session& session);
void add_strict(CLI::App& sub, Session& session);

// What diagnostics call a file.
std::string label(const std::string& file);

// "1 record", "2 records"
std::string counted(std::size_t number, std::string_view what);

} // namespace trayworth::cli
