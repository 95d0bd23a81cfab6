#include "io/written_json.hpp"

#include "io/parse_json.hpp"

#include <cstdint>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

// Builds the document as the parser goes.
class Builder final : public JsonHandler {
public:
    WrittenJson root{};

    bool null() override { return put(nullptr); }
    bool boolean(bool value) override { return put(value); }
    bool number_integer(nlohmann::json::number_integer_t value) override {
        return put_number(fmt::format("{}", value));
    }
    bool number_unsigned(nlohmann::json::number_unsigned_t value) override {
        return put_number(fmt::format("{}", value));
    }
    bool number_float(double, const std::string& text) override { return put_number(text); }
    bool string(std::string& value) override { return put(std::move(value)); }
    bool binary(nlohmann::json::binary_t&) override { return false; }
    bool start_object(std::size_t) override { return open(WrittenJson::object()); }
    bool end_object() override { return close(); }
    bool start_array(std::size_t) override { return open(WrittenJson::array()); }
    bool end_array() override { return close(); }
    bool key(std::string& name) override {
        key_ = std::move(name);
        return true;
    }
    bool parse_error(std::size_t, const std::string&, const nlohmann::json::exception&) override {
        return false;
    }

private:
    bool put_number(const std::string& text) {
        return put(WrittenJson::binary(std::vector<std::uint8_t>(text.begin(), text.end())));
    }

    WrittenJson& place() {
        if (open_.empty()) {
            return root;
        }
        if (open_.back()->is_array()) {
            open_.back()->push_back(nullptr);
            return open_.back()->back();
        }
        return (*open_.back())[key_];
    }
    bool put(WrittenJson value) {
        place() = std::move(value);
        return true;
    }
    bool open(WrittenJson empty) {
        // The element last put into a container stays where it is until it is closed.
        WrittenJson& at = place();
        at = std::move(empty);
        open_.push_back(&at);
        return true;
    }
    bool close() {
        open_.pop_back();
        return true;
    }

    std::vector<WrittenJson*> open_;
    std::string key_;
};

void write(const WrittenJson& value, std::string& out) {
    if (value.is_binary()) {
        const auto& digits = value.get_binary();
        out.append(digits.begin(), digits.end());
        return;
    }
    if (!value.is_structured()) {
        out += value.dump();
        return;
    }
    const bool object = value.is_object();
    out += object ? '{' : '[';
    bool first = true;
    for (const auto& [key, member] : value.items()) {
        out += first ? "" : ",";
        first = false;
        if (object) {
            out += WrittenJson(key).dump() + ":";
        }
        write(member, out);
    }
    out += object ? '}' : ']';
}

} // namespace

WrittenJson read_written(std::string_view text) {
    Builder builder;
    parse_json(text, builder, true);
    return std::move(builder.root);
}

std::string text_of(const WrittenJson& document) {
    std::string out;
    write(document, out);
    return out;
}

} // namespace trayworth::io
