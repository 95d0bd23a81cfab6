// What the tests of io share: bytes from memory, an ordinary record, and its faults as a user sees
// them.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "io/files.hpp"
#include "io/framer.hpp"

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

namespace trayworth::test {

// Hands out at most `piece` bytes at a time, as a pipe may.
class MemorySource : public io::ByteSource {
public:
    explicit MemorySource(std::string text, std::size_t piece = std::size_t{1} << 20U)
        : text_(std::move(text)), piece_(piece) {}
    std::size_t read(char* data, std::size_t size) override {
        const std::size_t got = text_.copy(data, std::min(size, piece_), at_);
        at_ += got;
        return got;
    }

private:
    std::string text_;
    std::size_t piece_;
    std::size_t at_ = 0;
};

struct Read {
    Stone stone;
    bool accepted = false;
    Diagnostics diagnostics;
};

// Every record of a text, on top of its tray's defaults. Faults of the defaults alone are one Read.
std::vector<Read> read_all_records(const std::string& text, bool by_lines = false);

// The only record of a text.
Read read_one(const std::string& text);

// The diagnostics as text for a terminal without colours.
std::string rendered(const Diagnostics& diagnostics);

// `text` with the only appearance of `from` replaced.
std::string with(std::string_view text, std::string_view from, std::string_view to);

// JSON Pointers of all values below the root, those of x- fields left out.
std::vector<std::string> pointers_of(const nlohmann::ordered_json& document);

// A record in which every field is stated once.
extern const std::string_view ordinary_record;

} // namespace trayworth::test
