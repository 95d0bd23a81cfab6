#include "io/framer.hpp"

#include "core/decimal.hpp"
#include "io/bytes.hpp"
#include "io/locate.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

constexpr std::size_t chunk = std::size_t{256} * 1024;
constexpr std::size_t most_before = 200;
constexpr std::size_t most_after = 200;
constexpr std::string_view stones_key = "\"stones\"";
constexpr std::string_view tray_key = "\"tray\"";
constexpr std::string_view record_hint =
    "A record describes one stone; keep pictures and certificates in files of their own.";

bool all_blank(std::string_view text) {
    return std::all_of(text.begin(), text.end(), is_blank);
}

enum class Class : std::uint8_t { other, quote, opening, closing_brace, closing_bracket, parting };

constexpr std::array<Class, 256> classes = [] {
    std::array<Class, 256> table{};
    table['"'] = Class::quote;
    table['{'] = table['['] = Class::opening;
    table['}'] = Class::closing_brace;
    table[']'] = Class::closing_bracket;
    table[','] = table[' '] = table['\t'] = table['\n'] = table['\r'] = Class::parting;
    return table;
}();

// Follows a value through pieces of text, to past its last bracket, or to the blank, comma or
// bracket that a word ends before.
class ValueEnd {
public:
    // Its offset in the piece; the piece's size when the value goes on.
    std::size_t find(std::string_view piece) {
        std::size_t i = 0;
        while (i < piece.size()) {
            if (in_string_) {
                i = past_string(piece, i);
                continue;
            }
            const Class kind = classes[static_cast<unsigned char>(piece[i])];
            const bool closing = kind == Class::closing_brace || kind == Class::closing_bracket;
            if (closing && depth_ > 0) {
                if (--depth_ == 0) {
                    ended_ = true;
                    return i + 1;
                }
            } else if (kind == Class::quote) {
                in_string_ = true;
            } else if (kind == Class::opening) {
                ++depth_;
            } else if (depth_ == 0 && begun_ &&
                       (kind == Class::parting || kind == Class::closing_bracket)) {
                ended_ = true;
                return i;
            }
            begun_ = true;
            ++i;
        }
        return i;
    }
    [[nodiscard]] bool ended() const { return ended_; }

private:
    std::size_t past_string(std::string_view piece, std::size_t i) {
        if (std::exchange(escaped_, false)) {
            ++i;
        }
        for (; i < piece.size(); ++i) {
            if (piece[i] == '\\') {
                ++i;
                escaped_ = i == piece.size();
            } else if (piece[i] == '"') {
                in_string_ = false;
                return i + 1;
            }
        }
        return piece.size();
    }

    std::size_t depth_ = 0;
    bool in_string_ = false;
    bool escaped_ = false; // the piece ended behind a backslash
    bool begun_ = false;
    bool ended_ = false;
};

} // namespace

Framer::Framer(ByteSource& source, Form form, FrameLimits limits)
    : source_(source), limits_(limits) {
    while (buffer_.size() < byte_order_mark.size() && fill()) {
    }
    const std::string_view start = std::string_view(buffer_).substr(0, 2);
    if (start == "\xFF\xFE" || start == "\xFE\xFF") {
        throw FileError("the text is UTF-16, and JSON is exchanged as UTF-8.", "Save it as UTF-8.");
    }
    if (std::string_view(buffer_).substr(0, 3) == byte_order_mark) {
        at_ = counted_ = byte_order_mark.size(); // RFC 8259, 8.1: a parser may ignore it
    }
    if (form == Form::any) {
        find_shape();
        return;
    }
    shape_ = Shape::lines;
    if (form == Form::table) {
        open_table();
    }
}

void Framer::open_table() {
    is_table_ = true;
    fill_to(bounds::csv_bytes + 1); // one more is refused
    table_ = RecordTable::read(std::exchange(buffer_, {}), table_faults_);
}

// A fault of the table stands in the place of its records.
std::optional<Frame> Framer::next_row() {
    const std::size_t row = index_++;
    Frame found;
    if (!table_) {
        if (row == table_faults_.size()) {
            return std::nullopt;
        }
        found.broken = table_faults_[row];
        return found;
    }
    if (row == table_->size()) {
        return std::nullopt;
    }
    row_text_ = table_->record(row);
    found.text = row_text_;
    found.table = &*table_;
    found.row = row;
    return found;
}

bool Framer::fill() {
    if (at_end_) {
        return false;
    }
    const std::size_t before = buffer_.size();
    buffer_.resize(before + chunk);
    const std::size_t got = source_.read(buffer_.data() + before, chunk);
    buffer_.resize(before + got);
    at_end_ = got == 0;
    return !at_end_;
}

bool Framer::reach(std::size_t at) {
    while (at >= buffer_.size()) {
        if (!fill()) {
            return false;
        }
    }
    return true;
}

// Reads on until so many bytes are at hand, or all.
void Framer::fill_to(std::size_t most) {
    while (buffer_.size() - at_ < most && fill()) {
    }
}

// Gives up what was framed, but for what may stand in front of the next record on its line. Not
// before half of the buffer is of no more use, so that no byte is moved often.
void Framer::forget() {
    if (at_ > chunk && at_ > buffer_.size() / 2) {
        count_to(at_);
        const std::size_t kept = std::min(at_, most_before);
        buffer_.erase(0, at_ - kept);
        at_ = counted_ = kept;
    }
}

void Framer::pass_blank() {
    while (reach(at_)) {
        const auto first = buffer_.begin() + static_cast<std::ptrdiff_t>(at_);
        const auto stop = std::find_if_not(first, buffer_.end(), is_blank);
        at_ += static_cast<std::size_t>(stop - first);
        if (stop != buffer_.end()) {
            return;
        }
        forget();
    }
}

// Whether anything but blanks follows, or more of them than are looked at.
bool Framer::more_after(std::size_t at) {
    while (reach(at) && is_blank(buffer_[at]) && at - at_ <= limits_.record) {
        ++at;
    }
    return reach(at);
}

void Framer::find_shape() {
    pass_blank();
    count_to(at_);
    if (!reach(at_)) {
        return; // empty: a single record that is not there
    }
    if (buffer_[at_] == '[') {
        shape_ = Shape::array;
        ++at_;
        return;
    }
    if (buffer_[at_] != '{') {
        shape_ = Shape::lines;
        return;
    }
    std::string open;         // the brackets that are open
    std::size_t key = npos;   // of the last string in the root object
    std::size_t last = npos;  // byte outside strings that is not blank
    std::size_t colon = npos; // after "stones" in the root object
    bool in_string = false;
    bool first_line = true;
    bool tray_seen = false;
    const auto key_is = [&](std::string_view name) {
        return std::string_view(buffer_).substr(key, name.size()) == name;
    };
    for (std::size_t i = at_; reach(i); ++i) {
        const char c = buffer_[i];
        if (i - at_ > limits_.record) {
            // Too large, whatever it is. Others may follow a line.
            shape_ = first_line ? Shape::lines : Shape::single;
            return;
        }
        if (c == '\n') {
            first_line = false;
            // A record that begins a line inside an object, where no value is due: the first line
            // of NDJSON is broken.
            const bool value_due = !in_string && buffer_[last] == ':';
            if (!value_due && reach(i + 1) && buffer_[i + 1] == '{' &&
                (in_string || open.back() == '{')) {
                shape_ = Shape::lines;
                return;
            }
        }
        const std::size_t before_last = last;
        if (!in_string && !is_blank(c)) {
            last = i;
        }
        if (in_string) {
            if (c == '\\') {
                ++i;
            } else if (c == '"') {
                in_string = false;
            }
        } else if (c == '"') {
            in_string = true;
            key = open.size() == 1 ? i : npos;
        } else if (c == ':' && key != npos) {
            tray_seen = tray_seen || key_is(tray_key);
            colon = key_is(stones_key) ? i : npos;
            key = npos;
        } else if (c == '[' && colon != npos && before_last == colon) {
            open_tray_at(i, tray_seen);
            return;
        } else if (c == '{' || c == '[') {
            open += c;
        } else if (c == '}' || c == ']') {
            open.pop_back();
            if (open.empty()) {
                shape_ = first_line && more_after(i + 1) ? Shape::lines : Shape::single;
                return;
            }
        }
    }
}

void Framer::open_tray_at(std::size_t bracket, bool defaults_before) {
    shape_ = Shape::tray;
    count_to(at_);
    envelope_.head_origin = {line_, column_};
    envelope_.head = buffer_.substr(at_, bracket + 1 - at_);
    const std::size_t first = bracket + 1;
    envelope_.tail_to_come = defaults_before;
    if (!defaults_before) {
        // Defaults may follow the stones that need them: only then is all of it kept.
        fill_to(limits_.tray + 1);
        if (buffer_.size() - at_ > limits_.tray) {
            throw FileError(
                fmt::format("a tray whose \"stones\" stand before its \"tray\" holds at most {} "
                            "bytes, and this one is larger.",
                            grouped(limits_.tray)),
                "Write \"tray\" first: then the stones are read as they come.");
        }
        const std::string_view all(buffer_);
        std::size_t at = std::min(all.find_first_not_of(" \t\n\r", first), all.size());
        while (at < all.size() && all[at] != ']') {
            at += all[at] == ',' ? 1 : ValueEnd().find(all.substr(at));
            at = std::min(all.find_first_not_of(" \t\n\r", at), all.size());
        }
        envelope_.tail = all.substr(at);
        envelope_.tail_origin = position_at(all.substr(at_), at - at_, {line_, column_});
        if (envelope_.tail.size() > limits_.record) {
            throw FileError(fmt::format("what follows the stones of the tray is larger than {} "
                                        "bytes.",
                                        grouped(limits_.record)),
                            "The defaults say what all of the stones have in common, and no more.");
        }
    }
    at_ = first;
}

void Framer::count_to(std::size_t offset) {
    const Position now = position_at(std::string_view(buffer_).substr(counted_, offset - counted_),
                                     offset - counted_, {line_, column_});
    line_ = now.line;
    column_ = now.column;
    counted_ = offset;
}

Frame Framer::frame(std::size_t begin, std::size_t end) {
    count_to(begin);
    const std::string_view all(buffer_);
    const std::size_t from = begin - std::min(begin, most_before);
    const std::string_view lead = all.substr(from, begin - from);
    const std::size_t line_start = lead.rfind('\n') + 1; // npos + 1 is 0
    Frame frame;
    frame.text = all.substr(begin, end - begin);
    frame.before = lead.substr(line_start);
    if (frame.before.substr(0, 3) == byte_order_mark) {
        frame.before.remove_prefix(3);
    }
    frame.origin = {line_, column_};
    if (shape_ == Shape::array || shape_ == Shape::tray) {
        frame.pointer = (shape_ == Shape::tray ? "/stones/" : "/") + std::to_string(index_);
    }
    return frame;
}

Frame Framer::fault(std::size_t at, Code code, std::string message, std::string hint) {
    static_cast<void>(reach(at + most_after)); // what is shown does not depend on what was read
    const std::string_view rest = std::string_view(buffer_).substr(at, most_after);
    std::size_t end = at + std::min(rest.find_first_of("\r\n"), rest.size());
    while (end < buffer_.size() && continues_character(buffer_[end])) {
        --end;
    }
    Frame broken = frame(at, end);
    broken.broken =
        Diagnostic{code, Severity::error, broken.pointer, std::move(message), std::move(hint)};
    place(*broken.broken, {broken.text, broken.origin, broken.before}, 0);
    return broken;
}

Frame Framer::too_large(std::string_view what, std::string hint) {
    return fault(at_, Code::record_size,
                 fmt::format("{} is larger than {} bytes.", what, grouped(limits_.record)),
                 std::move(hint));
}

std::optional<Frame> Framer::next() {
    if (rest_ != Rest::nothing) {
        std::exchange(rest_, Rest::nothing) == Rest::line ? pass_line() : pass_element();
    }
    if (done_) {
        return std::nullopt;
    }
    switch (shape_) {
    case Shape::single:
        done_ = true;
        fill_to(limits_.record + 1);
        if (buffer_.size() - at_ > limits_.record) {
            return too_large("The record", "A record describes one stone; many of them make an "
                                           "array, a tray or NDJSON.");
        }
        return frame(at_, buffer_.size());
    case Shape::lines:
        return is_table_ ? next_row() : next_line();
    case Shape::tray:
    case Shape::array:
        return next_element();
    }
    return std::nullopt;
}

// ---- NDJSON

// The line feed, or the end of the input; npos when the line is longer than a record may be.
std::size_t Framer::end_of_line() {
    std::size_t searched = at_;
    for (;;) {
        const std::size_t found = buffer_.find('\n', searched);
        const std::size_t end = std::min(found, buffer_.size());
        if (end - at_ > limits_.record) {
            return npos;
        }
        if (found != npos) {
            return found;
        }
        searched = end;
        if (!fill()) {
            return end;
        }
    }
}

std::optional<Frame> Framer::next_line() {
    for (;;) {
        if (counted_ < at_) { // exactly the line before this one
            ++line_;
            column_ = 1;
            counted_ = at_;
        }
        forget();
        std::size_t end = end_of_line();
        if (end == npos) {
            if (!all_blank(std::string_view(buffer_).substr(at_))) {
                rest_ = Rest::line;
                return too_large("The record in this line", std::string(record_hint));
            }
            count_to(buffer_.size());
            at_ = counted_;
            continue;
        }
        const std::size_t begin = at_;
        done_ = end == buffer_.size();
        at_ = done_ ? end : end + 1;
        if (end > begin && buffer_[end - 1] == '\r') {
            --end;
        }
        if (!all_blank(std::string_view(buffer_).substr(begin, end - begin))) {
            return frame(begin, end);
        }
        if (done_) {
            return std::nullopt;
        }
    }
}

void Framer::pass_line() {
    for (;;) {
        const std::size_t found = buffer_.find('\n', at_);
        at_ = counted_ = found == npos ? buffer_.size() : found + 1;
        if (found != npos) {
            ++line_;
            column_ = 1;
            return;
        }
        forget();
        if (!fill()) {
            done_ = true;
            return;
        }
    }
}

// ---- arrays and trays

// npos when the element is larger than a record may be.
std::size_t Framer::end_of_element() {
    ValueEnd value;
    std::size_t end = at_;
    for (;;) {
        end += value.find(std::string_view(buffer_).substr(end));
        if (end - at_ > limits_.record) {
            return npos;
        }
        if (value.ended() || !fill()) {
            return end;
        }
    }
}

void Framer::pass_element() {
    ValueEnd value;
    for (;;) {
        at_ += value.find(std::string_view(buffer_).substr(at_));
        if (value.ended()) {
            return;
        }
        forget();
        if (!fill()) {
            return;
        }
    }
}

void Framer::pass_comma() {
    pass_blank();
    comma_ = reach(at_) && buffer_[at_] == ',';
    at_ += comma_ ? 1 : 0;
}

std::optional<Frame> Framer::next_element() {
    if (std::exchange(comma_due_, false)) {
        pass_comma();
    }
    pass_blank();
    forget();
    if (!reach(at_)) {
        done_ = true;
        return fault(at_, Code::json_syntax, "The array of stones is not closed.",
                     "Is the file cut short? An array ends with \"]\".");
    }
    const char c = buffer_[at_];
    if (c == ']' && !comma_) {
        return close();
    }
    if (c == ']' || c == ',') {
        const std::size_t comma = at_;
        comma_ = c == ',';
        at_ += comma_ ? 1 : 0;
        return fault(comma, Code::json_syntax,
                     "A record is missing here: a comma stands between two records.",
                     "Remove the comma that has no record beside it.");
    }
    if (index_ > 0 && !comma_) {
        comma_ = true;
        return fault(at_, Code::json_syntax, "A comma is missing between two records.",
                     "Write a comma before this record.");
    }
    comma_due_ = true;
    const std::size_t end = end_of_element();
    if (end == npos) {
        rest_ = Rest::element;
        Frame refused = too_large("The record", std::string(record_hint));
        ++index_;
        return refused;
    }
    Frame found = frame(at_, end); // only now: until here the buffer may move
    at_ = end;
    ++index_;
    return found;
}

// At the bracket that closes the stones.
std::optional<Frame> Framer::close() {
    done_ = true;
    if (shape_ == Shape::tray) {
        fill_to(limits_.record + 1);
        if (buffer_.size() - at_ > limits_.record) {
            return too_large("What follows the stones of the tray",
                             "A tray ends soon after its stones.");
        }
        count_to(at_);
        envelope_.tail = buffer_.substr(at_);
        envelope_.tail_to_come = false;
        envelope_.tail_origin = {line_, column_};
        return std::nullopt;
    }
    ++at_;
    pass_blank();
    if (reach(at_)) {
        return fault(at_, Code::json_syntax, "There is text after the end of the array.",
                     "One file holds one array; put its records into it, or use NDJSON.");
    }
    return std::nullopt;
}

} // namespace trayworth::io
