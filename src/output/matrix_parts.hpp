// A price matrix in words and figures, for the forms in which it is shown.
#pragma once

#include "pricing/matrix.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

// "1,200", "8.3": seven significant digits at most.
std::string figure(double number);
// "1,200-2,200", or "150" where both ends are one. `dash` stands between.
std::string range_text(const pricing::Spread& spread, std::string_view dash = "-");

// "solid; transparent or translucent"; "all" where nothing is left out.
std::string class_words(const pricing::StoneClass& stones);

// "5 steps, 5 the brightest"
std::string scale_words(const BrightnessScale& scale);

// "range 80 %, prices per carat in AUD at the trade level, as of 2026-11-01"
std::string head_words(const pricing::Matrix& matrix);

// What a factor reads and how, "by /weight_ct, logarithmic between points".
std::string rule_words(const pricing::Factor& factor);
// "not stated: 0.5-1", or that it must be stated.
std::string absent_words(const pricing::Factor& factor);

// One number or interval of a factor.
struct FactorItem {
    std::vector<std::string> keys; // a category; a point; a fault's kind, place and severity
    pricing::Spread spread;
    std::string pointer;
};
std::vector<FactorItem> items_of(const pricing::Factor& factor);

// Where a price stands between the cheapest and the dearest of its grid, in logarithms, 0 to 1.
class PriceShare {
public:
    explicit PriceShare(const pricing::Grid& grid);
    [[nodiscard]] double of(const pricing::Spread& spread) const;

private:
    double least_ = 0;
    double most_ = 0;
};

// A shade for such a share, dark to light, and whether text on it is black rather than white: the
// contrast is 4.5 at least (WCAG 2.2, 1.4.3).
struct Shade {
    unsigned char red = 0;
    unsigned char green = 0;
    unsigned char blue = 0;
    bool black_text = false;
};
Shade shade_of(double share);

} // namespace trayworth::output
