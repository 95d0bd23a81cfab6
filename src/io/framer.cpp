#include "io/framer.hpp"

#include "io/locate.hpp"

#include <algorithm>
#include <utility>

namespace trayworth::io {
namespace {

constexpr std::size_t chunk = std::size_t{256} * 1024;
constexpr std::size_t most_before = 200;
constexpr std::size_t most_after = 200;
constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
constexpr std::string_view stones_key = "\"stones\"";
constexpr std::string_view tray_key = "\"tray\"";

constexpr bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

bool all_blank(std::string_view text) {
    return std::all_of(text.begin(), text.end(), is_blank);
}

} // namespace

Framer::Framer(ByteSource& source, bool by_lines) : source_(source) {
    while (buffer_.size() < byte_order_mark.size() && fill()) {
    }
    const std::string_view start = std::string_view(buffer_).substr(0, 2);
    if (start == "\xFF\xFE" || start == "\xFE\xFF") {
        throw FileError("the text is UTF-16, and JSON is exchanged as UTF-8: save it as UTF-8");
    }
    if (std::string_view(buffer_).substr(0, 3) == byte_order_mark) {
        at_ = counted_ = byte_order_mark.size(); // RFC 8259, 8.1: a parser may ignore it
    }
    if (by_lines) {
        shape_ = Shape::lines;
    } else {
        find_shape();
    }
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

std::size_t Framer::skip_blank(std::size_t at) {
    while (reach(at) && is_blank(buffer_[at])) {
        ++at;
    }
    return at;
}

// Past a balanced object or array, or past a word that ends before a blank, comma or bracket.
std::size_t Framer::end_of_value(std::size_t at) {
    std::size_t depth = 0;
    bool in_string = false;
    for (std::size_t i = at; reach(i); ++i) {
        const char c = buffer_[i];
        if (in_string) {
            if (c == '\\') {
                ++i;
            } else if (c == '"') {
                in_string = false;
            }
        } else if (c == '"') {
            in_string = true;
        } else if (c == '{' || c == '[') {
            ++depth;
        } else if ((c == '}' || c == ']') && depth > 0) {
            if (--depth == 0) {
                return i + 1;
            }
        } else if (depth == 0 && i > at && (c == ',' || c == ']' || is_blank(c))) {
            return i;
        }
    }
    return buffer_.size();
}

void Framer::find_shape() {
    at_ = skip_blank(at_);
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
    std::string open;        // the brackets that are open
    std::size_t key = npos;  // of the last string in the root object
    std::size_t last = npos; // byte outside strings that is not blank
    bool in_string = false;
    bool first_line = true;
    bool tray_seen = false;
    const auto key_is = [&](std::string_view name) {
        return std::string_view(buffer_).substr(key, name.size()) == name;
    };
    for (std::size_t i = at_; reach(i); ++i) {
        const char c = buffer_[i];
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
            const std::size_t bracket = key_is(stones_key) ? skip_blank(i + 1) : npos;
            if (bracket != npos && reach(bracket) && buffer_[bracket] == '[') {
                open_tray_at(bracket, tray_seen);
                return;
            }
            key = npos;
        } else if (c == '{' || c == '[') {
            open += c;
        } else if (c == '}' || c == ']') {
            open.pop_back();
            if (open.empty()) {
                const bool more = reach(skip_blank(i + 1));
                shape_ = first_line && more ? Shape::lines : Shape::single;
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
        while (fill()) {
        }
        std::size_t at = skip_blank(first);
        while (at < buffer_.size() && buffer_[at] != ']') {
            at = skip_blank(buffer_[at] == ',' ? at + 1 : end_of_value(at));
        }
        envelope_.tail = buffer_.substr(at);
        envelope_.tail_origin =
            position_at(std::string_view(buffer_).substr(at_), at - at_, {line_, column_});
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

Frame Framer::fault(std::size_t at, std::string message, std::string hint) {
    // What is shown does not depend on how much was read so far.
    static_cast<void>(reach(at + most_after));
    const std::string_view rest = std::string_view(buffer_).substr(at, most_after);
    const std::size_t end = at + std::min(rest.find_first_of("\r\n"), rest.size());
    Frame broken = frame(at, end);
    broken.broken = Diagnostic{Code::json_syntax, Severity::error, broken.pointer,
                               std::move(message), std::move(hint)};
    place(*broken.broken, {broken.text, broken.origin, broken.before}, 0);
    return broken;
}

std::optional<Frame> Framer::next() {
    if (done_) {
        return std::nullopt;
    }
    if (at_ > chunk) { // what was framed is no longer needed
        count_to(at_);
        buffer_.erase(0, at_);
        at_ = counted_ = 0;
    }
    switch (shape_) {
    case Shape::single:
        done_ = true;
        while (fill()) {
        }
        return frame(at_, buffer_.size());
    case Shape::lines:
        return next_line();
    case Shape::tray:
    case Shape::array:
        return next_element();
    }
    return std::nullopt;
}

std::optional<Frame> Framer::next_line() {
    for (;;) {
        if (counted_ < at_) { // exactly the line before this one
            ++line_;
            column_ = 1;
            counted_ = at_;
        }
        std::size_t searched = at_;
        std::size_t end = buffer_.find('\n', searched);
        while (end == npos) {
            searched = buffer_.size();
            if (!fill()) {
                break;
            }
            end = buffer_.find('\n', searched);
        }
        const std::size_t begin = at_;
        if (end == npos) {
            end = buffer_.size();
            done_ = true;
            at_ = end;
        } else {
            at_ = end + 1;
        }
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

std::optional<Frame> Framer::next_element() {
    const std::size_t begin = skip_blank(at_);
    if (!reach(begin)) {
        done_ = true;
        return fault(begin, "The array of stones is not closed.",
                     "Is the file cut short? An array ends with \"]\".");
    }
    const char c = buffer_[begin];
    if (c == ']' && !comma_) {
        return close(begin);
    }
    if (c == ']' || c == ',') {
        comma_ = c == ',';
        at_ = comma_ ? begin + 1 : begin;
        return fault(begin, "A record is missing here: a comma stands between two records.",
                     "Remove the comma that has no record beside it.");
    }
    if (index_ > 0 && !comma_) {
        at_ = begin;
        comma_ = true;
        return fault(begin, "A comma is missing between two records.",
                     "Write a comma before this record.");
    }
    const std::size_t end = end_of_value(begin);
    const std::size_t after = skip_blank(end);
    Frame found = frame(begin, end); // only now: until here the buffer may move
    comma_ = after < buffer_.size() && buffer_[after] == ',';
    at_ = comma_ ? after + 1 : after;
    ++index_;
    return found;
}

std::optional<Frame> Framer::close(std::size_t bracket) {
    done_ = true;
    if (shape_ == Shape::tray) {
        while (fill()) {
        }
        count_to(bracket);
        envelope_.tail = buffer_.substr(bracket);
        envelope_.tail_to_come = false;
        envelope_.tail_origin = {line_, column_};
        return std::nullopt;
    }
    const std::size_t after = skip_blank(bracket + 1);
    if (reach(after)) {
        return fault(after, "There is text after the end of the array.",
                     "One file holds one array; put its records into it, or use NDJSON.");
    }
    return std::nullopt;
}

} // namespace trayworth::io
