// What readers of whole documents have in common: one that a person edits, read at once, comments
// allowed, every fault reported with its place. (Records are read otherwise: record_reader.hpp.)
#pragma once

#include "core/diagnostic.hpp"
#include "io/locate.hpp"

#include <functional>
#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

namespace trayworth::io {

using json = nlohmann::ordered_json; // members stay in the order in which they are written

// Gives the document to `read`, with the text that it was read from: that of the file, or one of
// the same length in which slips are mended. What is wrong with the text, and what `read` appends
// to the diagnostics, is completed with its place in the file. Returns whether nothing was.
// `what` is the document: "matrix", "plan".
bool read_document(std::string_view what,
                   std::string_view text,
                   const std::string& file,
                   Diagnostics& diagnostics,
                   const std::function<void(const json& root, std::string_view text)>& read);

// Completes diagnostics about a document by their pointers.
void place_in_document(Diagnostics& diagnostics, std::string_view text, const std::string& file);

// Typed getters over a document. Each says what is wrong with a value, if something is.
class DocumentReader {
public:
    DocumentReader(const DocumentReader&) = delete;
    DocumentReader& operator=(const DocumentReader&) = delete;

protected:
    explicit DocumentReader(Diagnostics& diagnostics)
        : diagnostics_(diagnostics), first_(diagnostics.size()) {}
    ~DocumentReader() = default;

    // No more than bounds::errors are told.
    void error(Code code,
               std::string pointer,
               std::string message,
               std::string hint,
               Target target = Target::value);

    bool is_object(const json& value, const std::string& pointer, std::string_view what);
    bool is_array(const json& value, const std::string& pointer, std::string_view what);

    enum class OwnFields : bool { refused, allowed };
    void known_only(const json& object,
                    const std::string& pointer,
                    OwnFields own,
                    std::initializer_list<std::string_view> known);

    // Null when it is missing, which is an error.
    const json* member(const json& object, const std::string& pointer, const char* name);
    // Empty when it is missing or no text, which is an error.
    std::string text(const json& object, const std::string& pointer, const char* name);
    std::string text_at(const json& value, const std::string& pointer);
    std::optional<double>
    number_at(const json& value, const std::string& pointer, double least, double most);

    Diagnostics& diagnostics_;

private:
    std::size_t first_;
    bool full_ = false; // more were found than are told
};

// "a number", "an object", ...
std::string type_of(const nlohmann::ordered_json& value);
// "a, b, c"
std::string joined(std::span<const std::string_view> names);

} // namespace trayworth::io
