// nlohmann-json's SAX parser over a text in memory, compiled once for every handler: its lexer is
// fast only where the compiler has room to inline it, and that is in a file of its own.
#pragma once

#include <string_view>

#include <nlohmann/json.hpp>

namespace trayworth::io {

using JsonHandler = nlohmann::json_sax<nlohmann::json>;

// False when the handler stopped it or the text is not JSON.
bool parse_json(std::string_view text, JsonHandler& handler, bool comments_allowed = false);

} // namespace trayworth::io
