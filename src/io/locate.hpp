// From a JSON Pointer to the place in the text that an editor shows. Asked for only when there is
// something to report, so that reading itself keeps no positions.
#pragma once

#include "core/diagnostic.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace trayworth::io {

enum class Comments : bool { refused, allowed };

// Byte offset of the token in `text`: of the value at `pointer`, of its key, or of its key's second
// appearance in the same object. A pointer into nothing leads to the nearest ancestor that is
// there.
std::size_t locate(std::string_view text,
                   std::string_view pointer,
                   Target target,
                   Comments comments = Comments::refused);

// The text of each value whose key in the root object is one of `names`, in the order of `names`.
std::vector<std::string_view> member_texts(std::string_view text,
                                           const std::vector<std::string>& names);

// Pointers of the keys that appear twice or more in one object, each once.
std::vector<std::string> repeated_keys(std::string_view text, Comments comments);

// Line and column of a byte offset in `text`, which begins at `origin` of its file. Columns count
// characters, a BOM not among them.
Position position_at(std::string_view text, std::size_t offset, Position origin = {});

// Completes a diagnostic about `text`: position, source line and caret. `before` is what stands on
// the line in front of the text.
void place(Diagnostic& diagnostic,
           std::string_view text,
           std::size_t offset,
           Position origin = {},
           std::string_view before = {});

} // namespace trayworth::io
