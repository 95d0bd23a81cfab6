// Writes every Unicode scalar value that safe() replaces, a line each in hexadecimal, and fails
// when safe_json() escapes another one, or one wrongly. For unseen.py.
#include "output/safe_text.hpp"

#include <cstdint>
#include <iostream>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

using namespace trayworth;

namespace {

std::string utf8(std::uint32_t code) {
    const auto byte = [](std::uint32_t value) { return static_cast<char>(value); };
    const auto rest = [&](unsigned shift) { return byte(0x80U | (code >> shift & 0x3FU)); };
    if (code < 0x80) {
        return {byte(code)};
    }
    if (code < 0x800) {
        return {byte(0xC0U | code >> 6U), rest(0)};
    }
    if (code < 0x10000) {
        return {byte(0xE0U | code >> 12U), rest(6), rest(0)};
    }
    return {byte(0xF0U | code >> 18U), rest(12), rest(6), rest(0)};
}

} // namespace

int main() {
    int faults = 0;
    for (std::uint32_t code = 0; code <= 0x10FFFF; ++code) {
        if (code >= 0xD800 && code <= 0xDFFF) {
            continue;
        }
        const std::string text = utf8(code);
        const bool unseen = output::safe(text) != text;
        if (unseen) {
            std::cout << fmt::format("{:X}\n", code);
        }
        const bool blank = code == '\t' || code == '\n' || code == '\r';
        if (blank || (code < 0x20) || code == '"' || code == '\\') {
            continue; // as JSON has it
        }
        const std::string json = output::safe_json('"' + text + '"');
        const bool escaped = json != '"' + text + '"';
        if (escaped != unseen || nlohmann::json::parse(json).get<std::string>() != text) {
            std::cerr << fmt::format("U+{:04X} as JSON: {}\n", code, json);
            ++faults;
        }
    }
    return faults == 0 ? 0 : 1;
}
