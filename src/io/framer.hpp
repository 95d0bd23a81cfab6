// Cuts an input into records as it comes, whatever its shape, and keeps only the record at hand.
// It knows strings and brackets, no more: whether a record is JSON is the reader's question.
#pragma once

#include "core/diagnostic.hpp"
#include "io/files.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace trayworth::io {

enum class Shape : std::uint8_t {
    single, // one object
    tray,   // {"tray": {...}, "stones": [...]}
    array,  // [...]
    lines,  // NDJSON: a record a line
};

struct Frame {
    std::string_view text;   // one record; valid until the next call of next()
    std::string_view before; // what stands on its first line in front of it, at most 200 bytes
    std::string pointer;     // of the record from the root of its document
    Position origin;         // of the first byte of text
    std::optional<Diagnostic> broken; // the text between records is at fault: there is no record
};

// A tray without its stones: what stands before and after the elements of "stones".
struct Envelope {
    std::string head; // from the opening brace, through the opening bracket of "stones"
    std::string tail; // from the closing bracket
    Position head_origin;
    Position tail_origin;
    bool tail_to_come = false; // the stones stand before it and are not read yet
};

class Framer {
public:
    // `by_lines` when the name of the file says that it is NDJSON. Reads as far as the shape needs.
    // Throws FileError.
    Framer(ByteSource& source, bool by_lines);

    [[nodiscard]] Shape shape() const { return shape_; }
    // Of a tray; its tail is known from the start only when no defaults come before the stones.
    [[nodiscard]] const Envelope& envelope() const { return envelope_; }
    std::optional<Frame> next();

private:
    static constexpr std::size_t npos = std::string::npos;

    bool fill();
    [[nodiscard]] bool reach(std::size_t at);
    std::size_t skip_blank(std::size_t at);
    std::size_t end_of_value(std::size_t at);
    void find_shape();
    void open_tray_at(std::size_t bracket, bool defaults_before);
    void count_to(std::size_t offset);
    Frame frame(std::size_t begin, std::size_t end);
    Frame fault(std::size_t at, std::string message, std::string hint);
    std::optional<Frame> next_line();
    std::optional<Frame> next_element();
    std::optional<Frame> close(std::size_t bracket);

    ByteSource& source_;
    Shape shape_ = Shape::single;
    Envelope envelope_;
    std::string buffer_;
    std::size_t at_ = 0;      // of the next byte to frame, in buffer_
    std::size_t counted_ = 0; // line_ and column_ are those of this byte of buffer_
    std::size_t line_ = 1;
    std::size_t column_ = 1;
    std::size_t index_ = 0;
    bool at_end_ = false;
    bool comma_ = false; // the last element was followed by one
    bool done_ = false;
};

} // namespace trayworth::io
