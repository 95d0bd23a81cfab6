// A record, or a file of them, whose fields are set and taken out by JSON Pointer (RFC 6901). What
// is not touched stays as it is written: the order of members, the digits of numbers, fields of
// one's own.
#pragma once

#include "core/diagnostic.hpp"
#include "io/commented_json.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace trayworth::io {

class RecordDraft {
public:
    // Requires a text that is JSON.
    explicit RecordDraft(std::string_view json = "{\n}");

    // Sets the value at the pointer, and makes the objects and arrays that lead to it where they
    // are missing; "-" stands for the element behind an array's last. A new field of a record is
    // put among the others in the order of the format. Returns why not, where it cannot be done.
    // `json` is JSON, or one scalar as somebody wrote it: that it is none, its reader will say.
    std::optional<Diagnostic> set(std::string_view pointer, std::string_view json);
    // Takes the value out, and with it the objects that this leaves empty.
    std::optional<Diagnostic> unset(std::string_view pointer);

    // The value there, on one line.
    [[nodiscard]] std::optional<std::string> at(std::string_view pointer) const;
    // Whether a value is there, or one above it that is no object or array, so that it says all.
    [[nodiscard]] bool settles(std::string_view pointer) const;
    [[nodiscard]] std::string text() const { return write_commented(document_); }

private:
    JsonDocument document_;
};

// What a person gives for a value: JSON where it is that, else a text. Nothing when it is no UTF-8
// or nested deeper than a record may be.
std::optional<std::string> json_or_text(std::string_view given);

// As a string of JSON, where it is UTF-8.
std::optional<std::string> text_in_json(std::string_view text);

} // namespace trayworth::io
