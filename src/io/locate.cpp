#include "io/locate.hpp"

#include "core/bounds.hpp"
#include "io/bytes.hpp"

#include <algorithm>
#include <iterator>
#include <numeric>
#include <unordered_map>
#include <utility>

#include <nlohmann/json.hpp>

namespace trayworth::io {
namespace {

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

// What is deeper or named longer was refused, and nothing behind it is asked for: without an end to
// the pointers a walk would take more than its text's length.
constexpr std::size_t deepest = bounds::nesting + 1;
constexpr std::size_t longest_name = 4 * bounds::name_length; // bytes

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
        nlohmann::json::sax_parse(
            TrackingIterator(text_.data(), &seen_), TrackingIterator(end, &seen_), this,
            nlohmann::json::input_format_t::json, true, comments == Comments::allowed);
    }

    bool null() { return scalar(false); }
    bool boolean(bool) { return scalar(false); }
    bool number_integer(nlohmann::json::number_integer_t) { return scalar(true); }
    bool number_unsigned(nlohmann::json::number_unsigned_t) { return scalar(true); }
    bool number_float(nlohmann::json::number_float_t, const std::string&) { return scalar(true); }
    bool string(std::string&) { return scalar(false); }
    bool binary(nlohmann::json::binary_t&) { return false; }

    bool start_object(std::size_t) { return open(false); }
    bool start_array(std::size_t) { return open(true); }
    bool end_object() { return close(); }
    bool end_array() { return close(); }

    bool key(std::string& name) {
        if (name.size() > longest_name) {
            return false;
        }
        Level& level = levels_.back();
        pointer_.resize(level.length);
        pointer_ += "/" + pointer_token(name);
        visitor_.on_key(pointer_, next_token());
        passed_ = offset();
        return true;
    }

    bool parse_error(std::size_t, const std::string&, const nlohmann::json::exception&) {
        return false;
    }

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
                at = std::min(text_.find_first_of("\r\n", at), text_.size());
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
        return levels_.size() <= deepest;
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

// Finds the places of many tokens in one walk.
class TokenFinder {
public:
    explicit TokenFinder(std::span<const Wanted> wanted) : wanted_(wanted), found_(wanted.size()) {
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            std::string_view pointer = wanted[i].pointer;
            below_[std::string(pointer)].push_back(i);
            while (!pointer.empty()) {
                pointer = pointer.substr(0, pointer.rfind('/'));
                below_[std::string(pointer)].push_back(i);
            }
        }
    }

    void on_key(const std::string& pointer, std::size_t begin) {
        for (const std::size_t i : wanted_below(pointer)) {
            Found& found = found_[i];
            const Wanted& wanted = wanted_[i];
            const int wanted_key = wanted.target == Target::second_key ? 2 : 1;
            if (wanted.target != Target::value && pointer == wanted.pointer &&
                ++found.keys_seen == wanted_key) {
                found = {begin, pointer.size() + 1, wanted_key};
            }
        }
    }
    void on_value(const std::string& pointer, std::size_t begin) {
        for (const std::size_t i : wanted_below(pointer)) {
            Found& found = found_[i];
            if (pointer.size() > found.depth || (pointer.empty() && found.depth == 0)) {
                found.offset = begin;
                found.depth = pointer.size();
            }
        }
    }
    void on_end(const std::string&, std::size_t) {}

    [[nodiscard]] std::vector<std::size_t> offsets() const {
        std::vector<std::size_t> all;
        all.reserve(found_.size());
        for (const Found& found : found_) {
            all.push_back(found.offset);
        }
        return all;
    }

private:
    struct Found {
        std::size_t offset = 0;
        std::size_t depth = 0; // length of the pointer that was found, 1 more for a key
        int keys_seen = 0;
    };

    // The tokens at that pointer or below it.
    [[nodiscard]] std::span<const std::size_t> wanted_below(const std::string& pointer) const {
        const auto known = below_.find(pointer);
        return known == below_.end() ? std::span<const std::size_t>{} : known->second;
    }

    std::span<const Wanted> wanted_;
    std::vector<Found> found_;
    std::unordered_map<std::string, std::vector<std::size_t>> below_;
};

struct MemberSpans {
    std::string_view text;
    std::vector<std::string> pointers; // of the members that are wanted
    std::vector<std::string_view> spans;
    std::size_t begin = 0;

    [[nodiscard]] std::size_t index_of(std::string_view pointer) const {
        if (pointer.find('/', 1) != std::string_view::npos) { // below the root's members
            return pointers.size();
        }
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

// Keeps the names of the objects that are open, and no others.
struct KeyCounter {
    struct Open {
        std::size_t length = 0;                      // of the object's pointer
        std::unordered_map<std::string, bool> names; // whether it was seen again
    };
    std::vector<Open> open;
    std::vector<std::string> repeated;

    void on_key(const std::string& pointer, std::size_t) {
        const std::size_t length = pointer.rfind('/');
        if (open.empty() || open.back().length < length) {
            open.push_back({length, {}});
        }
        const auto [name, first] = open.back().names.try_emplace(pointer.substr(length), false);
        if (!first && !std::exchange(name->second, true) && repeated.size() < bounds::errors) {
            repeated.push_back(pointer);
        }
    }
    void on_value(const std::string&, std::size_t) {}
    void on_end(const std::string& pointer, std::size_t) {
        if (!open.empty() && open.back().length == pointer.size()) {
            open.pop_back();
        }
    }
};

struct TokenLister {
    std::string_view text;
    std::vector<Token> tokens;

    void on_key(const std::string&, std::size_t begin) {
        std::size_t end = begin + 1;
        while (text[end] != '"') {
            end += text[end] == '\\' ? 2 : 1;
        }
        tokens.push_back({Token::Kind::key, begin, end + 1});
    }
    void on_value(const std::string&, std::size_t begin) {
        const bool opens = text[begin] == '{' || text[begin] == '[';
        tokens.push_back({opens ? Token::Kind::open : Token::Kind::scalar, begin, begin + 1});
    }
    void on_end(const std::string&, std::size_t end) {
        const bool closes = text[end - 1] == '}' || text[end - 1] == ']';
        if (closes) {
            tokens.push_back({Token::Kind::close, end - 1, end});
        } else {
            tokens.back().end = end;
        }
    }
};

} // namespace

std::vector<std::size_t>
locate(std::string_view text, std::span<const Wanted> wanted, Comments comments) {
    TokenFinder finder(wanted);
    Walk<TokenFinder>(text, finder).run(comments);
    return finder.offsets();
}

std::vector<Wanted> wanted_by(std::span<const Diagnostic> diagnostics) {
    std::vector<Wanted> wanted;
    wanted.reserve(diagnostics.size());
    for (const Diagnostic& diagnostic : diagnostics) {
        wanted.push_back({diagnostic.pointer, diagnostic.target});
    }
    return wanted;
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

std::vector<Token> tokens_of(std::string_view text) {
    TokenLister lister{text, {}};
    Walk<TokenLister>(text, lister).run(Comments::allowed);
    return std::move(lister.tokens);
}

std::vector<std::string> repeated_keys(std::string_view text, Comments comments) {
    KeyCounter counter;
    Walk<KeyCounter>(text, counter).run(comments);
    return counter.repeated;
}

Diagnostic repeated_key(std::string pointer) {
    return {Code::json_key_repeated,
            Severity::error,
            std::move(pointer),
            "This key stands twice in one object, and which one is meant cannot be known.",
            "Keep the right one and remove the other.",
            Target::second_key};
}

std::size_t characters_in(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return !continues_character(c); }));
}

Position position_at(std::string_view text, std::size_t offset, Position origin) {
    const std::string_view passed = text.substr(0, offset);
    const auto lines = static_cast<std::size_t>(std::count(passed.begin(), passed.end(), '\n'));
    const std::size_t line_start = lines == 0 ? 0 : passed.rfind('\n') + 1;
    const std::size_t first_column = lines == 0 ? origin.column : 1;
    return {origin.line + lines, first_column + characters_in(passed.substr(line_start))};
}

namespace {

// What stands around a byte on its line, cut to a length that can be shown; `before` is what stands
// in front of the text.
void take_source_line(Diagnostic& diagnostic,
                      std::string_view text,
                      std::size_t offset,
                      std::string_view before) {
    constexpr std::size_t reach = 400; // bytes to either side
    constexpr std::string_view cut = "\xE2\x80\xA6";
    const std::size_t from = offset - std::min(offset, reach);
    const std::size_t to = offset + std::min(text.size() - offset, reach);
    std::string_view front = text.substr(from, offset - from);
    std::string_view back = text.substr(offset, to - offset);
    bool cut_front = from > 0;
    if (const std::size_t line = front.rfind('\n'); line != std::string_view::npos) {
        front.remove_prefix(line + 1);
        cut_front = false;
        before = {};
    } else if (cut_front) {
        before = {};
    }
    while (cut_front && !front.empty() && continues_character(front.front())) {
        front.remove_prefix(1);
    }
    bool cut_back = to < text.size();
    if (const std::size_t line = back.find_first_of("\r\n"); line != std::string_view::npos) {
        back = back.substr(0, line);
        cut_back = false;
    }
    while (cut_back && !back.empty() && continues_character(text[offset + back.size()])) {
        back.remove_suffix(1);
    }
    std::string line(cut_front ? cut : before);
    line += front;
    diagnostic.caret = line.size();
    line += back;
    line += cut_back ? cut : "";
    diagnostic.source_line = std::move(line);
}

} // namespace

void place(Diagnostic& diagnostic, const Passage& passage, std::size_t offset) {
    std::string_view text = passage.text;
    if (text.starts_with(byte_order_mark)) { // no character of the file's first line
        text.remove_prefix(byte_order_mark.size());
        offset -= std::min(offset, byte_order_mark.size());
    }
    diagnostic.position = position_at(text, offset, passage.origin);
    take_source_line(diagnostic, text, offset, passage.before);
}

void place_all(std::span<Diagnostic> diagnostics,
               const Passage& passage,
               std::span<const std::size_t> offsets) {
    std::vector<std::size_t> by_offset(diagnostics.size());
    std::iota(by_offset.begin(), by_offset.end(), std::size_t{0});
    std::sort(by_offset.begin(), by_offset.end(),
              [offsets](std::size_t a, std::size_t b) { return offsets[a] < offsets[b]; });
    std::size_t counted = 0; // lines are counted once, however many diagnostics there are
    Position position = passage.origin;
    for (const std::size_t i : by_offset) {
        position = position_at(passage.text.substr(counted), offsets[i] - counted, position);
        counted = offsets[i];
        diagnostics[i].position = position;
        take_source_line(diagnostics[i], passage.text, counted, passage.before);
    }
}

} // namespace trayworth::io
