// Writes JSON text as it goes, without building a document first: writing a document of
// nlohmann-json and dumping it takes about twice as long. Strings that need escaping are escaped by
// that library.
#pragma once

#include "core/money.hpp"

#include <concepts>
#include <cstdint>
#include <iterator>
#include <string>
#include <string_view>

#include <fmt/compile.h>

namespace trayworth::output {

enum class Layout : bool { compact, pretty };

class JsonWriter {
public:
    // Appends to `out`; `depth` is that at which a pretty document stands.
    JsonWriter(std::string& out, Layout layout, int depth = 0)
        : out_(out), layout_(layout), depth_(depth) {}

    void begin_object() { open('{'); }
    void end_object() { close('}'); }
    void begin_array() { open('['); }
    void end_array() { close(']'); }

    // A name of the program's own, which needs no escaping.
    void key(std::string_view name);
    // A name from a record.
    void any_key(std::string_view name);

    void text(std::string_view value);
    void boolean(bool value) { raw(value ? "true" : "false"); }
    void null() { raw("null"); }
    // Shortest digits that read back as the same number; finite numbers only.
    template<class Number>
    requires std::integral<Number> || std::floating_point<Number>
    void number(Number value) {
        separate();
        if constexpr (std::floating_point<Number>) {
            // Small whole numbers are frequent, and the same digits come faster from an integer.
            constexpr Number small = 100000;
            if (value >= 1 && value < small &&
                value == static_cast<Number>(static_cast<int>(value))) {
                const fmt::format_int digits(static_cast<int>(value));
                out_.append(digits.data(), digits.size());
                return;
            }
        }
        fmt::format_to(std::back_inserter(out_), FMT_COMPILE("{}"), value);
    }
    void money(Money value);
    // A value that is JSON already.
    void raw(std::string_view json) {
        separate();
        out_ += json;
    }

    void member(std::string_view name, std::string_view value) {
        key(name);
        text(value);
    }
    template<class Number>
    requires std::integral<Number> || std::floating_point<Number>
    void member(std::string_view name, Number value) {
        key(name);
        number(value);
    }
    void member(std::string_view name, Money value) {
        key(name);
        money(value);
    }

private:
    void open(char bracket);
    void close(char bracket);
    void separate();
    void new_line();

    std::string& out_;
    Layout layout_;
    int depth_;
    // Whether each open container has an element, the innermost in the lowest bit; what the bits
    // have no room for is 64 containers deep, far beyond any document of this program.
    std::uint64_t filled_ = 0;
    int open_ = 0; // containers
    bool after_key_ = false;
};

} // namespace trayworth::output
