#include "output/json_writer.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>

#include <nlohmann/json.hpp>

namespace trayworth::output {
namespace {

// Bytes that stand in a JSON string as they are.
constexpr std::array<bool, 256> make_plain() {
    std::array<bool, 256> plain{};
    for (unsigned byte = 0x20; byte < 0x7F; ++byte) {
        plain[byte] = byte != '"' && byte != '\\';
    }
    return plain;
}
constexpr std::array<bool, 256> is_plain = make_plain();

} // namespace

void JsonWriter::key(std::string_view name) {
    text(name);
    if (layout_ == Layout::pretty) {
        out_ += ": ";
    } else {
        out_ += ':';
    }
    after_key_ = true;
}

void JsonWriter::text(std::string_view value) {
    separate();
    const bool all_plain = std::all_of(
        value.begin(), value.end(), [](char c) { return is_plain[static_cast<unsigned char>(c)]; });
    if (all_plain) {
        out_ += '"';
        out_ += value;
        out_ += '"';
    } else {
        out_ +=
            nlohmann::json(value).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
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
