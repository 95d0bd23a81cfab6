// The stone's proper name, derived from its grades by the published rules; never typed in.
//
// Types and body-tone classes: Gemmological Association of Australia, opal nomenclature, 1997.
//   black N1-N4, dark N5-N6, light N7-N9, N9 being called white; a coloured body keeps its tone and
//   adds its hue.
// "Crystal" is used in two ways in print (transparent only; translucent to transparent). The rule
// here is the second, and the name says so: transparent and translucent stones are crystal opal.
#pragma once

#include "core/stone.hpp"

#include <string>
#include <vector>

namespace trayworth {

struct Nomenclature {
    std::string name;                      // "black crystal opal"
    std::vector<std::string> tone_classes; // "black", "dark", "light", "white", darkest first
    std::vector<std::string> straddles;    // one sentence for each boundary the grade straddles
};

// Names what the record states; a grade that is absent is left out of the name.
Nomenclature name_stone(const Stone& stone);

} // namespace trayworth
