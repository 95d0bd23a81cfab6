// The five characters and where they matter: WHATWG HTML, 13.1.2.3 and 13.3 (from memory).
#include "output/html_text.hpp"

#include "output/safe_text.hpp"

#include <fmt/format.h>

namespace trayworth::output {

std::string escaped(std::string_view text) {
    std::string result;
    result.reserve(text.size());
    for (const char c : safe(text)) {
        switch (c) {
        case '&':
            result += "&amp;";
            break;
        case '<':
            result += "&lt;";
            break;
        case '>':
            result += "&gt;";
            break;
        case '"':
            result += "&quot;";
            break;
        case '\'':
            result += "&#39;";
            break;
        default:
            result += c;
        }
    }
    return result;
}

std::string isolated(std::string_view text) {
    return "<bdi>" + escaped(text) + "</bdi>";
}

std::string element(std::string_view tag, std::string_view name, std::string_view html) {
    return fmt::format(R"(<{0} class="{1}">{2}</{0}>)", tag, name, html);
}

} // namespace trayworth::output
