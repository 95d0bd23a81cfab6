// Which matrix, and which market level of it.
#pragma once

#include "cli/session.hpp"
#include "io/extended_matrix.hpp"
#include "io/matrix_library.hpp"
#include "pricing/matrix.hpp"

#include <optional>
#include <string>

namespace CLI {
class App;
}

namespace trayworth::cli {

struct MatrixChoice {
    std::string file; // or a name (io/matrix_library.hpp); empty: the built-in demonstration
    std::string on;   // the day that the values are for; empty: the matrix's date is not judged
};

// As given on the command line; all three or none.
struct CurrencyChoice {
    std::string in;
    std::string rate;
    std::string date;
};

void add_currency_choice(CLI::App& sub, CurrencyChoice& choice);

// The matrix with its values in the currency of choice. Throws Refusal.
pricing::Matrix in_currency(pricing::Matrix matrix, const CurrencyChoice& choice);

void add_matrix_choice(CLI::App& sub, MatrixChoice& choice);
void add_day(CLI::App& sub, std::string& on);
void add_level(CLI::App& sub, std::string& level);

// The document that was chosen, as it is written. Throws Refusal, io::FileError.
io::MatrixDocument document_of(Session& session, const MatrixChoice& choice);

// `records` is the file that the records come from. Throws Refusal, io::FileError.
pricing::Matrix
load_matrix(Session& session, const MatrixChoice& choice, const std::string& records);

// The matrix of a document, where it is sound. Its diagnostics are appended, those of its date too
// when there is a day, and as errors in a strict session. Throws Refusal.
std::optional<io::WholeMatrix> matrix_of(const Session& session,
                                         const io::MatrixDocument& document,
                                         const std::string& on,
                                         Diagnostics& diagnostics);

// The level of that name, or the matrix's own where there is no name. Throws Refusal.
const pricing::Entry& level_of(const pricing::Matrix& matrix, const std::string& name);

} // namespace trayworth::cli
