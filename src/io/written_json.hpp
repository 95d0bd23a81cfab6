// JSON whose numbers keep the digits they were written with, to be changed and written again: in a
// record, 12.10 says more than 12.1. A merge patch (RFC 7396) is the library's merge_patch().
#pragma once

#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

namespace trayworth::io {

// A document whose numbers are their texts, held as binary values; members stay in their order.
using WrittenJson = nlohmann::ordered_json;

// The text is JSON, comments allowed. Of a key that stands twice the last counts.
WrittenJson read_written(std::string_view text);

std::string text_of(const WrittenJson& document);

} // namespace trayworth::io
