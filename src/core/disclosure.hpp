// What a description of a stone has to say for all to read, and which words it may not use.
//
// Sources: US Federal Trade Commission, Guides for the Jewelry, Precious Metals, and Pewter
// Industries, 16 CFR Part 23 (2018): 23.24 treatments; 23.25 the bare name of a stone; 23.26 words
// such as flawless (from memory); 23.27 words for what is mined. Composites are named as such and
// with their parts: CIBJO, The Gemstone Book. Where a seller's own country asks for more, that
// comes first.
#pragma once

#include "core/stone.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth {

// In whole sentences, the gravest first. Empty when there is nothing that a buyer must be told.
std::vector<std::string> disclosures(const Stone& stone);

struct BarredWord {
    std::string word;        // in small letters
    std::string_view reason; // why it is barred for this stone, as the end of a sentence
};

// The first word of the text that may not describe the stone; nothing when it has none. Whole
// words, whatever their case.
std::optional<BarredWord> barred_word(const Stone& stone, std::string_view text);

} // namespace trayworth
