#include "output/json_writer.hpp"

#include <algorithm>

#include <nlohmann/json.hpp>

namespace trayworth::output {

void JsonWriter::key(std::string_view name) {
    text(name);
    out_ += layout_ == Layout::pretty ? ": " : ":";
    after_key_ = true;
}

void JsonWriter::text(std::string_view value) {
    separate();
    const bool plain_text = std::none_of(value.begin(), value.end(), [](char c) {
        const auto byte = static_cast<unsigned char>(c);
        return byte < 0x20 || c == '"' || c == '\\' || byte >= 0x7F;
    });
    if (plain_text) {
        out_ += '"';
        out_ += value;
        out_ += '"';
    } else {
        out_ +=
            nlohmann::json(value).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
    }
}

void JsonWriter::open(char bracket) {
    separate();
    out_ += bracket;
    filled_.push_back(false);
    ++depth_;
}

void JsonWriter::close(char bracket) {
    --depth_;
    if (filled_.back()) {
        new_line();
    }
    filled_.pop_back();
    out_ += bracket;
}

void JsonWriter::separate() {
    if (after_key_) {
        after_key_ = false;
        return;
    }
    if (filled_.empty()) {
        return;
    }
    if (filled_.back()) {
        out_ += ',';
    }
    filled_.back() = true;
    new_line();
}

void JsonWriter::new_line() {
    if (layout_ == Layout::pretty) {
        out_ += '\n';
        out_.append(static_cast<std::size_t>(depth_) * 2, ' ');
    }
}

} // namespace trayworth::output
