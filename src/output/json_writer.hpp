// Writes JSON text as it goes, without building a document first: writing a document of
// nlohmann-json and dumping it takes about twice as long. Strings that need escaping are escaped by
// that library.
#pragma once

#include "core/money.hpp"

#include <array>
#include <concepts>
#include <cstdint>
#include <string>
#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {

enum class Layout : bool { compact, pretty };

// A name of the program's own, which needs no escaping. The compiler writes it out with what stands
// around it, so that it is written at once.
class Key {
public:
    // NOLINTNEXTLINE(*-explicit-*): a literal where a key is wanted
    consteval Key(const char* name) {
        add(',');
        add('"');
        for (; *name != '\0'; ++name) {
            add(*name);
        }
        add('"');
        add(':');
    }

private:
    friend class JsonWriter;
    constexpr void add(char c) { text_.at(size_++) = c; }

    std::array<char, 39> text_{}; // a longer name does not compile
    std::uint8_t size_ = 0;
};

class JsonWriter {
public:
    // Appends to `out`, which is complete when the outermost value is; `depth` is that at which a
    // pretty document stands.
    // NOLINTNEXTLINE(*-member-init): of the chunk only what is written is read
    JsonWriter(std::string& out, Layout layout, int depth = 0)
        : out_(out), layout_(layout), depth_(depth) {}

    void begin_object() { open('{'); }
    void end_object() { close('}'); }
    void begin_array() { open('['); }
    void end_array() { close(']'); }

    void key(const Key& name);
    // A name that is not the program's own, or not known to the compiler.
    void any_key(std::string_view name);

    void text(std::string_view value);
    void boolean(bool value) { raw(value ? "true" : "false"); }
    void null() { raw("null"); }
    // Shortest digits that read back as the same number; finite numbers only.
    void number(double value);
    void number(std::integral auto value) {
        separate();
        const fmt::format_int digits(value);
        put({digits.data(), digits.size()});
        settle();
    }
    void money(Money value);
    // A value that is JSON already.
    void raw(std::string_view json) {
        separate();
        put(json);
        settle();
    }

    void member(const Key& name, std::string_view value) {
        key(name);
        text(value);
    }
    void member(const Key& name, double value) {
        key(name);
        number(value);
    }
    void member(const Key& name, std::integral auto value) {
        key(name);
        number(value);
    }
    void member(const Key& name, Money value) {
        key(name);
        money(value);
    }

private:
    void open(char bracket);
    void close(char bracket);
    void separate();
    void new_line();
    void decimal(std::int64_t digits, int decimals);

    void put(char c) {
        make_room(1);
        chunk_[filled_to_++] = c;
    }
    void put(std::string_view text);
    void make_room(std::size_t count) {
        if (count > chunk_.size() - filled_to_) {
            flush();
        }
    }
    void flush();
    // After a value: whoever wrote it looks for it in `out_`.
    void settle() {
        if (open_ == 0) {
            flush();
        }
    }

    std::string& out_;
    std::array<char, 1024> chunk_; // what is to be appended next, many pieces at once
    std::size_t filled_to_ = 0;    // in chunk_
    Layout layout_;
    int depth_;
    // Whether each open container has an element, the innermost in the lowest bit; what the bits
    // have no room for is 64 containers deep, far beyond any document of this program.
    std::uint64_t filled_ = 0;
    int open_ = 0; // containers
    bool after_key_ = false;
};

} // namespace trayworth::output
