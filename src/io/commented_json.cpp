#include "io/commented_json.hpp"

#include "io/bytes.hpp"
#include "io/locate.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace trayworth::io {
namespace {

constexpr std::size_t line_width = 100;
constexpr std::size_t step = 2; // of indentation

// ---- reading

// What stands between two tokens.
struct Gap {
    Remarks on_line; // before the first line break
    Remarks own_lines;
    bool breaks = false;
};

Gap read_gap(std::string_view text) {
    Gap gap;
    std::size_t line_breaks = 0; // since the last comment
    std::size_t at = 0;
    while (at < text.size()) {
        if (text[at] == '\n' || (text[at] == '\r' && text.substr(at, 2) != "\r\n")) {
            ++line_breaks;
            gap.breaks = true;
        }
        if (text[at] != '/') {
            ++at;
            continue;
        }
        const bool line = text[at + 1] == '/';
        const std::size_t end =
            line ? std::min(text.find_first_of("\r\n", at), text.size()) : text.find("*/", at) + 2;
        std::string comment(without_blanks_behind(text.substr(at, end - at)));
        std::erase(comment, '\r');
        if (gap.breaks && line_breaks > 1) {
            gap.own_lines.emplace_back();
        }
        (gap.breaks ? gap.own_lines : gap.on_line).push_back(std::move(comment));
        line_breaks = 0;
        at = end;
    }
    if (line_breaks > 1) {
        gap.own_lines.emplace_back();
    }
    return gap;
}

void append(Remarks& to, Remarks&& more) {
    std::move(more.begin(), more.end(), std::back_inserter(to));
}

class TreeBuilder {
public:
    explicit TreeBuilder(std::string_view text) : text_(text) {}

    JsonDocument build() {
        JsonDocument document;
        const std::vector<Token> tokens = tokens_of(text_);
        std::size_t passed = text_.starts_with("\xEF\xBB\xBF") ? 3 : 0;
        for (const Token& token : tokens) {
            take_gap(read_gap(text_.substr(passed, token.begin - passed)),
                     token.kind == Token::Kind::close);
            take_token(token, document);
            passed = token.end;
        }
        Gap rest = read_gap(text_.substr(passed));
        document.root.beside = std::move(rest.on_line);
        drop_blanks_at_end(rest.own_lines);
        document.below = std::move(rest.own_lines);
        return document;
    }

private:
    static void drop_blanks_at_end(Remarks& remarks) {
        while (!remarks.empty() && remarks.back().empty()) {
            remarks.pop_back();
        }
    }

    void take_gap(Gap&& gap, bool closes) {
        if (!key_.empty()) {
            std::erase(gap.own_lines, ""); // a blank line between a key and its value
        }
        if (last_ != nullptr) {
            append(last_->beside, std::move(gap.on_line));
        } else {
            append(above_, std::move(gap.on_line));
        }
        const bool first = last_ == nullptr && above_.empty();
        if (first && !gap.own_lines.empty() && gap.own_lines.front().empty()) {
            gap.own_lines.erase(gap.own_lines.begin());
        }
        append(above_, std::move(gap.own_lines));
        if (opened_) {
            open_.back()->over_lines = gap.breaks;
            opened_ = false;
        }
        if (closes) {
            drop_blanks_at_end(above_);
            open_.back()->at_end = std::move(above_);
            above_.clear();
        }
    }

    void take_token(const Token& token, JsonDocument& document) {
        const std::string_view text = text_.substr(token.begin, token.end - token.begin);
        switch (token.kind) {
        case Token::Kind::key:
            key_ = text;
            last_ = nullptr; // what stands between a key and its value goes above
            break;
        case Token::Kind::scalar:
            last_ = &add_node(document);
            last_->text = text;
            break;
        case Token::Kind::open: {
            JsonNode& node = add_node(document);
            node.kind = text == "{" ? JsonNode::Kind::object : JsonNode::Kind::array;
            open_.push_back(&node);
            opened_ = true;
            last_ = nullptr;
            break;
        }
        case Token::Kind::close:
            last_ = open_.back();
            open_.pop_back();
            break;
        }
    }

    // The pointers in open_ stay good: only the last of them gets children.
    JsonNode& add_node(JsonDocument& document) {
        JsonNode& node = open_.empty() ? document.root : open_.back()->children.emplace_back();
        node.key = std::exchange(key_, {});
        node.above = std::exchange(above_, {});
        return node;
    }

    std::string_view text_;
    std::vector<JsonNode*> open_;
    JsonNode* last_ = nullptr; // what a comment on the same line belongs to
    bool opened_ = false;      // the token before was an opening bracket
    std::string key_;
    Remarks above_; // of the value to come
};

// ---- writing

std::size_t width_of(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    }));
}

std::string padded(std::string text, std::size_t width) {
    text.append(width - std::min(width, width_of(text)), ' ');
    return text;
}

bool has_inner_comments(const JsonNode& node) {
    return !node.at_end.empty() ||
           std::any_of(node.children.begin(), node.children.end(), [](const JsonNode& child) {
               return !child.above.empty() || !child.beside.empty() || has_inner_comments(child);
           });
}

std::string key_part(const JsonNode& node) {
    return node.key.empty() ? "" : node.key + ": ";
}

// The value on one line, without its own key.
std::string flat(const JsonNode& node) {
    if (node.kind == JsonNode::Kind::scalar) {
        return node.text;
    }
    std::string inner;
    for (const JsonNode& child : node.children) {
        inner += (inner.empty() ? "" : ", ") + key_part(child) + flat(child);
    }
    return node.kind == JsonNode::Kind::object ? "{" + inner + "}" : "[" + inner + "]";
}

bool is_pair(const JsonNode& node) {
    return node.kind == JsonNode::Kind::array && node.children.size() == 2 &&
           node.children[0].kind == JsonNode::Kind::scalar &&
           node.children[1].kind == JsonNode::Kind::scalar;
}

// A pair in two pieces, so that its ends can stand in columns; anything else in one.
std::vector<std::string> pieces_of_value(const JsonNode& node) {
    if (is_pair(node)) {
        return {"[" + node.children[0].text + ",", node.children[1].text + "]"};
    }
    return {flat(node)};
}

std::vector<std::string> pieces_of_line(const JsonNode& node) {
    std::vector<std::string> pieces;
    if (!node.key.empty()) {
        pieces.push_back(node.key + ":");
    }
    const bool members = node.kind == JsonNode::Kind::object && node.key.empty();
    if (!members || node.children.empty()) {
        for (std::string& piece : pieces_of_value(node)) {
            pieces.push_back(std::move(piece));
        }
        return pieces;
    }
    for (std::size_t i = 0; i < node.children.size(); ++i) {
        const JsonNode& child = node.children[i];
        std::vector<std::string> own = pieces_of_value(child);
        own.front().insert(0, (i == 0 ? "{" : "") + key_part(child));
        own.back() += i + 1 == node.children.size() ? "}" : ",";
        std::move(own.begin(), own.end(), std::back_inserter(pieces));
    }
    return pieces;
}

// Lines of pieces with one blank between columns; the last piece of a line takes what it needs.
std::vector<std::string> in_columns(const std::vector<std::vector<std::string>>& lines) {
    std::vector<std::size_t> widths;
    for (const std::vector<std::string>& pieces : lines) {
        widths.resize(std::max(widths.size(), pieces.size()));
        for (std::size_t i = 0; i + 1 < pieces.size(); ++i) {
            widths[i] = std::max(widths[i], width_of(pieces[i]));
        }
    }
    std::vector<std::string> written;
    for (const std::vector<std::string>& pieces : lines) {
        std::string& line = written.emplace_back();
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            line += i + 1 < pieces.size() ? padded(pieces[i], widths[i]) + " " : pieces[i];
        }
    }
    return written;
}

// Rows of cells, the ends of pairs set right in columns of their own.
std::vector<std::string> in_cells(const JsonNode& table) {
    struct Column {
        std::size_t low = 0;
        std::size_t high = 0;
        std::size_t whole = 0;
    };
    std::vector<Column> columns;
    for (const JsonNode& row : table.children) {
        columns.resize(std::max(columns.size(), row.children.size()));
        for (std::size_t i = 0; i < row.children.size(); ++i) {
            const JsonNode& cell = row.children[i];
            if (is_pair(cell)) {
                columns[i].low = std::max(columns[i].low, width_of(cell.children[0].text));
                columns[i].high = std::max(columns[i].high, width_of(cell.children[1].text));
            } else {
                columns[i].whole = std::max(columns[i].whole, width_of(flat(cell)));
            }
        }
    }
    std::vector<std::string> written;
    for (const JsonNode& row : table.children) {
        std::string& line = written.emplace_back("[");
        for (std::size_t i = 0; i < row.children.size(); ++i) {
            const JsonNode& cell = row.children[i];
            const Column& column = columns[i];
            const std::size_t pair_width = column.low == 0 ? 0 : column.low + column.high + 4;
            const std::string text =
                is_pair(cell) ? fmt::format("[{:>{}}, {:>{}}]", cell.children[0].text, column.low,
                                            cell.children[1].text, column.high)
                              : flat(cell);
            const std::size_t width = std::max(pair_width, column.whole);
            line += i + 1 == row.children.size() ? padded(text, width)
                                                 : padded(text + ",", width + 1) + " ";
        }
        line += "]";
    }
    return written;
}

class TreeWriter {
public:
    std::string write(const JsonDocument& document) {
        remarks(document.root.above, 0);
        value(document.root, 0, "");
        beside(document.root.beside);
        out_ += '\n';
        remarks(document.below, 0);
        return std::move(out_);
    }

private:
    void remarks(const Remarks& lines, std::size_t indent) {
        for (const std::string& line : lines) {
            out_ += line.empty() ? "\n" : std::string(indent, ' ') + line + "\n";
        }
    }

    void beside(const Remarks& comments) {
        for (const std::string& comment : comments) {
            out_ += " " + comment;
        }
    }

    // The value where the line has come to; `comma` follows it.
    void value(const JsonNode& node, std::size_t indent, const std::string& comma) {
        if (node.kind == JsonNode::Kind::scalar || !over_lines(node, comma)) {
            out_ += flat(node) + comma;
            return;
        }
        const bool object = node.kind == JsonNode::Kind::object;
        out_ += object ? "{\n" : "[\n";
        const std::size_t inside = indent + step;
        const bool columns = node.layout != JsonNode::Layout::plain && !comments_within(node);
        columns ? lines_in_columns(node, inside) : lines(node, inside);
        remarks(node.at_end, inside);
        out_ += std::string(indent, ' ') + (object ? "}" : "]") + comma;
    }

    [[nodiscard]] bool over_lines(const JsonNode& node, const std::string& comma) const {
        return node.over_lines || node.layout != JsonNode::Layout::plain ||
               has_inner_comments(node) ||
               line_length() + width_of(flat(node)) + comma.size() > line_width;
    }

    [[nodiscard]] std::size_t line_length() const {
        const std::size_t begin = out_.rfind('\n') + 1; // npos + 1 is 0
        return width_of(std::string_view(out_).substr(begin));
    }

    static bool comments_within(const JsonNode& node) {
        return std::any_of(node.children.begin(), node.children.end(), has_inner_comments);
    }

    void lines(const JsonNode& node, std::size_t indent) {
        for (const JsonNode& child : node.children) {
            remarks(child.above, indent);
            out_ += std::string(indent, ' ') + key_part(child);
            const std::string comma = &child == &node.children.back() ? "" : ",";
            const bool fits = line_length() + width_of(flat(child)) + comma.size() <= line_width;
            if (child.kind == JsonNode::Kind::scalar && !child.key.empty() && !fits) {
                out_.pop_back();
                out_ += "\n" + std::string(indent + step, ' ');
            }
            value(child, indent, comma);
            beside(child.beside);
            out_ += '\n';
        }
    }

    void lines_in_columns(const JsonNode& node, std::size_t indent) {
        std::vector<std::string> written;
        if (node.layout == JsonNode::Layout::cells) {
            written = in_cells(node);
        } else {
            std::vector<std::vector<std::string>> pieces;
            for (const JsonNode& child : node.children) {
                pieces.push_back(pieces_of_line(child));
            }
            written = in_columns(pieces);
        }
        std::size_t widest_commented = 0;
        for (std::size_t i = 0; i < written.size(); ++i) {
            written[i] += i + 1 < written.size() ? "," : "";
            if (!node.children[i].beside.empty()) {
                widest_commented = std::max(widest_commented, width_of(written[i]));
            }
        }
        for (std::size_t i = 0; i < written.size(); ++i) {
            const JsonNode& child = node.children[i];
            remarks(child.above, indent);
            out_ += std::string(indent, ' ') +
                    padded(written[i], child.beside.empty() ? 0 : widest_commented);
            beside(child.beside);
            out_ += '\n';
        }
    }

    std::string out_;
};

} // namespace

const JsonNode* JsonNode::find(std::string_view name) const {
    const auto found =
        std::find_if(children.begin(), children.end(), [name](const JsonNode& child) {
            return !child.key.empty() && unquoted(child.key) == name;
        });
    return found == children.end() ? nullptr : &*found;
}

JsonNode* JsonNode::find(std::string_view name) {
    return const_cast<JsonNode*>(std::as_const(*this).find(name));
}

JsonDocument read_commented(std::string_view text) {
    return TreeBuilder(text).build();
}

std::string write_commented(const JsonDocument& document) {
    return TreeWriter().write(document);
}

std::string on_one_line(const JsonNode& node) {
    return flat(node);
}

std::string json_string(std::string_view text) {
    return nlohmann::json(text).dump();
}

std::string unquoted(std::string_view json_string) {
    return nlohmann::json::parse(json_string).get<std::string>();
}

Remarks take_inner_comments(JsonNode& node) {
    Remarks all;
    for (JsonNode& child : node.children) {
        append(all, std::exchange(child.above, {}));
        append(all, take_inner_comments(child));
        append(all, std::exchange(child.beside, {}));
    }
    append(all, std::exchange(node.at_end, {}));
    std::erase(all, "");
    return all;
}

} // namespace trayworth::io
