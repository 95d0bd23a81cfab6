// What the harnesses share: a stop when something does not hold, input in pieces, and what holds of
// every frame and diagnostic.
#pragma once

#include "core/diagnostic.hpp"
#include "io/files.hpp"
#include "io/framer.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

namespace trayworth::fuzz {

// Stops with that sentence, for libFuzzer to keep the input.
void expect(bool holds, std::string_view otherwise);
// The same about a text, which is shown.
void expect(bool holds, std::string_view otherwise, std::string_view shown);

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}

// Hands out the text in at most so many pieces of sizes that differ.
class PiecewiseSource : public io::ByteSource {
public:
    explicit PiecewiseSource(std::string_view text, std::size_t pieces = 1)
        : text_(text), piece_(text.size() / pieces + 1) {}
    std::size_t read(char* data, std::size_t size) override;

private:
    std::string_view text_;
    std::size_t piece_;
    std::size_t at_ = 0;
    std::size_t reads_ = 0;
};

class MemorySink : public io::ByteSink {
public:
    void write(std::string_view bytes) override { text += bytes; }
    std::string text;
};

// A frame that outlives its framer.
struct KeptFrame {
    std::string text;
    std::string before;
    std::string pointer;
    Position origin;
    std::optional<Diagnostic> broken;

    [[nodiscard]] io::Frame frame() const { return {text, before, pointer, origin, broken}; }
};

struct Framed {
    io::Shape shape = io::Shape::single;
    io::Envelope envelope; // once all frames were taken
    std::vector<KeptFrame> frames;
    std::string refused; // what is wrong with the file as a whole
};

Framed framed(std::string_view text, bool by_lines, std::size_t pieces = 1);
// The same shape, frames and envelope; stops otherwise.
void expect_same(const Framed& a, const Framed& b);

// Every diagnostic says what is wrong and how to mend it, stands in `file` at a position that
// `text`, the whole of the file, has, and can be shown. From the one with index `from`.
void expect_sound(const Diagnostics& diagnostics, std::string_view text, std::size_t from = 0);

// Nothing in a text for a terminal acts on it.
void expect_plain(std::string_view shown);

// The document, none of whose objects has a key twice; stops when it is none.
nlohmann::json parsed(std::string_view text);

inline constexpr const char* file_name = "fuzz";

} // namespace trayworth::fuzz
