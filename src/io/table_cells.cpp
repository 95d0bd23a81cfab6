#include "io/table_cells.hpp"

#include "core/csv_field.hpp"
#include "io/bytes.hpp"

#include <algorithm>
#include <cctype>
#include <cstddef>

namespace trayworth::io {
namespace {

// One /* */ and nothing after it.
bool is_block(std::string_view text) {
    return text.starts_with("/*") && text.find("*/", 2) == text.size() - 2 && text.size() >= 4;
}

// Texts that a spreadsheet would keep as something else: a number, a date, a truth value.
bool would_change(std::string_view text) {
    std::string lower(text);
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return (!text.empty() && std::isdigit(static_cast<unsigned char>(text.front())) != 0) ||
           lower == "true" || lower == "false";
}

bool needs_guard(std::string_view text) {
    return text.starts_with('\'') || opens_formula(text) || would_change(text);
}

std::string_view without_guard(std::string_view cell) {
    return cell.starts_with('\'') ? cell.substr(1) : cell;
}

// A formula, with guards in front of it or without.
bool opens_guarded_formula(std::string_view text) {
    text.remove_prefix(std::min(text.find_first_not_of('\''), text.size()));
    return opens_formula(text);
}

} // namespace

std::string guarded_semicolons(std::string_view cell) {
    std::string result;
    for (std::size_t i = 0; i < cell.size(); ++i) {
        result += cell[i];
        if (cell[i] == ';' && opens_guarded_formula(cell.substr(i + 1))) {
            result += '\'';
        }
    }
    return result;
}

std::string plain_semicolons(std::string_view cell) {
    std::string result;
    for (std::size_t i = 0; i < cell.size(); ++i) {
        result += cell[i];
        const std::string_view rest = cell.substr(i + 1);
        if (cell[i] == ';' && rest.starts_with('\'') && opens_guarded_formula(rest)) {
            ++i;
        }
    }
    return result;
}

std::string name_cell(std::string_view name) {
    const bool guarded = name.empty() || needs_guard(name) || opens_comment(name);
    return (guarded ? "'" : "") + std::string(name);
}

std::string name_in(std::string_view cell) {
    return std::string(without_guard(cell));
}

bool opens_comment(std::string_view cell) {
    return cell.starts_with("//") || cell.starts_with("/*");
}

std::string comment_cell(std::string_view comment) {
    constexpr std::string_view marker = "// ";
    if (!comment.starts_with(marker)) {
        return std::string(comment);
    }
    const std::string words(comment.substr(marker.size()));
    if (words.starts_with(' ') || opens_comment(words)) {
        return std::string(comment);
    }
    return (needs_guard(words) ? "'" : "") + words;
}

Remarks comments_in(std::string_view cell) {
    std::string_view rest = without_blanks_behind(cell);
    if (is_block(rest)) {
        return {std::string(rest)};
    }
    rest = without_guard(rest);
    Remarks comments;
    while (!rest.empty()) {
        const std::size_t end = std::min(rest.find_first_of("\r\n"), rest.size());
        const std::string_view line = without_blanks_behind(rest.substr(0, end));
        if (!line.empty()) {
            comments.push_back((line.starts_with("//") ? "" : "// ") + std::string(line));
        }
        rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    return comments;
}

} // namespace trayworth::io
