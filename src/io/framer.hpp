// Cuts an input into records as it comes, whatever its shape, and keeps only the record at hand.
// It knows strings and brackets, no more: whether a record is JSON is the reader's question. What
// is larger than the limits is passed over without keeping it, whatever its size.
#pragma once

#include "core/bounds.hpp"
#include "core/diagnostic.hpp"
#include "io/files.hpp"
#include "io/record_table.hpp"

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
    lines,  // NDJSON: a record a line; or a table: a record a row
};

// What the name of a file says of its form.
enum class Form : std::uint8_t { any, lines, table };

struct Frame {
    std::string_view text;   // one record; valid until the next call of next()
    std::string_view before; // what stands on its first line in front of it, at most 200 bytes
    std::string pointer;     // of the record from the root of its document
    Position origin;         // of the first byte of text
    std::optional<Diagnostic> broken; // the text between records is at fault: there is no record
    // Of a record from a table, which knows its places: `text` is made from a row.
    const RecordTable* table = nullptr;
    std::size_t row = 0;
};

// A tray without its stones: what stands before and after the elements of "stones".
struct Envelope {
    std::string head; // from the opening brace, through the opening bracket of "stones"
    std::string tail; // from the closing bracket
    Position head_origin;
    Position tail_origin;
    bool tail_to_come = false; // the stones stand before it and are not read yet
};

// In bytes.
struct FrameLimits {
    std::size_t record = bounds::record_bytes;
    std::size_t tray = bounds::tray_bytes; // of one that is kept for the defaults at its end
};

class Framer {
public:
    // Reads as far as the shape needs; a table whole. Throws FileError.
    explicit Framer(ByteSource& source, Form form = Form::any, FrameLimits limits = {});

    [[nodiscard]] Shape shape() const { return shape_; }
    // Of a tray; its tail is known from the start only when no defaults come before the stones.
    [[nodiscard]] const Envelope& envelope() const { return envelope_; }
    std::optional<Frame> next();

private:
    static constexpr std::size_t npos = std::string::npos;

    // What is to be passed over before the next frame.
    enum class Rest : std::uint8_t { nothing, line, element };

    bool fill();
    [[nodiscard]] bool reach(std::size_t at);
    void fill_to(std::size_t most);
    void forget();
    void pass_blank();
    [[nodiscard]] bool more_after(std::size_t at);
    void find_shape();
    void open_table();
    std::optional<Frame> next_row();
    void open_tray_at(std::size_t bracket, bool defaults_before);
    void count_to(std::size_t offset);
    Frame frame(std::size_t begin, std::size_t end);
    Frame fault(std::size_t at, Code code, std::string message, std::string hint);
    Frame too_large(std::string_view what, std::string hint);
    std::optional<Frame> next_line();
    std::optional<Frame> next_element();
    std::optional<Frame> close();
    [[nodiscard]] std::size_t end_of_line();
    [[nodiscard]] std::size_t end_of_element();
    void pass_line();
    void pass_element();
    void pass_comma();

    ByteSource& source_;
    FrameLimits limits_;
    Shape shape_ = Shape::single;
    Envelope envelope_;
    std::string buffer_;
    bool is_table_ = false;
    std::optional<RecordTable> table_;
    Diagnostics table_faults_; // why there is none
    std::string row_text_;
    std::size_t at_ = 0;      // of the next byte to frame, in buffer_
    std::size_t counted_ = 0; // line_ and column_ are those of this byte of buffer_
    std::size_t line_ = 1;
    std::size_t column_ = 1;
    std::size_t index_ = 0;
    Rest rest_ = Rest::nothing;
    bool at_end_ = false;
    bool comma_due_ = false; // an element was framed, and what follows it was not looked at
    bool comma_ = false;     // the last element was followed by one
    bool done_ = false;
};

} // namespace trayworth::io
