#include "io/locate.hpp"

#include <algorithm>
#include <iterator>
#include <set>

#include <nlohmann/json.hpp>

namespace trayworth::io {
namespace {

using nlohmann::json;

// Reads a text and keeps the place that it has come to where others can see it.
class TrackingIterator {
public:
    using iterator_category = std::forward_iterator_tag;
    using value_type = char;
    using difference_type = std::ptrdiff_t;
    using pointer = const char*;
    using reference = const char&;

    TrackingIterator() = default;
    TrackingIterator(const char* at, const char** seen) : at_(at), seen_(seen) {}

    reference operator*() const { return *at_; }
    TrackingIterator& operator++() {
        *seen_ = ++at_;
        return *this;
    }
    TrackingIterator operator++(int) {
        TrackingIterator before = *this;
        ++*this;
        return before;
    }
    friend bool operator==(const TrackingIterator& a, const TrackingIterator& b) {
        return a.at_ == b.at_;
    }
    friend bool operator!=(const TrackingIterator& a, const TrackingIterator& b) {
        return !(a == b);
    }

private:
    const char* at_ = nullptr;
    const char** seen_ = nullptr;
};

constexpr bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

// Walks a text and calls the visitor with each token's JSON Pointer and place.
//   visitor.on_key(pointer, begin)          the key that leads to `pointer`
//   visitor.on_value(pointer, begin)        a scalar, or the opening bracket
//   visitor.on_end(pointer, end)            past a scalar or the closing bracket
template<class Visitor>
class Walk {
public:
    Walk(std::string_view text, Visitor& visitor) : text_(text), visitor_(visitor) {}

    void run(Comments comments) {
        seen_ = text_.data();
        const char* end = text_.data() + text_.size();
        json::sax_parse(TrackingIterator(text_.data(), &seen_), TrackingIterator(end, &seen_), this,
                        json::input_format_t::json, true, comments == Comments::allowed);
    }

    bool null() { return scalar(false); }
    bool boolean(bool) { return scalar(false); }
    bool number_integer(json::number_integer_t) { return scalar(true); }
    bool number_unsigned(json::number_unsigned_t) { return scalar(true); }
    bool number_float(json::number_float_t, const std::string&) { return scalar(true); }
    bool string(std::string&) { return scalar(false); }
    bool binary(json::binary_t&) { return false; }

    bool start_object(std::size_t) { return open(false); }
    bool start_array(std::size_t) { return open(true); }
    bool end_object() { return close(); }
    bool end_array() { return close(); }

    bool key(std::string& name) {
        Level& level = levels_.back();
        pointer_.resize(level.length);
        pointer_ += "/" + pointer_token(name);
        visitor_.on_key(pointer_, next_token());
        passed_ = offset();
        return true;
    }

    bool parse_error(std::size_t, const std::string&, const json::exception&) { return false; }

private:
    struct Level {
        bool is_array = false;
        std::size_t index = 0;
        std::size_t length = 0; // of the container's own pointer
    };

    [[nodiscard]] std::size_t offset() const {
        return static_cast<std::size_t>(seen_ - text_.data());
    }

    // The first byte of the token that follows what was passed.
    [[nodiscard]] std::size_t next_token() const {
        std::size_t at = passed_;
        while (at < text_.size()) {
            if (text_.substr(at, 3) == "\xEF\xBB\xBF") {
                at += 3;
            } else if (text_.substr(at, 2) == "//") {
                at = std::min(text_.find('\n', at), text_.size());
            } else if (text_.substr(at, 2) == "/*") {
                const std::size_t end = text_.find("*/", at + 2);
                at = end == std::string_view::npos ? text_.size() : end + 2;
            } else if (is_blank(text_[at]) || text_[at] == ',' || text_[at] == ':') {
                ++at;
            } else {
                break;
            }
        }
        return at;
    }

    void enter_element() {
        if (!levels_.empty() && levels_.back().is_array) {
            pointer_.resize(levels_.back().length);
            pointer_ += "/" + std::to_string(levels_.back().index++);
        }
    }

    bool scalar(bool is_number) {
        enter_element();
        const std::size_t begin = next_token();
        visitor_.on_value(pointer_, begin);
        passed_ = offset();
        if (is_number) { // the byte after it may have been read to find its end
            const std::size_t stop = text_.find_first_not_of("+-.0123456789eE", begin);
            passed_ = std::min(stop, text_.size());
        }
        visitor_.on_end(pointer_, passed_);
        return true;
    }

    bool open(bool is_array) {
        enter_element();
        visitor_.on_value(pointer_, next_token());
        levels_.push_back({is_array, 0, pointer_.size()});
        passed_ = offset();
        return true;
    }

    bool close() {
        pointer_.resize(levels_.back().length);
        levels_.pop_back();
        passed_ = offset();
        visitor_.on_end(pointer_, passed_);
        return true;
    }

    std::string_view text_;
    Visitor& visitor_;
    const char* seen_ = nullptr;
    std::size_t passed_ = 0;
    std::string pointer_;
    std::vector<Level> levels_;
};

// Whether `ancestor` is `pointer` or leads to it.
bool leads_to(std::string_view ancestor, std::string_view pointer) {
    return pointer.substr(0, ancestor.size()) == ancestor &&
           (pointer.size() == ancestor.size() || pointer[ancestor.size()] == '/');
}

struct Finder {
    std::string_view wanted;
    Target target = Target::value;
    int keys_seen = 0;
    std::size_t deepest = 0;
    std::size_t found = 0;

    void on_key(const std::string& pointer, std::size_t begin) {
        const int wanted_key = target == Target::second_key ? 2 : 1;
        if (target != Target::value && pointer == wanted && ++keys_seen == wanted_key) {
            found = begin;
            deepest = pointer.size() + 1;
        }
    }
    void on_value(const std::string& pointer, std::size_t begin) {
        const bool deeper = pointer.size() > deepest || (pointer.empty() && deepest == 0);
        if (deeper && leads_to(pointer, wanted)) {
            found = begin;
            deepest = pointer.size();
        }
    }
    void on_end(const std::string&, std::size_t) {}
};

struct MemberSpans {
    std::string_view text;
    std::vector<std::string> pointers; // of the members that are wanted
    std::vector<std::string_view> spans;
    std::size_t begin = 0;

    [[nodiscard]] std::size_t index_of(std::string_view pointer) const {
        const auto found = std::find(pointers.begin(), pointers.end(), pointer);
        return static_cast<std::size_t>(found - pointers.begin());
    }
    void on_key(const std::string&, std::size_t) {}
    void on_value(const std::string& pointer, std::size_t at) {
        if (index_of(pointer) < pointers.size()) {
            begin = at;
        }
    }
    void on_end(const std::string& pointer, std::size_t end) {
        const std::size_t index = index_of(pointer);
        if (index < pointers.size()) {
            spans[index] = text.substr(begin, end - begin);
        }
    }
};

struct KeyCounter {
    std::set<std::string> once;
    std::vector<std::string> repeated;

    void on_key(const std::string& pointer, std::size_t) {
        if (!once.insert(pointer).second &&
            std::find(repeated.begin(), repeated.end(), pointer) == repeated.end()) {
            repeated.push_back(pointer);
        }
    }
    void on_value(const std::string&, std::size_t) {}
    void on_end(const std::string&, std::size_t) {}
};

constexpr bool continues_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

std::size_t characters_in(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return !continues_character(c); }));
}

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

} // namespace

std::size_t
locate(std::string_view text, std::string_view pointer, Target target, Comments comments) {
    Finder finder{pointer, target};
    Walk<Finder>(text, finder).run(comments);
    return finder.found;
}

std::vector<std::string_view> member_texts(std::string_view text,
                                           const std::vector<std::string>& names) {
    MemberSpans members{text, {}, std::vector<std::string_view>(names.size())};
    for (const std::string& name : names) {
        members.pointers.push_back("/" + pointer_token(name));
    }
    Walk<MemberSpans>(text, members).run(Comments::refused);
    return members.spans;
}

std::vector<std::string> repeated_keys(std::string_view text, Comments comments) {
    KeyCounter counter;
    Walk<KeyCounter>(text, counter).run(comments);
    return counter.repeated;
}

Position position_at(std::string_view text, std::size_t offset, Position origin) {
    const std::string_view passed = text.substr(0, offset);
    const auto lines = static_cast<std::size_t>(std::count(passed.begin(), passed.end(), '\n'));
    const std::size_t line_start = lines == 0 ? 0 : passed.rfind('\n') + 1;
    std::string_view on_line = passed.substr(line_start);
    if (line_start == 0 && on_line.substr(0, 3) == byte_order_mark) {
        on_line.remove_prefix(3);
    }
    const std::size_t first_column = lines == 0 ? origin.column : 1;
    return {origin.line + lines, first_column + characters_in(on_line)};
}

void place(Diagnostic& diagnostic,
           std::string_view text,
           std::size_t offset,
           Position origin,
           std::string_view before) {
    diagnostic.position = position_at(text, offset, origin);
    const std::size_t begin = offset == 0 ? 0 : text.rfind('\n', offset - 1) + 1; // npos + 1 is 0
    const std::size_t end =
        std::min(text.find_first_of("\r\n", std::max(begin, offset)), text.size());
    const std::string_view front = begin == 0 ? before : std::string_view{};
    diagnostic.source_line = std::string(front) + std::string(text.substr(begin, end - begin));
    diagnostic.caret = front.size() + offset - begin;
}

} // namespace trayworth::io
