#include "output/json_writer.hpp"

#include "core/decimal.hpp"
#include "output/safe_text.hpp"

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <iterator>

#include <fmt/compile.h>
#include <nlohmann/json.hpp>

namespace trayworth::output {
namespace {

constexpr std::size_t longest_number = 32; // as any double or Money is written

// Eight bytes at a time: a byte of the result has its top bit set where one of `eight` must be
// escaped, or may have it set in a byte above such a one.
constexpr std::uint64_t to_escape(std::uint64_t eight) {
    constexpr std::uint64_t each = 0x0101010101010101;
    constexpr std::uint64_t top = 0x80 * each;
    const auto below = [](std::uint64_t bytes, std::uint64_t limit) {
        return (bytes - limit * each) & ~bytes;
    };
    const auto equal = [&below](std::uint64_t bytes, char c) {
        return below(bytes ^ (static_cast<std::uint64_t>(c) * each), 1);
    };
    return (eight | below(eight, ' ') | equal(eight, '"') | equal(eight, '\\') |
            equal(eight, '\x7F')) &
           top;
}

bool is_visible_ascii(char c) {
    return c >= ' ' && c < '\x7F';
}

bool is_escaped(char c) {
    return c == '"' || c == '\\' || !is_visible_ascii(c);
}

// Whether every byte stands in a JSON string as it is.
bool is_plain(std::string_view text) {
    std::uint64_t eight = 0;
    if (text.size() < sizeof eight) {
        return std::none_of(text.begin(), text.end(), is_escaped);
    }
    std::uint64_t found = 0;
    const std::size_t last = text.size() - sizeof eight;
    for (std::size_t at = 0; at < last; at += sizeof eight) {
        std::memcpy(&eight, text.data() + at, sizeof eight);
        found |= to_escape(eight);
    }
    std::memcpy(&eight, text.data() + last, sizeof eight); // some for the second time
    return (found | to_escape(eight)) == 0;
}

std::string json_escaped(std::string_view text) {
    return safe_json(
        nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace));
}

} // namespace

void JsonWriter::key(const Key& name) {
    std::size_t from = 1; // the comma is left out, or written by separate()
    if (layout_ == Layout::pretty) {
        separate();
    } else {
        from -= filled_ & 1U;
        filled_ |= 1U;
    }
    make_room(sizeof name.text_);
    // As much as the longest key has: a few instructions in place of a call.
    std::memcpy(chunk_.data() + filled_to_, name.text_.data() + from, sizeof name.text_ - 1);
    filled_to_ += name.size_ - from;
    if (layout_ == Layout::pretty) {
        put(' ');
    }
    after_key_ = true;
}

void JsonWriter::any_key(std::string_view name) {
    text(name);
    put(layout_ == Layout::pretty ? ": " : ":");
    after_key_ = true;
}

void JsonWriter::text(std::string_view value) {
    separate();
    if (is_plain(value)) {
        put('"');
        put(value);
        put('"');
    } else if (std::all_of(value.begin(), value.end(), is_visible_ascii)) {
        put('"');
        for (const char c : value) {
            if (is_escaped(c)) {
                put('\\');
            }
            put(c);
        }
        put('"');
    } else {
        put(json_escaped(value));
    }
    settle();
}

// The number that reads back as the same one from the fewest digits. No two texts of so few digits
// as a double holds, 15, are the same double: so where one of seven digits is the number, it is the
// one, and it comes faster from an integer than from a search.
void JsonWriter::number(double value) {
    separate();
    // Between these no exponent is written.
    constexpr double least = 1e-4;
    constexpr double most = 1e7;
    if (value >= least && value < most) {
        const auto whole = static_cast<std::int64_t>(value);
        if (static_cast<double>(whole) == value) {
            decimal(whole, 0);
            return;
        }
        Decimal seven = decimal_of(value);
        if (seven.value() == value) {
            for (; seven.digits % 10 == 0; seven.digits /= 10) {
                --seven.decimals;
            }
            decimal(seven.digits, seven.decimals);
            return;
        }
    }
    std::array<char, longest_number> text; // NOLINT(*-member-init): only what is written is read
    const char* end = fmt::format_to(text.data(), FMT_COMPILE("{}"), value);
    put({text.data(), static_cast<std::size_t>(end - text.data())});
    settle();
}

void JsonWriter::money(Money value) {
    separate();
    decimal(value.minor, value.minor_digits);
}

void JsonWriter::decimal(std::int64_t digits, int decimals) {
    std::array<char, longest_number> text; // NOLINT(*-member-init): only what is written is read
    char* const end = text.data() + text.size();
    char* at = end;
    auto rest = static_cast<std::uint64_t>(std::abs(digits));
    for (int written = 0; rest > 0 || written <= decimals; ++written) {
        if (written > 0 && written == decimals) {
            *--at = '.';
        }
        *--at = static_cast<char>('0' + rest % 10);
        rest /= 10;
    }
    if (digits < 0) {
        *--at = '-';
    }
    put({at, static_cast<std::size_t>(end - at)});
    settle();
}

void JsonWriter::put(std::string_view text) {
    make_room(text.size());
    if (text.size() > chunk_.size()) {
        out_ += text;
        return;
    }
    std::memcpy(chunk_.data() + filled_to_, text.data(), text.size());
    filled_to_ += text.size();
}

void JsonWriter::flush() {
    out_.append(chunk_.data(), filled_to_);
    filled_to_ = 0;
}

void JsonWriter::open(char bracket) {
    separate();
    put(bracket);
    filled_ <<= 1U;
    ++open_;
    ++depth_;
}

void JsonWriter::close(char bracket) {
    --depth_;
    if ((filled_ & 1U) != 0) {
        new_line();
    }
    filled_ >>= 1U;
    --open_;
    put(bracket);
    settle();
}

void JsonWriter::separate() {
    if (after_key_) {
        after_key_ = false;
        return;
    }
    if (open_ == 0) {
        return;
    }
    if ((filled_ & 1U) != 0) {
        put(',');
    }
    filled_ |= 1U;
    new_line();
}

void JsonWriter::new_line() {
    if (layout_ == Layout::pretty) {
        put('\n');
        for (int i = 0; i < depth_; ++i) {
            put("  ");
        }
    }
}

} // namespace trayworth::output
