#include "io/fitted_matrix.hpp"

#include "core/decimal.hpp"
#include "core/diagnostic.hpp"
#include "io/commented_json.hpp"

#include <algorithm>
#include <array>
#include <charconv>

namespace trayworth::io {
namespace {

constexpr int significant = 15;

JsonNode number(double value) {
    JsonNode node;
    node.text = trayworth::shortest(value, significant);
    return node;
}

// Changes the value and leaves its comments.
void put(JsonNode& node, const NewSpread& spread) {
    const bool single = spread.low == spread.high;
    node.kind = single ? JsonNode::Kind::scalar : JsonNode::Kind::array;
    node.over_lines = false;
    node.text = single ? number(spread.low).text : "";
    node.children.clear();
    if (!single) {
        node.children = {number(spread.low), number(spread.high)};
    }
}

JsonNode& child(JsonNode& node, const std::string& token) {
    if (node.kind == JsonNode::Kind::object) {
        return *node.find(token);
    }
    std::size_t index = 0;
    std::from_chars(token.data(), token.data() + token.size(), index);
    return node.children[index];
}

// Columns of numbers stay columns, those of tables without a change too.
void line_up(JsonNode& table) {
    if (table.key == "\"per_carat\"") {
        table.layout = JsonNode::Layout::cells;
        return;
    }
    if (table.over_lines && !table.children.front().over_lines) {
        table.layout = JsonNode::Layout::aligned;
    }
    std::for_each(table.children.begin(), table.children.end(), line_up);
}

void line_up_tables(JsonNode& node) {
    constexpr std::array<std::string_view, 4> tables{"\"per_carat\"", "\"points\"", "\"values\"",
                                                     "\"market_levels\""};
    for (JsonNode& child : node.children) {
        const bool table = std::find(tables.begin(), tables.end(), child.key) != tables.end();
        table ? line_up(child) : line_up_tables(child);
    }
}

void put_at(JsonNode& root, const NewSpread& spread) {
    JsonNode* node = &root;
    for (const std::string& token : pointer_tokens(spread.pointer)) {
        node = &child(*node, token);
    }
    put(*node, spread);
}

} // namespace

std::string
with_numbers(std::string_view matrix, std::span<const NewSpread> numbers, const NewHead& head) {
    JsonDocument document = read_commented(matrix);
    for (const NewSpread& spread : numbers) {
        put_at(document.root, spread);
    }
    line_up_tables(document.root);
    document.root.find("as_of")->text = json_string(head.as_of);
    document.root.find("provenance")->text = json_string(head.provenance);
    return write_commented(document);
}

} // namespace trayworth::io
