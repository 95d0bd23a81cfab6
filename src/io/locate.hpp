// From a JSON Pointer to the place in the text that an editor shows. Asked for only when there is
// something to report, so that reading itself keeps no positions.
#pragma once

#include "core/diagnostic.hpp"

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::io {

enum class Comments : bool { refused, allowed };

struct Wanted {
    std::string_view pointer;
    Target target = Target::value;
};

// Byte offset of each token in `text`: of the value at the pointer, of its key, or of its key's
// second appearance in the same object. A pointer into nothing leads to the nearest ancestor that
// is there. One walk, however many are wanted.
std::vector<std::size_t> locate(std::string_view text,
                                std::span<const Wanted> wanted,
                                Comments comments = Comments::refused);

// The tokens that diagnostics are about. They refer to the diagnostics' pointers.
std::vector<Wanted> wanted_by(std::span<const Diagnostic> diagnostics);

// The text of each value whose key in the root object is one of `names`, in the order of `names`.
std::vector<std::string_view> member_texts(std::string_view text,
                                           const std::vector<std::string>& names);

// A token as it stands in a text.
struct Token {
    enum class Kind : std::uint8_t { key, scalar, open, close }; // open and close: { } [ ]
    Kind kind = Kind::scalar;
    std::size_t begin = 0;
    std::size_t end = 0; // past its last byte
};
// All tokens of a JSON text that may hold comments, in order.
std::vector<Token> tokens_of(std::string_view text);

// Pointers of the keys that appear twice or more in one object, each once, and no more of them than
// errors are told.
std::vector<std::string> repeated_keys(std::string_view text, Comments comments);

// What there is to say of such a key.
Diagnostic repeated_key(std::string pointer);

// In UTF-8.
std::size_t characters_in(std::string_view text);

// Line and column of a byte offset in `text`, which begins at `origin` of its file: behind the BOM,
// where there is one. Columns count characters.
Position position_at(std::string_view text, std::size_t offset, Position origin = {});

// A text out of a file.
struct Passage {
    std::string_view text;
    Position origin{};         // of its first byte in the file
    std::string_view before{}; // what stands on its first line in front of it
};

// Completes a diagnostic about the byte at `offset`: position, source line and caret.
void place(Diagnostic& diagnostic, const Passage& passage, std::size_t offset);

// Completes diagnostics of which the offset of each is known.
void place_all(std::span<Diagnostic> diagnostics,
               const Passage& passage,
               std::span<const std::size_t> offsets);

} // namespace trayworth::io
