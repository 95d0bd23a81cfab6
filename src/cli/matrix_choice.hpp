// Which matrix, and which market level of it.
#pragma once

#include "cli/session.hpp"
#include "pricing/matrix.hpp"

#include <string>

namespace CLI {
class App;
}

namespace trayworth::cli {

struct MatrixChoice {
    std::string file; // empty: the built-in demonstration
};

void add_matrix_choice(CLI::App& sub, MatrixChoice& choice);

// The matrix as it is written. Throws Refusal, io::FileError.
std::string matrix_text(Session& session, const MatrixChoice& choice);

// `records` is the file that the records come from. Throws Refusal, io::FileError.
pricing::Matrix
load_matrix(Session& session, const MatrixChoice& choice, const std::string& records);

// The level of that name, or the matrix's own where there is no name. Throws Refusal.
const pricing::Entry& level_of(const pricing::Matrix& matrix, const std::string& name);

} // namespace trayworth::cli
