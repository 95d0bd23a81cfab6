#include "io/parse_json.hpp"

#include <cstddef>
#include <iterator>

namespace trayworth::io {
namespace {

// A pointer of a type that no other file has: the lexer over it is this file's alone, and the
// compiler inlines it. Over plain pointers the linker may choose a copy from a file where it did
// not.
class Byte {
public:
    using iterator_category = std::forward_iterator_tag;
    using value_type = char;
    using difference_type = std::ptrdiff_t;
    using pointer = const char*;
    using reference = const char&;

    Byte() = default;
    explicit Byte(const char* at) : at_(at) {}

    reference operator*() const { return *at_; }
    Byte& operator++() {
        ++at_;
        return *this;
    }
    Byte operator++(int) {
        const Byte before = *this;
        ++at_;
        return before;
    }
    friend bool operator==(const Byte& a, const Byte& b) { return a.at_ == b.at_; }

private:
    const char* at_ = nullptr;
};

} // namespace

bool parse_json(std::string_view text, JsonHandler& handler, bool comments_allowed) {
    const char* begin = text.data();
    return nlohmann::json::sax_parse(Byte(begin), Byte(begin + text.size()), &handler,
                                     nlohmann::json::input_format_t::json, true, comments_allowed);
}

} // namespace trayworth::io
