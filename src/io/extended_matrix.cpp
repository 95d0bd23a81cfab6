// RFC 7396, JSON Merge Patch, by the library's merge_patch().
#include "io/extended_matrix.hpp"

#include "core/nearest.hpp"
#include "io/document.hpp"
#include "io/files.hpp"
#include "io/keyed_matrix.hpp"
#include "io/matrix_document.hpp"
#include "io/written_json.hpp"

#include <algorithm>
#include <iterator>
#include <memory>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

struct Link {
    MatrixDocument document;
    WrittenJson written;
};

class Chain {
public:
    Chain(const MatrixLibrary& library, Diagnostics& diagnostics)
        : library_(library), diagnostics_(diagnostics) {}

    // From the document to the one that extends nothing. False when something is wrong.
    bool read(const MatrixDocument& document) {
        MatrixDocument next = document;
        while (true) {
            std::optional<json> extends;
            const bool sound = read_document("matrix", next.text, next.file, diagnostics_,
                                             [&](const json& root, std::string_view) {
                                                 if (root.is_object() && root.contains("extends")) {
                                                     extends = root["extends"];
                                                 } else {
                                                     matrix_ = matrix_from(root, diagnostics_);
                                                 }
                                             });
            if (!sound) {
                return false;
            }
            links_.push_back({std::move(next), {}});
            if (!extends) {
                return true;
            }
            std::optional<MatrixDocument> base = extended_by(links_.back().document, *extends);
            if (!base) {
                return false;
            }
            next = std::move(*base);
        }
    }

    // Merges from the far end of the chain. What each step comes to must be sound.
    bool merge() {
        if (links_.size() == 1) {
            text_ = links_.front().document.text;
            return true;
        }
        for (Link& link : links_) {
            link.written = read_written(link.document.text);
        }
        first_ = links_.size() - 1;
        whole_ = links_.back().written;
        while (first_ > 0) {
            --first_;
            WrittenJson patch = links_[first_].written;
            patch.erase("extends");
            if (!keys_known(patch)) {
                return false;
            }
            whole_ = keyed(std::move(whole_));
            whole_.merge_patch(patch);
            whole_ = with_lists(std::move(whole_));
            Diagnostics found;
            matrix_ = matrix_from(json::parse(text_of(whole_)), found);
            place(found);
            std::move(found.begin(), found.end(), std::back_inserter(diagnostics_));
            if (!found.empty()) {
                return false;
            }
        }
        for (const Link& link : links_) {
            matrix_.sources.push_back(link.document.file);
        }
        find_origins(whole_, "", matrix_.origins);
        text_ = laid_out();
        return true;
    }

    [[nodiscard]] pricing::Matrix matrix() const { return matrix_; }
    [[nodiscard]] std::string text() const { return text_; }

    // Completes diagnostics about the whole, each in the document that its place is from.
    void place(Diagnostics& diagnostics) const {
        if (links_.size() == 1) {
            place_in_document(diagnostics, links_.front().document.text,
                              links_.front().document.file);
            return;
        }
        for (Diagnostic& diagnostic : diagnostics) {
            const auto [link, pointer] = origin_of(diagnostic.pointer);
            diagnostic.pointer = pointer;
            diagnostic = placed(std::move(diagnostic), links_[link].document);
        }
    }

private:
    void fault(const MatrixDocument& document, Code code, std::string message, std::string hint) {
        diagnostics_.push_back(placed(
            {code, Severity::error, "/extends", std::move(message), std::move(hint)}, document));
    }

    static Diagnostic placed(Diagnostic diagnostic, const MatrixDocument& document) {
        Diagnostics one{std::move(diagnostic)};
        place_in_document(one, document.text, document.file);
        return one.front();
    }

    std::optional<MatrixDocument> extended_by(const MatrixDocument& document, const json& extends) {
        if (!extends.is_string()) {
            fault(document, Code::value_type,
                  fmt::format("\"extends\" has to be the name or the path of a matrix, not {}.",
                              type_of(extends)),
                  "Write it between double quotes.");
            return std::nullopt;
        }
        MatrixDocument base;
        try {
            base = library_.open(extends.get<std::string>(), document.folder);
        } catch (const FileError& error) {
            fault(document, Code::extends_unknown,
                  fmt::format("The matrix to be extended cannot be read: {}", error.what()),
                  error.hint());
            return std::nullopt;
        }
        const bool again = std::any_of(links_.begin(), links_.end(), [&](const Link& known) {
            return known.document.identity == base.identity;
        });
        if (again || links_.size() >= most_extended) {
            fault(document, Code::extends_cycle,
                  again ? fmt::format("{} extends itself by way of this.", base.file)
                        : fmt::format("More than {} matrices extend one another.", most_extended),
                  "Let the chain end at a matrix that extends nothing.");
            return std::nullopt;
        }
        return base;
    }

    // The nearest of the documents merged so far that has the place; failing all, the one that
    // goes furthest towards it.
    [[nodiscard]] std::pair<std::size_t, std::string> origin_of(const std::string& pointer) const {
        const std::vector<Step> way = way_to(whole_, pointer);
        std::size_t best = first_;
        Reached furthest;
        for (std::size_t i = first_; i < links_.size(); ++i) {
            const Reached reached = follow(links_[i].written, way);
            if (reached.settles) {
                return {i, reached.pointer};
            }
            if (reached.depth > furthest.depth) {
                best = i;
                furthest = reached;
            }
        }
        return {best, furthest.pointer};
    }

    void find_origins(const WrittenJson& value,
                      const std::string& pointer,
                      std::map<std::string, std::size_t, std::less<>>& origins) const {
        origins.emplace(pointer, origin_of(pointer).first);
        if (value.is_object()) {
            for (const auto& [key, member] : value.items()) {
                find_origins(member, pointer + "/" + pointer_token(key), origins);
            }
        } else if (value.is_array()) {
            for (std::size_t i = 0; i < value.size(); ++i) {
                find_origins(value[i], fmt::format("{}/{}", pointer, i), origins);
            }
        }
    }

    // A key of a grid's cells that is not on its axes, or of a curve that is not a number, would
    // be lost.
    bool keys_known(const WrittenJson& patch) {
        const std::size_t from = diagnostics_.size();
        if (patch.contains("grids") && patch["grids"].is_object()) {
            for (const auto& [name, grid] : patch["grids"].items()) {
                cell_keys_known(name, grid);
            }
        }
        if (patch.contains("factors") && patch["factors"].is_object()) {
            for (const auto& [name, factor] : patch["factors"].items()) {
                point_keys_known(name, factor);
            }
        }
        return diagnostics_.size() == from;
    }

    void unknown_key(const std::string& pointer,
                     const std::string& key,
                     std::string_view what,
                     const std::vector<std::string>& known) {
        const std::vector<std::string_view> views(known.begin(), known.end());
        const std::optional<std::string_view> near = nearest(key, views);
        diagnostics_.push_back(
            placed({Code::value_unknown, Severity::error, pointer + "/" + pointer_token(key),
                    fmt::format("\"{}\" is not {}.", key, what),
                    near            ? fmt::format("Did you mean \"{}\"?", *near)
                    : known.empty() ? "Write a number, such as \"0.9\"."
                                    : fmt::format("There are: {}.", fmt::join(known, ", ")),
                    Target::key},
                   links_[first_].document));
    }

    // The axis of the grid once it is merged.
    [[nodiscard]] std::vector<std::string>
    axis_of(const std::string& name, const WrittenJson& grid, const char* axis) const {
        const WrittenJson* found = grid.contains(axis) ? &grid[axis] : nullptr;
        for (const WrittenJson& known : whole_["grids"]) {
            if (found == nullptr && known["name"] == name) {
                found = &known[axis];
            }
        }
        std::vector<std::string> keys;
        if (found != nullptr && found->is_array()) {
            std::transform(found->begin(), found->end(), std::back_inserter(keys), key_of);
        }
        return keys;
    }

    void cell_keys_known(const std::string& name, const WrittenJson& grid) {
        if (!grid.is_object() || !grid.contains("per_carat") || !grid["per_carat"].is_object()) {
            return;
        }
        const std::vector<std::string> tones = axis_of(name, grid, "body_tone");
        const std::vector<std::string> steps = axis_of(name, grid, "brightness");
        const std::string at = "/grids/" + pointer_token(name) + "/per_carat";
        const auto is_in = [](const std::vector<std::string>& keys, const std::string& key) {
            return std::find(keys.begin(), keys.end(), key) != keys.end();
        };
        for (const auto& [tone, cells] : grid["per_carat"].items()) {
            if (!is_in(tones, tone)) {
                unknown_key(at, tone, "a body tone of this grid", tones);
            } else if (cells.is_object()) {
                for (const auto& [step, cell] : cells.items()) {
                    if (!is_in(steps, step)) {
                        unknown_key(at + "/" + pointer_token(tone), step,
                                    "a brightness of this grid", steps);
                    }
                }
            }
        }
    }

    void point_keys_known(const std::string& name, const WrittenJson& factor) {
        if (!factor.is_object() || !factor.contains("points") || !factor["points"].is_object()) {
            return;
        }
        for (const auto& [key, point] : factor["points"].items()) {
            const std::optional<double> at = number_of(key);
            if (!at || shortest(*at) != key) {
                unknown_key("/factors/" + pointer_token(name) + "/points", key,
                            "the number of a point, in its shortest form", {});
            }
        }
    }

    // The whole, with what is small on one line.
    [[nodiscard]] std::string laid_out() const {
        std::string text = "// The whole that comes of:\n";
        for (const Link& link : links_) {
            text += fmt::format("//   {}\n", on_one_line(link.document.file));
        }
        write(whole_, 0, text);
        return text + "\n";
    }

    static std::string on_one_line(std::string name) {
        std::replace_if(
            name.begin(), name.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
        return name;
    }

    static void write(const WrittenJson& value, std::size_t depth, std::string& text) {
        constexpr std::size_t longest = 92;
        const std::string line = text_of(value);
        const bool nested = value.is_structured() && !value.empty();
        if (!nested || (depth > 0 && line.size() + 2 * depth <= longest)) {
            text += line;
            return;
        }
        const std::string start = "\n" + std::string(2 * (depth + 1), ' ');
        text += value.is_object() ? "{" : "[";
        bool first = true;
        for (const auto& [key, member] : value.items()) {
            text += (first ? "" : ",") + start;
            if (value.is_object()) {
                text += text_of(key) + ": ";
            }
            write(member, depth + 1, text);
            first = false;
        }
        text += "\n" + std::string(2 * depth, ' ') + (value.is_object() ? "}" : "]");
    }

    const MatrixLibrary& library_;
    Diagnostics& diagnostics_;
    std::vector<Link> links_; // the document first
    WrittenJson whole_;       // of the documents from first_ on
    std::size_t first_ = 0;
    pricing::Matrix matrix_; // of the whole
    std::string text_;
};

} // namespace

bool extends_another(const MatrixDocument& document) {
    return document.text.find("\"extends\"") != std::string::npos;
}

std::optional<WholeMatrix> read_whole_matrix(const MatrixDocument& document,
                                             const MatrixLibrary& library,
                                             Diagnostics& diagnostics) {
    const auto chain = std::make_shared<Chain>(library, diagnostics);
    if (!chain->read(document) || !chain->merge()) {
        return std::nullopt;
    }
    return WholeMatrix{chain->matrix(), chain->text(),
                       [chain](Diagnostics& found) { chain->place(found); }};
}

} // namespace trayworth::io
