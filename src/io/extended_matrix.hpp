// A matrix that extends another: its own document is a JSON merge patch (RFC 7396) over the other,
// which may extend a third.
//
// RFC 7396 replaces arrays whole. So that a single cell or factor can be changed, the patch is
// merged over the keyed form of the matrix (io/keyed_matrix.hpp), which then goes back to lists. As
// the RFC has it, null takes out what it stands for: a cell is then not priced. A patch that gives
// a list as an array replaces it whole. New grids and factors come last. Numbers keep their digits.
#pragma once

#include "core/diagnostic.hpp"
#include "io/matrix_library.hpp"
#include "pricing/matrix.hpp"

#include <cstddef>
#include <functional>
#include <optional>
#include <string>

namespace trayworth::io {

// So many matrices may extend one another.
inline constexpr std::size_t most_extended = 16;

struct WholeMatrix {
    pricing::Matrix matrix;
    std::string text; // as it is written, or the whole that a matrix which extends others comes to
    // Completes diagnostics by their pointers into the matrix: each is placed in the document that
    // the place is from, and gets its pointer there.
    std::function<void(Diagnostics&)> place;
};

// Whether the text may well name a matrix that it extends: to be read as a whole then.
bool extends_another(const MatrixDocument& document);

// The matrix of a document, and of all that it extends. Every fault is appended to `diagnostics`,
// placed in the file that it is from; nothing is returned when there is one.
std::optional<WholeMatrix> read_whole_matrix(const MatrixDocument& document,
                                             const MatrixLibrary& library,
                                             Diagnostics& diagnostics);

} // namespace trayworth::io
