#include "core/disclosure.hpp"

#include <array>
#include <cctype>

namespace trayworth {
namespace {

bool is_treated(const Stone& stone) {
    return stone.treatments && !stone.treatments->empty();
}

bool is_artificial(const Stone& stone) {
    return stone.type == StoneType::synthetic || stone.type == StoneType::imitation;
}

std::string_view sentence_for(StoneType type) {
    switch (type) {
    case StoneType::doublet:
        return "This is a doublet: a layer of opal joined to a backing, not opal all through.";
    case StoneType::triplet:
        return "This is a triplet: a thin layer of opal between a backing and a clear cap, not "
               "opal all through.";
    case StoneType::mosaic:
        return "This is a mosaic: pieces of opal bonded together, not one stone.";
    case StoneType::synthetic:
        return "This is synthetic opal: it was grown in a laboratory, not mined.";
    case StoneType::imitation:
        return "This is an imitation: it has the look of opal and is not opal.";
    case StoneType::boulder:
        return "Boulder opal is opal with the host rock that it grew in.";
    case StoneType::matrix:
        return "Matrix opal is opal spread through the pores of its host rock.";
    case StoneType::solid:
        break;
    }
    return "";
}

std::string treatment_sentence(const Stone& stone) {
    if (!stone.treatments) {
        return "Whether it has been treated is not stated.";
    }
    std::string list;
    for (const std::string& treatment : *stone.treatments) {
        list += (list.empty() ? "" : ", ") + treatment;
    }
    return "It has been treated: " + list +
           ". A treatment may not be permanent, may call for special care, and changes what a "
           "stone is worth.";
}

struct Rule {
    std::string_view word;
    bool (*applies)(const Stone&);
    std::string_view reason;
};

constexpr std::string_view not_mined = "a stone that was not mined (16 CFR 23.27)";

constexpr std::array<Rule, 9> rules{{
    {"natural", is_artificial, not_mined},
    {"genuine", is_artificial, not_mined},
    {"real", is_artificial, not_mined},
    {"precious", is_artificial, not_mined},
    {"semi-precious", is_artificial, not_mined},
    {"untreated", is_treated, "a stone that has been treated (16 CFR 23.24)"},
    {"solid", [](const Stone& stone) { return stone.type && is_composite(*stone.type); },
     "a stone made of parts (CIBJO, The Gemstone Book)"},
    {"flawless", [](const Stone& stone) { return stone.faults && !stone.faults->empty(); },
     "a stone that has faults (16 CFR 23.26)"},
    {"perfect", [](const Stone& stone) { return stone.faults && !stone.faults->empty(); },
     "a stone that has faults (16 CFR 23.26)"},
}};

bool is_of_word(char c) {
    return c == '-' || std::isalnum(static_cast<unsigned char>(c)) != 0;
}

char small(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

} // namespace

std::vector<std::string> disclosures(const Stone& stone) {
    std::vector<std::string> sentences;
    if (stone.type && *stone.type != StoneType::solid) {
        sentences.emplace_back(sentence_for(*stone.type));
    }
    if (!stone.treatments || is_treated(stone)) {
        sentences.push_back(treatment_sentence(stone));
    }
    if (stone.hydrophane.value_or(false)) {
        sentences.emplace_back("It is hydrophane: it takes up water, and its look and weight "
                               "change with it; it takes up oils and dyes as well.");
    }
    return sentences;
}

std::optional<BarredWord> barred_word(const Stone& stone, std::string_view text) {
    std::string word;
    for (std::size_t i = 0; i <= text.size(); ++i) {
        if (i < text.size() && is_of_word(text[i])) {
            word += small(text[i]);
            continue;
        }
        for (const Rule& rule : rules) {
            if (rule.word == word && rule.applies(stone)) {
                return BarredWord{word, rule.reason};
            }
        }
        word.clear();
    }
    return std::nullopt;
}

} // namespace trayworth
