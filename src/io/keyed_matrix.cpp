#include "io/keyed_matrix.hpp"

#include "core/diagnostic.hpp"

#include <algorithm>
#include <charconv>
#include <cstdint>
#include <functional>
#include <system_error>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

WrittenJson number_from(const std::string& digits) {
    return WrittenJson::binary(std::vector<std::uint8_t>(digits.begin(), digits.end()));
}

// Whether `value` is an array of objects that each have a member `name` for which `good` holds.
template<class Good>
bool is_list_by(const WrittenJson& value, const char* name, Good good) {
    return value.is_array() &&
           std::all_of(value.begin(), value.end(), [&](const WrittenJson& item) {
               return item.is_object() && item.contains(name) && good(item[name]);
           });
}

bool is_text(const WrittenJson& value) {
    return value.is_string();
}
bool is_number(const WrittenJson& value) {
    return value.is_binary();
}

// ---- from lists to keys and back

bool has_axes(const WrittenJson& grid) {
    return grid.contains("body_tone") && grid["body_tone"].is_array() &&
           grid.contains("brightness") && grid["brightness"].is_array() &&
           std::all_of(grid["body_tone"].begin(), grid["body_tone"].end(), is_text) &&
           std::all_of(grid["brightness"].begin(), grid["brightness"].end(), is_number);
}

void key_cells(WrittenJson& grid) {
    if (!has_axes(grid) || !grid.contains("per_carat") || !grid["per_carat"].is_array()) {
        return;
    }
    const WrittenJson& tones = grid["body_tone"];
    const WrittenJson& steps = grid["brightness"];
    const WrittenJson& rows = grid["per_carat"];
    WrittenJson keyed = WrittenJson::object();
    for (std::size_t row = 0; row < rows.size() && row < tones.size(); ++row) {
        WrittenJson& cells = keyed[tones[row].get_ref<const std::string&>()];
        cells = WrittenJson::object();
        for (std::size_t column = 0; column < rows[row].size() && column < steps.size(); ++column) {
            cells[key_of(steps[column])] = rows[row][column];
        }
    }
    grid["per_carat"] = std::move(keyed);
}

void key_points(WrittenJson& factor) {
    if (!factor.contains("points") || !is_list_by(factor["points"], "at", is_number)) {
        return;
    }
    WrittenJson keyed = WrittenJson::object();
    for (const WrittenJson& point : factor["points"]) {
        keyed[key_of(point["at"])] = point.contains("factor") ? point["factor"] : WrittenJson();
    }
    factor["points"] = std::move(keyed);
}

void key_list(WrittenJson& root,
              const char* list,
              const std::function<void(WrittenJson&)>& key_item) {
    if (!root.contains(list) || !is_list_by(root[list], "name", is_text)) {
        return;
    }
    WrittenJson keyed = WrittenJson::object();
    for (WrittenJson& item : root[list]) {
        const std::string name = item["name"].get<std::string>();
        item.erase("name");
        key_item(item);
        keyed[name] = std::move(item);
    }
    root[list] = std::move(keyed);
}

void cells_to_rows(WrittenJson& grid) {
    if (!has_axes(grid) || !grid.contains("per_carat") || !grid["per_carat"].is_object()) {
        return;
    }
    const WrittenJson& keyed = grid["per_carat"];
    WrittenJson rows = WrittenJson::array();
    for (const WrittenJson& tone : grid["body_tone"]) {
        WrittenJson row = WrittenJson::array();
        const auto cells = keyed.find(tone.get_ref<const std::string&>());
        for (const WrittenJson& step : grid["brightness"]) {
            const bool there =
                cells != keyed.end() && cells->is_object() && cells->contains(key_of(step));
            row.push_back(there ? (*cells)[key_of(step)] : WrittenJson());
        }
        rows.push_back(std::move(row));
    }
    grid["per_carat"] = std::move(rows);
}

void points_to_list(WrittenJson& factor) {
    if (!factor.contains("points") || !factor["points"].is_object()) {
        return;
    }
    std::vector<std::pair<double, const WrittenJson*>> points;
    for (const auto& [key, value] : factor["points"].items()) {
        if (const std::optional<double> at = number_of(key)) {
            points.emplace_back(*at, &value);
        }
    }
    std::stable_sort(points.begin(), points.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    WrittenJson list = WrittenJson::array();
    for (const auto& [at, value] : points) {
        WrittenJson point = WrittenJson::object();
        point["at"] = number_from(shortest(at));
        point["factor"] = *value;
        list.push_back(std::move(point));
    }
    factor["points"] = std::move(list);
}

void list_of(WrittenJson& root,
             const char* list,
             const std::function<void(WrittenJson&)>& item_back) {
    if (!root.contains(list) || !root[list].is_object()) {
        return;
    }
    WrittenJson items = WrittenJson::array();
    for (auto& [name, item] : root[list].items()) {
        if (!item.is_object()) {
            items.push_back(std::move(item));
            continue;
        }
        WrittenJson whole = WrittenJson::object();
        whole["name"] = name;
        whole.update(item);
        item_back(whole);
        items.push_back(std::move(whole));
    }
    root[list] = std::move(items);
}

// ---- from a place in the whole to the place that it comes from

std::optional<std::size_t> index_of(const std::string& token) {
    std::size_t index = 0;
    const char* end = token.data() + token.size();
    const auto read = std::from_chars(token.data(), end, index);
    return read.ec == std::errc() && read.ptr == end ? std::optional(index) : std::nullopt;
}

// Goes down a matrix with lists, and finds what each element on the way is keyed by.
class Path {
public:
    Path(const WrittenJson& whole, std::string_view pointer) : at_(&whole) {
        for (const std::string& token : pointer_tokens(pointer)) {
            step(token);
        }
    }
    [[nodiscard]] const std::vector<Step>& steps() const { return steps_; }

private:
    void step(const std::string& token) {
        const std::optional<std::size_t> index =
            at_ != nullptr && at_->is_array() ? index_of(token) : std::nullopt;
        Step found{token, index};
        const std::size_t depth = steps_.size();
        if (depth == 1) {
            item_ = at_ != nullptr && index && *index < at_->size() ? &(*at_)[*index] : nullptr;
            if (item_ != nullptr && item_->is_object() && item_->contains("name") &&
                (*item_)["name"].is_string()) {
                found.key = (*item_)["name"].get<std::string>();
            }
        } else if (item_ != nullptr && depth == 3 && is("per_carat")) {
            name_by(found, "body_tone");
        } else if (item_ != nullptr && depth == 4 && is("per_carat")) {
            name_by(found, "brightness");
        } else if (item_ != nullptr && depth == 3 && is("points") && at_ != nullptr && index &&
                   *index < at_->size() && (*at_)[*index].contains("at")) {
            found.key = key_of((*at_)[*index]["at"]);
        }
        steps_.push_back(std::move(found));
        down(token, index);
    }

    [[nodiscard]] bool is(std::string_view member) const { return steps_[2].key == member; }

    void name_by(Step& token, const char* axis) const {
        if (token.index && item_->contains(axis) && *token.index < (*item_)[axis].size()) {
            token.key = key_of((*item_)[axis][*token.index]);
        }
    }

    void down(const std::string& token, std::optional<std::size_t> index) {
        if (at_ == nullptr) {
            return;
        }
        if (at_->is_object()) {
            const auto found = at_->find(token);
            at_ = found == at_->end() ? nullptr : &*found;
        } else {
            at_ = index && *index < at_->size() ? &(*at_)[*index] : nullptr;
        }
    }

    const WrittenJson* at_;
    const WrittenJson* item_ = nullptr; // the grid or factor
    std::vector<Step> steps_;
};

class Follower {
public:
    explicit Follower(const WrittenJson& document) : at_(&document) {}

    Reached follow(const std::vector<Step>& steps) {
        Reached reached;
        for (const Step& token : steps) {
            if (token.key == "factor" && in_keyed_points_) {
                in_keyed_points_ = false; // the point itself is the factor
                continue;
            }
            const std::optional<std::string> step = step_to(token, reached.depth, steps);
            if (!step) {
                reached.settles = !is_keyed(reached.depth, steps);
                return reached;
            }
            reached.pointer += "/" + pointer_token(*step);
            ++reached.depth;
        }
        reached.settles = true;
        return reached;
    }

private:
    std::optional<std::string>
    step_to(const Step& token, std::size_t depth, const std::vector<Step>& steps) {
        if (at_->is_object()) {
            const auto found = at_->find(token.key);
            if (found == at_->end()) {
                return std::nullopt;
            }
            in_keyed_points_ = depth == 3 && steps[2].key == "points";
            return to(*found, token.key, depth);
        }
        if (!at_->is_array()) {
            return std::nullopt;
        }
        const std::optional<std::size_t> index = index_in_array(token, depth, steps);
        return index && *index < at_->size()
                   ? std::optional(to((*at_)[*index], std::to_string(*index), depth))
                   : std::nullopt;
    }

    // Whether what is not here may be in a document that this one is merged over.
    [[nodiscard]] bool is_keyed(std::size_t depth, const std::vector<Step>& steps) const {
        const bool list = depth == 1 || (depth == 3 && steps[2].key == "points") ||
                          ((depth == 3 || depth == 4) && steps[2].key == "per_carat");
        return at_->is_object() || (at_->is_array() && list);
    }

    std::string to(const WrittenJson& next, std::string token, std::size_t depth) {
        at_ = &next;
        if (depth == 1) {
            item_ = &next;
        }
        return token;
    }

    std::optional<std::size_t>
    index_in_array(const Step& token, std::size_t depth, const std::vector<Step>& steps) const {
        const auto position = [](const WrittenJson& list,
                                 const auto& good) -> std::optional<std::size_t> {
            const auto found = std::find_if(list.begin(), list.end(), good);
            return found == list.end()
                       ? std::nullopt
                       : std::optional(static_cast<std::size_t>(found - list.begin()));
        };
        if (depth == 1 && is_list_by(*at_, "name", is_text)) {
            return position(*at_,
                            [&](const WrittenJson& item) { return item["name"] == token.key; });
        }
        const bool points = depth == 3 && steps[2].key == "points";
        if (points && is_list_by(*at_, "at", is_number)) {
            return position(
                *at_, [&](const WrittenJson& item) { return key_of(item["at"]) == token.key; });
        }
        const char* axis = depth == 3 ? "body_tone" : "brightness";
        const bool cells = (depth == 3 || depth == 4) && steps[2].key == "per_carat";
        if (cells && item_ != nullptr && item_->contains(axis) && (*item_)[axis].is_array()) {
            return position((*item_)[axis],
                            [&](const WrittenJson& entry) { return key_of(entry) == token.key; });
        }
        return token.index;
    }

    const WrittenJson* at_;
    const WrittenJson* item_ = nullptr;
    bool in_keyed_points_ = false;
};

} // namespace

std::optional<double> number_of(std::string_view digits) {
    double number = 0;
    const char* end = digits.data() + digits.size();
    const auto read = std::from_chars(digits.data(), end, number);
    const bool whole = read.ec == std::errc() && read.ptr == end;
    return whole && digits.find_first_of("0123456789") != std::string_view::npos // not "inf"
               ? std::optional(number)
               : std::nullopt;
}

std::string shortest(double number) {
    return fmt::format("{}", number);
}

std::string key_of(const WrittenJson& entry) {
    if (!is_number(entry)) {
        return is_text(entry) ? entry.get<std::string>() : std::string();
    }
    const std::string digits = text_of(entry);
    const std::optional<double> number = number_of(digits);
    return number ? shortest(*number) : digits;
}

WrittenJson keyed(WrittenJson root) {
    key_list(root, "grids", key_cells);
    key_list(root, "factors", key_points);
    return root;
}

WrittenJson with_lists(WrittenJson root) {
    list_of(root, "grids", cells_to_rows);
    list_of(root, "factors", points_to_list);
    return root;
}

std::vector<Step> way_to(const WrittenJson& matrix, std::string_view pointer) {
    return Path(matrix, pointer).steps();
}

Reached follow(const WrittenJson& document, const std::vector<Step>& way) {
    return Follower(document).follow(way);
}

} // namespace trayworth::io
