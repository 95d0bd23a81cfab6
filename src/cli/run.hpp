// The whole tool, callable in process.
#pragma once

#include "io/files.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace trayworth::cli {

// A line's length where there is no terminal.
inline constexpr std::size_t page_columns = 80;

// Where the user's files are, by the environment; empty where a variable is not set.
struct UserFolders {
    std::string home;      // HOME
    std::string data_home; // XDG_DATA_HOME
    std::string data_dirs; // XDG_DATA_DIRS
};

// What the program is connected to.
struct Surroundings {
    io::ByteSource& in;
    io::ByteSink& out;
    io::ByteSink& err;
    bool in_is_terminal = false;
    bool out_is_terminal = false;
    bool err_is_terminal = false;
    bool colour_out = false; // whether colours may be written
    bool colour_err = false;
    std::size_t columns = page_columns; // of the terminal
    UserFolders folders{};
};

// Exit status.
inline constexpr int all_done = 0;
inline constexpr int some_refused = 1; // done, but some records were refused
inline constexpr int nothing_done = 2; // usage, matrix or file

// Readies the process for run(): its standard streams, and what signals do. Called first, once.
void prepare_process();

// `arguments` without the program's name. No exception leaves it.
int run(const std::vector<std::string>& arguments, Surroundings surroundings);

} // namespace trayworth::cli
