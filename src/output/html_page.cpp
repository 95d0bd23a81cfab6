#include "output/html_page.hpp"

#include "output/html_style.hpp"
#include "output/html_text.hpp"
#include "output/statement.hpp"

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// Even if a text were to get past the escaping, nothing on the page may run or be fetched.
constexpr std::string_view policy = "default-src 'none'; style-src 'unsafe-inline'";

std::string caution_paragraphs(const pricing::Matrix& matrix) {
    std::string text;
    for (const std::string& sentence : cautions(matrix)) {
        text += "<p>" + isolated(sentence) + "</p>\n";
    }
    return text;
}

} // namespace

std::string html_head(std::string_view title, std::string_view style) {
    return fmt::format("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                       "<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n"
                       "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                       "<meta name=\"color-scheme\" content=\"light dark\">\n"
                       "<title>{}</title>\n<style>\n{}{}</style>\n</head>\n",
                       policy, escaped(title), base_style, style);
}

std::string html_top(const pricing::Matrix& matrix, std::string_view level, bool several) {
    const std::string_view title =
        several ? "Opals valued: tray sheet" : "Opal valued: stone sheet";
    std::string text = html_head(title, sheet_style);
    text += fmt::format("<body{}>\n", matrix.invented ? " class=\"invented\"" : "");
    text += "<header class=\"page\">\n<div>\n";
    text += fmt::format("<h1>{}</h1>\n", several ? "Tray sheet" : "Stone sheet");
    text += "<p class=\"basis\">" + isolated(basis_sentence(matrix, level)) + "</p>\n";
    if (several) {
        text += "<nav aria-label=\"On this page\"><a href=\"#tray\">Total, axis and table of the "
                "tray</a></nav>\n";
    }
    return text + "</div>\n<div class=\"cautions\">\n" + caution_paragraphs(matrix) +
           "</div>\n</header>\n<main>\n";
}

std::string html_article(std::size_t number, std::string_view content) {
    return fmt::format("<article class=\"stone\" id=\"stone-{}\">\n{}</article>\n", number,
                       content);
}

std::string html_bottom(const pricing::Matrix& matrix) {
    return "</main>\n<footer>\n" + caution_paragraphs(matrix) + "</footer>\n</body>\n</html>\n";
}

} // namespace trayworth::output
