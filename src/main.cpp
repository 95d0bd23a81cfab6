#include "cli/run.hpp"

#include <cstdlib>
#include <string>
#include <sys/ioctl.h>
#include <unistd.h>
#include <vector>

namespace {

// The terminal's width, or what suits a page.
std::size_t columns_of(int descriptor) {
    winsize size{};
    const bool known =
        ::ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > trayworth::cli::page_columns;
    return known ? size.ws_col : trayworth::cli::page_columns;
}

std::string environment(const char* name) {
    const char* value = std::getenv(name);
    return value == nullptr ? std::string() : value;
}

} // namespace

int main(int count, char** values) {
    trayworth::cli::prepare_process();
    const char* no_color = std::getenv("NO_COLOR"); // see no-color.org: any text in it counts
    const bool colour = no_color == nullptr || *no_color == '\0';
    const std::vector<std::string> arguments(values + 1, values + count);
    trayworth::io::FileSource in(STDIN_FILENO, "standard input");
    trayworth::io::DescriptorSink out(STDOUT_FILENO, "standard output");
    trayworth::io::DescriptorSink err(STDERR_FILENO, "standard error");
    return trayworth::cli::run(arguments,
                               {.in = in,
                                .out = out,
                                .err = err,
                                .in_is_terminal = ::isatty(STDIN_FILENO) == 1,
                                .out_is_terminal = ::isatty(STDOUT_FILENO) == 1,
                                .err_is_terminal = ::isatty(STDERR_FILENO) == 1,
                                .colour_out = colour && ::isatty(STDOUT_FILENO) == 1,
                                .colour_err = colour && ::isatty(STDERR_FILENO) == 1,
                                .columns = columns_of(STDOUT_FILENO),
                                .folders = {environment("HOME"), environment("XDG_DATA_HOME"),
                                            environment("XDG_DATA_DIRS")}});
}
