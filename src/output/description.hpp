// A stone in plain trade English, for the buyer: a title, what it is, what has to be told of it,
// and how to look after it.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "output/json_writer.hpp"
#include "output/text_parts.hpp"
#include "weight/weigh.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

enum class Spelling : std::uint8_t { british, american };

struct Description {
    std::string name;                     // proper name
    std::string weight;                   // "3.61 ct", and whether it is estimated
    std::string title;                    // proper name, weight, outline and size
    std::string text;                     // the grades, one paragraph
    std::vector<std::string> disclosures; // sentences that no description may leave out
    std::vector<std::string> care;        // sentences
    std::optional<std::string> filled;    // a template with all this in it
};

// Nothing when the record lacks what has to be told, or holds a word that may not describe such a
// stone; the diagnostics have pointers from the record's root.
std::optional<Description> describe(const Stone& stone,
                                    const weight::Weight& weight,
                                    Spelling spelling,
                                    Diagnostics& diagnostics);

// The names of the placeholders that a template may hold.
const std::vector<std::string_view>& template_fields();

// The template with the stone's words in place of its placeholders. A result that leaves out a
// disclosure, or describes the stone by a word that is barred for it, is an error. The template's
// placeholders must have been checked.
std::optional<std::string> filled(const std::string& form,
                                  const Stone& stone,
                                  const Description& description,
                                  Diagnostics& diagnostics);

// For a person at a terminal: the template filled, where there is one.
std::string described_text(const Stone& stone, const Description& description, TextStyle style);

void write_described(JsonWriter& json,
                     const Stone& stone,
                     const Description& description,
                     const Diagnostics& warnings);

} // namespace trayworth::output
