#include "cli/session.hpp"

#include "output/diagnostic_text.hpp"

#include <optional>

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
        throw Refusal("there is nothing to read: name a file, or pipe records in.");
    }
    return std::make_unique<Borrowed>(around.in);
}

void Session::report(const Diagnostics& diagnostics) {
    for (const Diagnostic& diagnostic : diagnostics) {
        around.err.write(output::diagnostic_text(diagnostic, {around.columns, around.colour_err}));
    }
}

std::string label(const std::string& file) {
    return file == "-" ? "standard input" : file;
}

std::string counted(std::size_t number, std::string_view what) {
    return fmt::format("{} {}{}", number, what, number == 1 ? "" : "s");
}

} // namespace trayworth::cli
