#include "io/record_draft.hpp"

#include "core/bounds.hpp"
#include "core/utf8.hpp"
#include "io/locate.hpp"
#include "io/record_fields.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace trayworth::io {
namespace {

using Kind = JsonNode::Kind;

// ---- pointers

std::string pointer_through(std::span<const std::string> tokens) {
    std::string pointer;
    for (const std::string& token : tokens) {
        pointer += "/" + pointer_token(token);
    }
    return pointer;
}

constexpr std::string_view behind_last = "-";

std::optional<std::size_t> index_in(const JsonNode& array, std::string_view token) {
    const std::size_t size = array.children.size();
    if (token == behind_last) {
        return size;
    }
    constexpr std::size_t most_digits = 9;
    const bool number = !token.empty() && token.size() <= most_digits &&
                        token.find_first_not_of("0123456789") == std::string_view::npos &&
                        (token.size() == 1 || token.front() != '0');
    if (!number) {
        return std::nullopt;
    }
    const std::size_t index = std::stoul(std::string(token));
    return index <= size ? std::optional(index) : std::nullopt;
}

const JsonNode* child_of(const JsonNode& node, std::string_view token) {
    if (node.kind == Kind::object) {
        return node.find(token);
    }
    if (node.kind == Kind::array) {
        const std::optional<std::size_t> index = index_in(node, token);
        return index && *index < node.children.size() ? &node.children[*index] : nullptr;
    }
    return nullptr;
}

JsonNode* child_of(JsonNode& node, std::string_view token) {
    return const_cast<JsonNode*>(child_of(std::as_const(node), token));
}

const JsonNode* node_at(const JsonNode& root, std::span<const std::string> tokens) {
    const JsonNode* node = &root;
    for (const std::string& token : tokens) {
        node = child_of(*node, token);
        if (node == nullptr) {
            return nullptr;
        }
    }
    return node;
}

// ---- the order of fields

// The fields of an object that stands under this name, or in an array of this name.
std::span<const Field> fields_under(std::string_view name) {
    static constexpr std::array<std::pair<std::string_view, Place>, 10> places{{
        {"", Place::record},
        {"tray", Place::record},
        {"stones", Place::record},
        {"brightness", Place::brightness},
        {"play_of_colour", Place::play_of_colour},
        {"colours", Place::colour},
        {"faults", Place::fault},
        {"dimensions_mm", Place::dimensions},
        {"cost", Place::cost},
        {"sale", Place::sale},
    }};
    const auto* const found = std::find_if(
        places.begin(), places.end(), [name](const auto& place) { return place.first == name; });
    return fields_of(found != places.end() ? found->second
                     : name == "cut"       ? Place::cut
                                           : Place::reading);
}

std::optional<std::size_t> rank_of(std::string_view name, std::span<const Field> fields) {
    const auto found = std::find_if(fields.begin(), fields.end(),
                                    [name](Field field) { return name_of(field) == name; });
    return found == fields.end() ? std::nullopt
                                 : std::optional(static_cast<std::size_t>(found - fields.begin()));
}

// Behind the last of the fields that stand before it in the format; what has no place there goes to
// the end.
JsonNode&
insert_member(JsonNode& object, std::string_view name, std::string_view under, JsonNode value) {
    value.key = json_string(name);
    const std::span<const Field> fields = fields_under(under);
    std::size_t at = object.children.size();
    if (const std::optional<std::size_t> rank = rank_of(name, fields)) {
        at = 0;
        for (std::size_t i = 0; i < object.children.size(); ++i) {
            const auto other = rank_of(unquoted(object.children[i].key), fields);
            at = other && *other < *rank ? i + 1 : at;
        }
    }
    return *object.children.insert(object.children.begin() + static_cast<std::ptrdiff_t>(at),
                                   std::move(value));
}

// ---- values

std::size_t depth_of(std::string_view json) {
    std::size_t depth = 0;
    std::size_t deepest = 0;
    for (const Token& token : tokens_of(json)) {
        if (token.kind == Token::Kind::open) {
            deepest = std::max(deepest, ++depth);
        } else if (token.kind == Token::Kind::close) {
            --depth;
        }
    }
    return deepest;
}

bool is_utf8(std::string_view text) {
    while (!text.empty()) {
        const Utf8Character character = first_character(text);
        if (!character.valid) {
            return false;
        }
        text.remove_prefix(character.bytes);
    }
    return true;
}

JsonNode node_of(std::string_view json) {
    if (nlohmann::json::accept(json)) {
        return read_commented(json).root;
    }
    JsonNode scalar;
    scalar.text = json;
    return scalar;
}

std::string_view kind_of(const JsonNode& node) {
    return node.kind == Kind::object  ? "an object"
           : node.kind == Kind::array ? "an array"
           : node.text == "null"      ? "null"
                                      : "a single value";
}

Diagnostic fault(Code code, std::string pointer, std::string message, std::string hint) {
    return {code, severity_of(code), std::move(pointer), std::move(message), std::move(hint)};
}

std::optional<Diagnostic> no_pointer(std::string_view text) {
    if (is_pointer(text)) {
        return std::nullopt;
    }
    return fault(Code::usage, "", fmt::format("\"{}\" is no JSON Pointer to a field.", text),
                 "Begin it with a slash, as /body_tone or /cut/outline.");
}

Diagnostic cannot_hold(const JsonNode& node, std::span<const std::string> tokens) {
    const std::string& token = tokens.back();
    const std::string above = pointer_through(tokens.first(tokens.size() - 1));
    if (node.kind == Kind::array) {
        return fault(Code::value_range, above,
                     fmt::format("\"{}\" is no element of the array, which has {}.", token,
                                 node.children.size()),
                     "Count from 0, or write - for a new element at its end.");
    }
    return fault(Code::value_type, above,
                 fmt::format("There is {} here, which has no \"{}\".", kind_of(node), token),
                 "Set the whole of it, as an object.");
}

} // namespace

RecordDraft::RecordDraft(std::string_view json) : document_(read_commented(json)) {}

std::optional<Diagnostic> RecordDraft::set(std::string_view pointer, std::string_view json) {
    if (std::optional<Diagnostic> wrong = no_pointer(pointer)) {
        return wrong;
    }
    const std::vector<std::string> tokens = pointer_tokens(pointer);
    JsonNode* node = &document_.root;
    std::string_view under; // the name that the node stands under
    for (std::size_t i = 0; i < tokens.size(); ++i) {
        const std::string& token = tokens[i];
        JsonNode* child = child_of(*node, token);
        const bool last = i + 1 == tokens.size();
        if (last && child != nullptr) {
            JsonNode value = node_of(json);
            child->kind = value.kind;
            child->text = std::move(value.text);
            child->children = std::move(value.children);
            child->over_lines = value.over_lines;
            return std::nullopt;
        }
        if (child == nullptr) {
            JsonNode made;
            if (last) {
                made = node_of(json);
            } else {
                const bool list = tokens[i + 1] == "0" || tokens[i + 1] == behind_last;
                made.kind = list ? Kind::array : Kind::object;
            }
            if (node->kind == Kind::object) {
                child = &insert_member(*node, token, under, std::move(made));
            } else if (node->kind == Kind::array && index_in(*node, token)) {
                child = &node->children.emplace_back(std::move(made));
            } else {
                return cannot_hold(*node, std::span(tokens).first(i + 1));
            }
        }
        under = node->kind == Kind::object ? std::string_view(token) : under;
        node = child;
    }
    return std::nullopt;
}

std::optional<Diagnostic> RecordDraft::unset(std::string_view pointer) {
    if (std::optional<Diagnostic> wrong = no_pointer(pointer)) {
        return wrong;
    }
    const std::vector<std::string> tokens = pointer_tokens(pointer);
    if (node_at(document_.root, tokens) == nullptr) {
        return fault(Code::field_missing, std::string(pointer), "There is nothing to take out.",
                     "Look at the pointer: arrays count from 0.");
    }
    for (std::size_t depth = tokens.size(); depth > 0; --depth) {
        const std::span<const std::string> above = std::span(tokens).first(depth - 1);
        auto& parent = const_cast<JsonNode&>(*node_at(document_.root, above));
        const JsonNode* gone = child_of(parent, tokens[depth - 1]);
        parent.children.erase(parent.children.begin() + (gone - parent.children.data()));
        if (parent.kind == Kind::array || !parent.children.empty()) {
            break;
        }
    }
    return std::nullopt;
}

std::optional<std::string> RecordDraft::at(std::string_view pointer) const {
    const JsonNode* node = node_at(document_.root, pointer_tokens(pointer));
    return node == nullptr ? std::nullopt : std::optional(on_one_line(*node));
}

bool RecordDraft::settles(std::string_view pointer) const {
    const JsonNode* node = &document_.root;
    for (const std::string& token : pointer_tokens(pointer)) {
        if (node->kind == Kind::scalar) {
            return true;
        }
        node = child_of(*node, token);
        if (node == nullptr) {
            return false;
        }
    }
    return true;
}

std::optional<std::string> json_or_text(std::string_view given) {
    if (nlohmann::json::accept(given)) {
        return depth_of(given) < bounds::nesting ? std::optional(std::string(given)) : std::nullopt;
    }
    return text_in_json(given);
}

std::optional<std::string> text_in_json(std::string_view text) {
    return is_utf8(text) ? std::optional(json_string(text)) : std::nullopt;
}

} // namespace trayworth::io
