// One run of the program: what surrounds it, and what its commands share.
#pragma once

#include "cli/run.hpp"
#include "core/diagnostic.hpp"
#include "io/files.hpp"

#include <cstddef>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace trayworth::cli {

// A command that cannot be carried out: said on standard error, exit status 2.
class Refusal : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

class Session {
public:
    explicit Session(Surroundings surroundings) : around(surroundings) {}

    // "-" is standard input. Throws Refusal, io::FileError.
    [[nodiscard]] std::unique_ptr<io::ByteSource> open(const std::string& file);
    void report(const Diagnostics& diagnostics);

    Surroundings around;
    std::function<int()> chosen; // the command that was asked for; returns the exit status
};

// What diagnostics call a file.
std::string label(const std::string& file);

// "1 record", "2 records"
std::string counted(std::size_t number, std::string_view what);

} // namespace trayworth::cli
