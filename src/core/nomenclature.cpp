#include "core/nomenclature.hpp"

#include <string_view>

namespace trayworth {
namespace {

enum class Clarity { crystal, opaque, straddles, not_stated };

Clarity clarity_of(const Stone& stone) {
    if (!stone.transparency) {
        return Clarity::not_stated;
    }
    if (stone.transparency->low == Transparency::opaque) {
        return Clarity::opaque;
    }
    return stone.transparency->high == Transparency::opaque ? Clarity::straddles : Clarity::crystal;
}

// White is the look of an opaque N9; a see-through stone of that tone is a light crystal opal.
std::string_view tone_class(int tone, Clarity clarity) {
    if (tone <= lightest_black_tone) {
        return "black";
    }
    if (tone <= lightest_dark_tone) {
        return "dark";
    }
    return tone == lightest_tone && clarity != Clarity::crystal ? "white" : "light";
}

std::string joined(const std::vector<std::string>& words, std::string_view separator) {
    std::string text;
    for (const std::string& word : words) {
        text += (text.empty() ? "" : std::string(separator)) + word;
    }
    return text;
}

void classify(const Stone& stone, Clarity clarity, Nomenclature& result) {
    if (clarity == Clarity::straddles) {
        result.straddles.push_back("transparency " + std::string(name_of(stone.transparency->low)) +
                                   " to opaque straddles crystal and not crystal");
    }
    if (!stone.body_tone) {
        return;
    }
    const Range<int> tone = *stone.body_tone;
    for (int step = tone.low; step <= tone.high; ++step) {
        const std::string_view name = tone_class(step, clarity);
        if (result.tone_classes.empty() || result.tone_classes.back() != name) {
            result.tone_classes.emplace_back(name);
        }
    }
    if (result.tone_classes.size() > 1) {
        result.straddles.push_back("body tone " + std::string(tone_name(tone.low)) + " to " +
                                   std::string(tone_name(tone.high)) + " straddles " +
                                   joined(result.tone_classes, " and "));
    }
}

// "black crystal opal", "light or white opal", "dark (crystal or not) opal".
std::string natural_name(const Stone& stone, std::string_view noun, Nomenclature& result) {
    const Clarity clarity = clarity_of(stone);
    classify(stone, clarity, result);
    std::string name = joined(result.tone_classes, " or ");
    const auto add = [&name](std::string_view word) {
        name += (name.empty() ? "" : " ") + std::string(word);
    };
    if (clarity == Clarity::crystal) {
        add("crystal");
    } else if (clarity == Clarity::straddles) {
        add("(crystal or not)");
    }
    add(noun);
    return name;
}

std::string base_name(const Stone& stone, Nomenclature& result) {
    const std::string opal = stone.no_play_of_colour ? "common opal (no play-of-colour)" : "opal";
    switch (stone.type.value_or(StoneType::solid)) {
    case StoneType::solid:
        return natural_name(stone, opal, result);
    case StoneType::boulder:
        return natural_name(stone, "boulder " + opal, result);
    case StoneType::matrix:
        return natural_name(stone, "matrix " + opal, result);
    case StoneType::doublet:
        return "opal doublet";
    case StoneType::triplet:
        return "opal triplet";
    case StoneType::mosaic:
        return "mosaic opal (composite)";
    case StoneType::synthetic:
        return "synthetic opal";
    case StoneType::imitation:
        return "imitation opal";
    }
    return "opal";
}

} // namespace

Nomenclature name_stone(const Stone& stone) {
    Nomenclature result;
    result.name = base_name(stone, result);
    if (stone.body_hue) {
        result.name += ", " + *stone.body_hue + " body";
    }
    if (stone.hydrophane.value_or(false)) {
        result.name += ", hydrophane";
    }
    if (stone.treatments && !stone.treatments->empty()) {
        result.name = "treated " + result.name + " (" + joined(*stone.treatments, ", ") + ")";
    }
    return result;
}

} // namespace trayworth
