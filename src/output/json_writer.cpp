#include "output/json_writer.hpp"

#include "output/safe_text.hpp"

#include <cstdint>
#include <cstdlib>
#include <cstring>

#include <nlohmann/json.hpp>

namespace trayworth::output {
namespace {

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

// Whether every byte stands in a JSON string as it is.
bool is_plain(std::string_view text) {
    std::uint64_t found = 0;
    std::uint64_t eight = 0;
    while (text.size() >= sizeof eight) {
        std::memcpy(&eight, text.data(), sizeof eight);
        found |= to_escape(eight);
        text.remove_prefix(sizeof eight);
    }
    eight = 0x2020202020202020;
    std::memcpy(&eight, text.data(), text.size());
    return (found | to_escape(eight)) == 0;
}

std::string json_escaped(std::string_view text) {
    return safe_json(
        nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace));
}

} // namespace

void JsonWriter::key(std::string_view name) {
    separate();
    out_ += '"';
    out_ += name;
    if (layout_ == Layout::pretty) {
        out_ += "\": ";
    } else {
        out_ += "\":";
    }
    after_key_ = true;
}

void JsonWriter::any_key(std::string_view name) {
    if (is_plain(name)) {
        key(name);
        return;
    }
    text(name);
    out_ += layout_ == Layout::pretty ? ": " : ":";
    after_key_ = true;
}

void JsonWriter::text(std::string_view value) {
    separate();
    if (is_plain(value)) {
        out_ += '"';
        out_ += value;
        out_ += '"';
    } else {
        out_ += json_escaped(value);
    }
}

void JsonWriter::money(Money value) {
    separate();
    const fmt::format_int digits(std::abs(value.minor));
    const auto minor = static_cast<std::size_t>(value.minor_digits);
    if (value.minor < 0) {
        out_ += '-';
    }
    if (digits.size() > minor && minor > 0) {
        out_.append(digits.data(), digits.size() - minor);
        out_ += '.';
        out_.append(digits.data() + digits.size() - minor, minor);
    } else {
        out_ += plain({std::abs(value.minor), value.minor_digits});
    }
}

void JsonWriter::open(char bracket) {
    separate();
    out_ += bracket;
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
    out_ += bracket;
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
        out_ += ',';
    }
    filled_ |= 1U;
    new_line();
}

void JsonWriter::new_line() {
    if (layout_ == Layout::pretty) {
        out_ += '\n';
        out_.append(static_cast<std::size_t>(depth_) * 2, ' ');
    }
}

} // namespace trayworth::output
