// A JSON text with what a parser throws away: comments, blank lines, the order of keys and how
// numbers are spelt. For documents that people edit.
//
// Each comment belongs to a value: above it, on lines of their own; beside it, behind it on its
// line; or at the end of an object or array, in front of its closing bracket. Writing a document
// and reading it again gives the same document.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::io {

using Remarks = std::vector<std::string>; // with // or /* */; "" stands for a blank line

struct JsonNode {
    enum class Kind : std::uint8_t { scalar, array, object };
    enum class Layout : std::uint8_t {
        plain,   // on one line if it was and fits there, else over lines
        aligned, // a child a line, names and pairs in columns
        cells,   // an array of arrays, a row a line, cells in columns
    };

    Kind kind = Kind::scalar;
    std::string key;  // of a member, as written, quotation marks and all
    std::string text; // of a scalar, as written
    std::vector<JsonNode> children;
    Remarks above;
    Remarks beside; // no blank lines in it
    Remarks at_end;
    bool over_lines = false; // of an object or array: its first child began a line
    Layout layout = Layout::plain;

    [[nodiscard]] const JsonNode* find(std::string_view name) const;
    JsonNode* find(std::string_view name);
};

struct JsonDocument {
    JsonNode root;
    Remarks below; // after the root
};

// Requires a text that is JSON but for comments.
JsonDocument read_commented(std::string_view text);

// Lines of 100 characters where they can be, two blanks of indentation, ended by a line break.
std::string write_commented(const JsonDocument& document);

// A value alone, without its comments.
std::string on_one_line(const JsonNode& node);

// A string of JSON for a text in UTF-8, and back.
std::string json_string(std::string_view text);
std::string unquoted(std::string_view json_string);

// All comments of a value's children, and at its end, taken off them; in order, without blank
// lines.
Remarks take_inner_comments(JsonNode& node);

} // namespace trayworth::io
