// What is printed, line by line.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

namespace trayworth::test {

// Each line of a text, without its end; the last one must have an end too.
inline std::vector<std::string> lines_of(std::string_view text) {
    std::vector<std::string> lines;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        REQUIRE(end != std::string_view::npos);
        lines.emplace_back(text.substr(0, end));
        text.remove_prefix(end + 1);
    }
    return lines;
}

} // namespace trayworth::test
