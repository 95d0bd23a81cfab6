#include "io/document.hpp"

#include "core/bounds.hpp"
#include "core/decimal.hpp"
#include "core/nearest.hpp"
#include "io/bytes.hpp"
#include "io/json_errors.hpp"
#include "io/json_slips.hpp"

#include <algorithm>
#include <iterator>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace trayworth::io {

namespace {

std::string_view without_mark(std::string_view text) {
    if (text.starts_with(byte_order_mark)) {
        text.remove_prefix(byte_order_mark.size());
    }
    return text;
}

} // namespace

bool read_document(std::string_view what,
                   std::string_view text,
                   const std::string& file,
                   Diagnostics& diagnostics,
                   const std::function<void(const json&, std::string_view)>& read) {
    text = without_mark(text);
    const std::size_t from = diagnostics.size();
    std::string mended;               // what is read in the place of a text that is not JSON
    std::vector<std::size_t> offsets; // of the first diagnostics
    std::string_view readable = text;
    std::optional<SyntaxError> crowded; // an object of too many members, which would take long
    if (text.size() > bounds::document_bytes) {
        diagnostics.push_back(
            {Code::record_size, Severity::error, "",
             fmt::format("The {} is larger than {} bytes.", what, grouped(bounds::document_bytes)),
             "Is it the right file?"});
        offsets.push_back(0);
        readable = {};
    } else if (const std::optional<std::size_t> stray = stray_byte(text, diagnostics)) {
        offsets.push_back(*stray);
        readable = {};
    } else if (crowded = check_syntax(text, true, bounds::members);
               crowded && crowded->code != Code::list_size) {
        Mended slips = mend_json(without_comments(text));
        offsets = std::move(slips.offsets);
        std::move(slips.slips.begin(), slips.slips.end(), std::back_inserter(diagnostics));
        mended = std::move(slips.text);
        readable = slips.is_json ? std::string_view(mended) : std::string_view{};
        crowded = readable.empty() ? std::nullopt : check_syntax(readable, true, bounds::members);
    }
    if (crowded) {
        report(diagnostics, crowded->code, crowded->pointer, crowded->message, crowded->hint);
    } else if (!readable.empty()) {
        for (std::string& pointer : repeated_keys(readable, Comments::allowed)) {
            diagnostics.push_back(repeated_key(std::move(pointer)));
        }
        read(json::parse(readable.begin(), readable.end(), nullptr, true, true), readable);
    }
    const std::span<Diagnostic> found = std::span(diagnostics).subspan(from);
    if (found.empty()) {
        return true;
    }
    const std::vector<std::size_t> more =
        locate(readable, wanted_by(found.subspan(offsets.size())), Comments::allowed);
    offsets.insert(offsets.end(), more.begin(), more.end());
    place_all(found, {text}, offsets);
    for (Diagnostic& diagnostic : found) {
        diagnostic.file = file;
    }
    return false;
}

void place_in_document(Diagnostics& diagnostics, std::string_view text, const std::string& file) {
    text = without_mark(text);
    place_all(diagnostics, {text}, locate(text, wanted_by(diagnostics), Comments::allowed));
    for (Diagnostic& diagnostic : diagnostics) {
        diagnostic.file = file;
    }
}

void DocumentReader::error(
    Code code, std::string pointer, std::string message, std::string hint, Target target) {
    if (diagnostics_.size() - first_ < bounds::errors) {
        diagnostics_.push_back({code, Severity::error, std::move(pointer), std::move(message),
                                std::move(hint), target});
    } else if (!std::exchange(full_, true)) {
        report(diagnostics_, Code::errors_too_many, "", errors_too_many(), "Correct these first.");
    }
}

bool DocumentReader::is_object(const json& value,
                               const std::string& pointer,
                               std::string_view what) {
    if (!value.is_object()) {
        error(Code::value_type, pointer,
              fmt::format("{} is an object, not {}.", what, type_of(value)),
              "Write it between { and }.");
    }
    return value.is_object();
}

bool DocumentReader::is_array(const json& value,
                              const std::string& pointer,
                              std::string_view what) {
    if (!value.is_array()) {
        error(Code::value_type, pointer,
              fmt::format("{} is an array, not {}.", what, type_of(value)),
              "Write it between [ and ].");
    }
    return value.is_array();
}

void DocumentReader::known_only(const json& object,
                                const std::string& pointer,
                                OwnFields own,
                                std::initializer_list<std::string_view> known) {
    const std::span<const std::string_view> names(known.begin(), known.size());
    const bool allowed = own == OwnFields::allowed;
    for (const auto& [key, value] : object.items()) {
        if ((allowed && key.starts_with("x-")) ||
            std::find(known.begin(), known.end(), key) != known.end()) {
            continue;
        }
        const std::optional<std::string_view> near = nearest(key, names);
        error(Code::field_unknown, pointer + "/" + pointer_token(key),
              fmt::format("\"{}\" is not a field here.", key),
              near ? fmt::format("Did you mean \"{}\"?", *near)
                   : fmt::format("Known here: {}.{}", joined(names),
                                 allowed ? " A field of your own begins with \"x-\"." : ""),
              Target::key);
    }
}

const json*
DocumentReader::member(const json& object, const std::string& pointer, const char* name) {
    const auto found = object.find(name);
    if (found == object.end()) {
        error(Code::field_missing, fmt::format("{}/{}", pointer, name),
              fmt::format("\"{}\" is missing.", name), "Add it.");
        return nullptr;
    }
    return &*found;
}

std::string DocumentReader::text(const json& object, const std::string& pointer, const char* name) {
    const json* value = member(object, pointer, name);
    return value == nullptr ? std::string() : text_at(*value, pointer + "/" + name);
}

std::string DocumentReader::text_at(const json& value, const std::string& pointer) {
    if (!value.is_string() || value.get_ref<const std::string&>().empty()) {
        error(Code::value_type, pointer,
              value.is_string() ? "The text is empty."
                                : fmt::format("This is a text, not {}.", type_of(value)),
              "Write it between double quotes.");
        return {};
    }
    return value.get<std::string>();
}

std::optional<double> DocumentReader::number_at(const json& value,
                                                const std::string& pointer,
                                                double least,
                                                double most) {
    if (!value.is_number()) {
        error(Code::value_type, pointer, fmt::format("This is a number, not {}.", type_of(value)),
              "Write the number without quotes and with a decimal point.");
        return std::nullopt;
    }
    const auto number = value.get<double>();
    if (!(number >= least && number <= most)) {
        error(Code::value_range, pointer,
              fmt::format("{} does not lie between {:.12g} and {:.12g}.", number, least, most),
              "Correct the number.");
        return std::nullopt;
    }
    return number;
}

std::string type_of(const json& value) {
    if (value.is_number()) {
        return "a number";
    }
    if (value.is_string()) {
        return "a text";
    }
    if (value.is_boolean()) {
        return "true or false";
    }
    return value.is_object() ? "an object" : value.is_array() ? "an array" : "null";
}

std::string joined(std::span<const std::string_view> names) {
    std::string text;
    for (const std::string_view name : names) {
        text += fmt::format("{}{}", text.empty() ? "" : ", ", name);
    }
    return text;
}

} // namespace trayworth::io
