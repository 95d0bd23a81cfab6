// The whole demonstration matrix, by thousands of seeded random records: what is better must not be
// cheaper, all else equal.
//
// Where the order comes from: body tone, colours and patterns, directionality: books and trade
// associations (see each check); brightness, faults, treatments, coverage: common practice, no
// source. The prices are invented; only their order is tried here.
#include "support.hpp"

#include <functional>
#include <random>

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;

namespace {

// The same numbers with every compiler: the standard fixes the engine, not its distributions.
class Dice {
public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}
    std::size_t below(std::size_t n) { return engine_() % n; }
    bool one_in(std::size_t n) { return below(n) == 0; }
    double uniform(double low, double high) {
        return low + (high - low) * static_cast<double>(engine_() >> 11U) * 0x1p-53;
    }
    template<class T>
    const T& of(const std::vector<T>& items) {
        return items[below(items.size())];
    }

private:
    std::mt19937_64 engine_;
};

const std::vector<std::string> colours{"red", "orange", "yellow", "green", "blue", "violet"};
const std::vector<std::string> directions{"none", "slight", "moderate", "strong", "one-way"};
const std::vector<std::string> severities{"minor", "moderate", "severe"};
const std::vector<std::string> polishes{"excellent", "good", "fair", "poor"};

const pricing::Factor& factor(std::string_view name) {
    const auto& all = demonstration().factors;
    const auto found =
        std::find_if(all.begin(), all.end(), [name](const auto& f) { return f.name == name; });
    REQUIRE(found != all.end());
    return *found;
}

std::vector<std::string> names_in(std::string_view factor_name) {
    std::vector<std::string> names;
    for (const pricing::Entry& entry :
         std::get<pricing::Category>(factor(factor_name).rule).values) {
        names.push_back(entry.name);
    }
    return names;
}

// `straddles`: a grade may be a range.
Stone random_stone(Dice& dice, bool straddles) {
    const auto straddle = [&] { return straddles && dice.one_in(3); };
    const auto graded = [&](const std::vector<std::string>& words) {
        const std::size_t i = dice.below(words.size());
        const bool two = straddle() && i + 1 < words.size();
        return Words{words[i], words[two ? i + 1 : i]};
    };
    Stone stone;
    const std::vector<StoneType> types{StoneType::solid,  StoneType::solid,   StoneType::boulder,
                                       StoneType::matrix, StoneType::doublet, StoneType::triplet};
    stone.type = dice.of(types);
    const auto clear = static_cast<Transparency>(dice.below(3));
    stone.transparency = point(clear);
    if (straddle() && clear != Transparency::opaque) {
        stone.transparency->high = Transparency::opaque;
    }
    const int tone = static_cast<int>(1 + dice.below(9));
    stone.body_tone = Range{tone, straddle() ? std::min(9, tone + 2) : tone};
    const double grade = 1 + 0.25 * static_cast<double>(dice.below(17));
    stone.brightness =
        Brightness{Range{grade, straddle() ? std::min(5.0, grade + 1) : grade}, 5, 5};
    stone.treatments.emplace();
    if (dice.one_in(4)) {
        stone.treatments->push_back(dice.of(names_in("treatments")));
    }
    stone.hydrophane = dice.one_in(5);
    PlayOfColour play;
    play.colours.emplace();
    double left = 1;
    const std::size_t parts = 1 + dice.below(4);
    for (std::size_t i = 0; i < parts; ++i) {
        const double share = i + 1 == parts ? left : dice.uniform(0.1, 0.6) * left;
        play.colours->push_back({dice.of(colours), Range{share, share}});
        left -= share;
    }
    play.pattern = graded(names_in("pattern"));
    const double covered = dice.uniform(0, 1);
    play.coverage = Range{covered, straddle() ? std::min(1.0, covered + 0.2) : covered};
    play.directionality = graded(directions);
    stone.play_of_colour = play;
    stone.faults.emplace();
    const auto& kinds = std::get<pricing::Faults>(factor("faults").rule).kinds;
    for (std::size_t i = dice.below(4); i > 0; --i) {
        const pricing::FaultKind& kind = dice.of(kinds);
        stone.faults->push_back({kind.name, dice.of(kind.places).name, graded(severities)});
    }
    const double weight = std::exp(dice.uniform(std::log(0.2), std::log(60.0)));
    stone.weight_ct = reading(weight, 0.005 * weight);
    stone.dimensions_mm.width = reading(dice.uniform(5, 15), 0.02);
    stone.dimensions_mm.depth =
        reading(stone.dimensions_mm.width->low * dice.uniform(0.2, 1.0), 0.02);
    stone.cut.polish = graded(polishes);
    stone.cut.outline =
        dice.of(names_in(stone.type == StoneType::boulder ? "outline, boulder" : "outline"));
    return stone;
}

// What a change did to one random stone, and whether the stone allows the change.
using Change = std::function<bool(Stone&, Dice&)>;

// Low and high are compared for records of points, where each depends on the grade through one cell
// or through a mean of neighbours: with low, likely and high in order in the matrix they are in
// order in the value, however the spans add up. Between the ends of straddles the span itself
// changes with the grade, and only the likely value must keep its order.
void never_cheaper(const char* what, const Change& improve, std::size_t wanted = 2000) {
    // Factors are printed to seven digits: that much two equal values may differ.
    constexpr double rounding = 1 - 1e-5;
    Dice dice(20261101);
    std::size_t tried = 0;
    std::size_t dearer = 0;
    for (std::size_t i = 0; tried < wanted; ++i) {
        REQUIRE(i < 100 * wanted);
        const bool straddles = i % 2 == 1;
        const Stone before = random_stone(dice, straddles);
        Stone after = before;
        if (!improve(after, dice)) {
            continue;
        }
        ++tried;
        const Outcome cheap = value_of(before, demonstration());
        const Outcome dear = value_of(after, demonstration());
        CAPTURE(what);
        CAPTURE(i);
        REQUIRE(dear->likely >= cheap->likely * rounding);
        dearer += dear->likely > cheap->likely ? 1 : 0;
        if (!straddles) {
            REQUIRE(dear->range.low >= cheap->range.low * rounding);
            REQUIRE(dear->range.high >= cheap->range.high * rounding);
            REQUIRE(dear->outer.low >= cheap->outer.low * rounding);
            REQUIRE(dear->outer.high >= cheap->outer.high * rounding);
        }
    }
    CHECK(dearer > wanted / 2); // the change reaches the price at all
}

std::size_t place_in(const std::vector<std::string>& order, const std::string& name) {
    return static_cast<std::size_t>(std::find(order.begin(), order.end(), name) - order.begin());
}

bool step_down(Words& grade, const std::vector<std::string>& order) {
    const std::size_t first = place_in(order, grade.first);
    const std::size_t second = place_in(order, grade.second);
    if (first == 0 || second == 0) {
        return false;
    }
    grade = {order[first - 1], order[second - 1]};
    return true;
}

} // namespace

TEST_CASE("a darker stone is not cheaper") {
    // Darker body tone is dearer, all else equal: trade books agree.
    never_cheaper("darker", [](Stone& stone, Dice&) {
        stone.body_tone->low -= 1;
        stone.body_tone->high -= 1;
        return stone.body_tone->low >= darkest_tone;
    });
}

TEST_CASE("a brighter stone is not cheaper") {
    never_cheaper("brighter", [](Stone& stone, Dice& dice) {
        const double more = 0.25 * static_cast<double>(1 + dice.below(4));
        stone.brightness->grade->low += more;
        stone.brightness->grade->high += more;
        return stone.brightness->grade->high <= 5;
    });
}

TEST_CASE("a stone without one of its faults is not cheaper") {
    never_cheaper("fault removed", [](Stone& stone, Dice& dice) {
        if (stone.faults->empty()) {
            return false;
        }
        stone.faults->erase(stone.faults->begin() +
                            static_cast<std::ptrdiff_t>(dice.below(stone.faults->size())));
        return true;
    });
}

TEST_CASE("a stone with one of its faults less severe is not cheaper") {
    never_cheaper("severity lowered", [](Stone& stone, Dice& dice) {
        return !stone.faults->empty() &&
               step_down((*stone.faults)[dice.below(stone.faults->size())].severity, severities);
    });
}

TEST_CASE("a stone with a colour one place up the order is not cheaper") {
    // Red > orange > yellow > green > blue > violet, a trade book of 2008.
    never_cheaper("redder", [](Stone& stone, Dice& dice) {
        auto& all = *stone.play_of_colour->colours;
        std::string& colour = all[dice.below(all.size())].colour;
        const std::size_t place = place_in(colours, colour);
        colour = colours[place == 0 ? 0 : place - 1];
        return place > 0;
    });
}

TEST_CASE("a stone with part of a colour's share moved up the order is not cheaper") {
    never_cheaper("share moved", [](Stone& stone, Dice& dice) {
        auto& all = *stone.play_of_colour->colours;
        ColourShare& from = all[dice.below(all.size())];
        const std::size_t place = place_in(colours, from.colour);
        if (place == 0) {
            return false;
        }
        const double moved = from.share->low * dice.uniform(0.1, 0.9);
        from.share = point(from.share->low - moved);
        all.push_back({colours[dice.below(place)], point(moved)});
        return true;
    });
}

TEST_CASE("a stone of a better pattern is not cheaper") {
    // Harlequin highest; ribbon, Chinese writing, straw and rolling flash are collected; broad
    // patterns above small; pinfire lowest: a trade book of 2008. Authors disagree on the rest, and
    // nothing is asked of the rest.
    std::vector<std::pair<std::string, std::string>> better;
    for (const std::string& name : names_in("pattern")) {
        if (name != "harlequin") {
            better.emplace_back("harlequin", name);
        }
        if (name != "pinfire") {
            better.emplace_back(name, "pinfire");
        }
    }
    for (const char* broad : {"rolling flash", "broad flash", "flagstone", "ribbon"}) {
        better.emplace_back(broad, "moss");
    }
    for (const char* collected : {"ribbon", "Chinese writing", "straw", "rolling flash"}) {
        better.emplace_back(collected, "flash"); // "collected" taken to mean above the plain flash
    }
    never_cheaper("pattern", [&](Stone& stone, Dice& dice) {
        Words& pattern = *stone.play_of_colour->pattern;
        if (!pattern.is_point()) {
            return false;
        }
        std::vector<std::string> above;
        for (const auto& [high, low] : better) {
            if (low == pattern.first) {
                above.push_back(high);
            }
        }
        if (above.empty()) {
            return false;
        }
        pattern = word(dice.of(above));
        return true;
    });
}

TEST_CASE("a less directional stone is not cheaper") {
    // The more the play-of-colour fades on turning, the less: a trade book of 2008.
    never_cheaper("less directional", [](Stone& stone, Dice&) {
        return step_down(*stone.play_of_colour->directionality, directions);
    });
}

TEST_CASE("an untreated stone is not cheaper") {
    never_cheaper("untreated", [](Stone& stone, Dice&) {
        const bool treated = !stone.treatments->empty();
        stone.treatments->clear();
        return treated;
    });
}

TEST_CASE("a stone that is no hydrophane, better polished, of more colour, is not cheaper") {
    never_cheaper("no hydrophane", [](Stone& stone, Dice&) {
        const bool drinks = *stone.hydrophane;
        stone.hydrophane = false;
        return drinks;
    });
    never_cheaper("polish",
                  [](Stone& stone, Dice&) { return step_down(*stone.cut.polish, polishes); });
    never_cheaper("coverage", [](Stone& stone, Dice& dice) {
        Range<double>& covered = *stone.play_of_colour->coverage;
        const double more = dice.uniform(0.01, 0.2);
        covered = {covered.low + more, covered.high + more};
        return covered.high <= 1;
    });
}

TEST_CASE("a heavier stone is likely to be no cheaper, at the same look and proportions") {
    Dice dice(3);
    for (int i = 0; i < 2000; ++i) {
        const Stone before = random_stone(dice, true);
        Stone after = before;
        const double more = dice.uniform(1.01, 1.5);
        after.weight_ct = reading(before.weight_ct->low * more, 0.01);
        CAPTURE(before.weight_ct->low);
        REQUIRE(value_of(after, demonstration())->likely >=
                value_of(before, demonstration())->likely);
    }
}

TEST_CASE("the value of a straddle lies between those of its ends") {
    Dice dice(4);
    const std::vector<std::function<bool(Stone&, bool)>> ends{
        [](Stone& s, bool high) {
            s.body_tone = point(high ? s.body_tone->high : s.body_tone->low);
            return true;
        },
        [](Stone& s, bool high) {
            s.brightness->grade =
                point(high ? s.brightness->grade->high : s.brightness->grade->low);
            return true;
        },
        [](Stone& s, bool high) {
            s.transparency = point(high ? s.transparency->high : s.transparency->low);
            return true;
        },
        [](Stone& s, bool high) {
            Range<double>& covered = *s.play_of_colour->coverage;
            covered = point(high ? covered.high : covered.low);
            return true;
        },
        [](Stone& s, bool high) {
            Words& pattern = *s.play_of_colour->pattern;
            pattern = word(high ? pattern.second : pattern.first);
            return true;
        },
        [](Stone& s, bool high) {
            Words& fades = *s.play_of_colour->directionality;
            fades = word(high ? fades.second : fades.first);
            return true;
        },
        [](Stone& s, bool high) {
            if (s.faults->empty()) {
                return false;
            }
            Words& severity = s.faults->front().severity;
            severity = word(high ? severity.second : severity.first);
            return true;
        },
    };
    int tried = 0;
    for (int i = 0; i < 1500; ++i) {
        const Stone straddling = random_stone(dice, true);
        const Outcome middle = value_of(straddling, demonstration());
        for (std::size_t field = 0; field < ends.size(); ++field) {
            Stone low = straddling;
            Stone high = straddling;
            if (!ends[field](low, false) || !ends[field](high, true)) {
                continue;
            }
            const Outcome one = value_of(low, demonstration());
            const Outcome other = value_of(high, demonstration());
            CAPTURE(i);
            CAPTURE(field);
            REQUIRE(middle->likely >= std::min(one->likely, other->likely) * (1 - 1e-5));
            REQUIRE(middle->likely <= std::max(one->likely, other->likely) * (1 + 1e-5));
            // The limits of the straddle hold those of either end.
            REQUIRE(middle->outer.low <= std::min(one->outer.low, other->outer.low) * (1 + 1e-5));
            REQUIRE(middle->outer.high >=
                    std::max(one->outer.high, other->outer.high) * (1 - 1e-5));
            tried += one->likely != other->likely ? 1 : 0;
        }
    }
    CHECK(tried > 1500);
}

TEST_CASE("likely in the range, the range in the limits, the budget whole: random stones") {
    Dice dice(5);
    for (int i = 0; i < 3000; ++i) {
        const Stone stone = random_stone(dice, true);
        const Outcome found = value_of(stone, demonstration());
        CAPTURE(i);
        REQUIRE(found->outer.low <= found->range.low);
        REQUIRE(found->range.low <= found->likely);
        REQUIRE(found->likely <= found->range.high);
        REQUIRE(found->range.high <= found->outer.high);
        double shares = 0;
        for (const valuation::BudgetShare& line : found->budget) {
            shares += line.share;
        }
        REQUIRE(shares == Approx(1).epsilon(1e-12).scale(0));
    }
}

TEST_CASE("a wider input never narrows the outer limits, a narrower one never widens u") {
    // Widened and narrowed about the same middle, where the likely value stays what it is.
    Dice dice(6);
    const auto about = [](double middle, double half, double least, double most) {
        half = std::min({half, middle - least, most - middle});
        return Range{middle - half, middle + half};
    };
    int wider_limits = 0;
    for (int i = 0; i < 1500; ++i) {
        const Stone narrow = random_stone(dice, false);
        Stone wide = narrow;
        switch (i % 5) {
        case 0: {
            const int tone = wide.body_tone->low;
            const int reach = std::min({2, tone - 1, 9 - tone});
            wide.body_tone = Range{tone - reach, tone + reach};
            break;
        }
        case 1:
            wide.brightness->grade = about(wide.brightness->grade->low, 1, 1, 5);
            break;
        case 2:
            wide.play_of_colour->coverage = about(wide.play_of_colour->coverage->low, 0.2, 0, 1);
            break;
        case 3:
            wide.weight_ct->standard_uncertainty = 0.05 * wide.weight_ct->low;
            break;
        default:
            wide.dimensions_mm.depth->standard_uncertainty = 0.3;
        }
        const Outcome before = value_of(narrow, demonstration());
        const Outcome after = value_of(wide, demonstration());
        CAPTURE(i);
        REQUIRE(after->likely == Approx(before->likely).epsilon(1e-5).scale(0));
        REQUIRE(after->outer.low <= before->outer.low * (1 + 1e-5));
        REQUIRE(after->outer.high >= before->outer.high * (1 - 1e-5));
        // Depth over width rises and falls: across its top the difference quotient is nothing.
        if (i % 5 != 4) {
            REQUIRE(after->u >= before->u * (1 - 1e-9));
        }
        wider_limits += after->outer.high > before->outer.high ? 1 : 0;
    }
    CHECK(wider_limits > 500);
}

TEST_CASE("the linear rule against the simulation: every example and fifty random stones") {
    // Sampling error of an end of the 80 % interval at M trials, for a normal density: u x
    // sqrt(0.1 x 0.9 / M) / 0.1755. Beyond five of them the linear rule is allowed to drift by u /
    // 5: it takes the value at the middle grade, and where the price bends there (N3 to N5, across
    // the step from black to dark) half of the stones lie on the flat side and half on the steep
    // one. The worst found were 0.15 u among the examples and 0.11 u among the random stones.
    constexpr double allowance = 0.2;
    const std::size_t trials = 20'000;
    std::vector<Stone> cases = all_examples();
    Dice dice(7);
    for (int i = 0; i < 50; ++i) {
        cases.push_back(random_stone(dice, true));
    }
    for (std::size_t i = 0; i < cases.size(); ++i) {
        const Stone& stone = cases[i];
        const Outcome found = value_of(stone, demonstration(), {}, trials, i + 1);
        const valuation::Simulation& simulated = *found->simulation;
        const double error = found->u * std::sqrt(0.09 / static_cast<double>(trials)) / 0.1755;
        const double low = std::abs(std::log(simulated.range.low / found->range.low));
        const double high = std::abs(std::log(simulated.range.high / found->range.high));
        CAPTURE(i);
        CAPTURE(found->u);
        CHECK(low < 5 * error + allowance * found->u);
        CHECK(high < 5 * error + allowance * found->u);
        CHECK(std::abs(std::log(simulated.likely / found->likely)) <
              5 * error + allowance * found->u);
        CHECK(simulated.u == Approx(found->u).epsilon(0.1).scale(0));
    }
}
