// What is refused, and where the refusal points.
#include "support.hpp"

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;

namespace {

Tiny everything() {
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"], "transparency": ["opaque"],
        "body_tone": ["N2", "N4"], "brightness": [2, 3, 4],
        "per_carat": [[100, 200, null], [50, 100, 150]]}])";
    tiny.factors = R"([
        {"name": "colours", "kind": "share-weighted", "field": "/play_of_colour/colours",
         "values": {"green": 1, "blue": 0.7}},
        {"name": "pattern", "kind": "category", "field": "/play_of_colour/pattern",
         "values": {"flash": 1, "harlequin": 3}},
        {"name": "coverage", "kind": "curve", "field": "/play_of_colour/coverage",
         "spacing": "linear", "points": [{"at": 0.5, "factor": 0.5}, {"at": 1, "factor": 1}]},
        {"name": "thickness", "kind": "curve", "field": "/dimensions_mm/depth",
         "per": "/dimensions_mm/width", "spacing": "log",
         "points": [{"at": 0.2, "factor": 1}, {"at": 0.8, "factor": 0.5}]},
        {"name": "treatments", "kind": "category", "field": "/treatments",
         "values": {"wax": 0.8}},
        {"name": "faults", "kind": "fault", "field": "/faults", "values": {
            "crack": {"face": {"minor": 0.6, "severe": 0.1}, "back": {"minor": 0.8}}}}])";
    return tiny;
}

Stone complete() {
    Stone stone = plain_stone();
    stone.play_of_colour->colours = std::vector<ColourShare>{{"green", Range{1.0, 1.0}}};
    stone.play_of_colour->pattern = word("flash");
    stone.play_of_colour->coverage = Range{1.0, 1.0};
    stone.dimensions_mm.width = reading(8, 0.02);
    stone.dimensions_mm.depth = reading(3.2, 0.02);
    return stone;
}

// The errors, after a check that each names a field and a mend in whole sentences.
Diagnostics errors(const Stone& stone, const pricing::Matrix& matrix) {
    const Outcome outcome = try_value(stone, matrix);
    Diagnostics found;
    for (const Diagnostic& d : outcome.diagnostics) {
        CAPTURE(d.message);
        CHECK(d.pointer.starts_with("/"));
        CHECK(d.message.ends_with("."));
        CHECK((d.hint.ends_with(".") || d.hint.ends_with("?")));
        if (d.severity == Severity::error) {
            found.push_back(d);
        }
    }
    return found;
}

// One error and no value.
Diagnostic only(const Stone& stone, const pricing::Matrix& matrix) {
    const Diagnostics found = errors(stone, matrix);
    REQUIRE(found.size() == 1);
    return found.front();
}

void check_not_priced(const Stone& stone, std::string_view pointer, std::string_view message) {
    const Diagnostic found = only(stone, everything().read());
    CHECK(found.code == Code::not_priced);
    CHECK(found.pointer == pointer);
    CHECK(found.message == message);
}

} // namespace

TEST_CASE("the complete stone is valued without a word") {
    const Outcome outcome = try_value(complete(), everything().read());
    REQUIRE(outcome.valuation);
    CHECK(outcome.diagnostics.empty());
}

TEST_CASE("a field that the grid needs and the record does not state") {
    struct Removal {
        void (*remove)(Stone&);
        std::string_view pointer;
    };
    const std::vector<Removal> removals{
        {[](Stone& s) { s.type.reset(); }, "/type"},
        {[](Stone& s) { s.body_tone.reset(); }, "/body_tone"},
        {[](Stone& s) { s.transparency.reset(); }, "/transparency"},
        {[](Stone& s) { s.brightness.reset(); }, "/brightness"},
        {[](Stone& s) { s.brightness->grade.reset(); }, "/brightness"},
        {[](Stone& s) { s.play_of_colour.reset(); }, "/play_of_colour"},
        {[](Stone& s) { s.play_of_colour->pattern.reset(); }, "/play_of_colour/pattern"},
        {[](Stone& s) { s.play_of_colour->colours.reset(); }, "/play_of_colour/colours"},
        {[](Stone& s) { s.play_of_colour->colours->clear(); }, "/play_of_colour/colours"},
        {[](Stone& s) { s.play_of_colour->coverage.reset(); }, "/play_of_colour/coverage"},
        {[](Stone& s) { s.dimensions_mm.width.reset(); }, "/dimensions_mm/width"},
        {[](Stone& s) { s.dimensions_mm.depth.reset(); }, "/dimensions_mm/depth"},
    };
    for (const Removal& removal : removals) {
        Stone stone = complete();
        removal.remove(stone);
        CAPTURE(removal.pointer);
        const Diagnostic found = only(stone, everything().read());
        CHECK(found.code == Code::field_missing);
        CHECK(found.pointer == removal.pointer);
    }
    // All of them at once, each reported.
    Stone bare;
    bare.weight_ct = reading(2, 0.01);
    const Diagnostics all = errors(bare, everything().read());
    CHECK(all.size() == 5);
}

TEST_CASE("an unweighed stone is refused for its weight and for its grades together") {
    Stone bare;
    const Diagnostics all = errors(bare, everything().read());
    CHECK(std::any_of(all.begin(), all.end(),
                      [](const auto& d) { return d.code == Code::weight_missing; }));
    CHECK(std::any_of(all.begin(), all.end(), [](const auto& d) {
        return d.code == Code::field_missing && d.pointer == "/body_tone";
    }));
}

TEST_CASE("common opal has no brightness to be priced by") {
    Stone stone = complete();
    stone.play_of_colour.reset();
    stone.brightness.reset();
    stone.no_play_of_colour = true;
    const Diagnostic found = only(stone, everything().read());
    CHECK(found.code == Code::not_priced);
    CHECK(found.pointer == "/play_of_colour");
}

TEST_CASE("a weight as uncertain as itself cannot be used in logarithms") {
    Stone stone = complete();
    stone.weight_ct = reading(2, 0.7);
    const Diagnostic found = only(stone, everything().read());
    CHECK(found.code == Code::value_range);
    CHECK(found.pointer == "/weight_ct");
    stone.weight_ct = reading(2, 0.6);
    CHECK(errors(stone, everything().read()).empty());
    // The matrix's own coverage can ask for more than three: it does not up to 99 %.
    CHECK(coverage_factor(0.99) < 3);
}

TEST_CASE("amounts too large or too small for money are refused, not printed wrong") {
    const auto priced = [](const std::string& price, const std::string& level) {
        Tiny tiny;
        tiny.grids = R"([{"name": "solid", "type": ["solid"], "transparency": ["opaque"],
                      "body_tone": ["N2"], "brightness": [3], "per_carat": [[)" +
                     price + "]]}]";
        tiny.levels = R"({"trade": 1, "retail": )" + level + "}";
        return tiny.read();
    };
    const Stone stone = test::plain_stone(reading(2, 0));
    const auto refused = [&](const pricing::Matrix& matrix) {
        const Outcome outcome = test::try_value(stone, matrix, "retail");
        if (outcome.valuation) {
            return false;
        }
        REQUIRE(outcome.diagnostics.size() == 1);
        CHECK(outcome.diagnostics[0].code == Code::value_range);
        CHECK(outcome.diagnostics[0].pointer == "/weight_ct");
        return true;
    };
    // 2 ct at 1e9 a carat times 500 is 1e12; at 5e-4 times 1e-9, 1e-12.
    CHECK_FALSE(refused(priced("1e9", "500")));
    CHECK(refused(priced("1e9", "501")));
    CHECK(refused(priced("[1, 1e9]", "501")));
    CHECK_FALSE(refused(priced("6e-4", "1e-9")));
    CHECK(refused(priced("4e-4", "1e-9")));
    CHECK(refused(priced("[4e-4, 1]", "1e-9")));
}

TEST_CASE("a class of stone without a grid") {
    Stone stone = complete();
    stone.type = StoneType::boulder;
    check_not_priced(stone, "/type",
                     "The matrix \"tiny\" has no grid for a stone of type boulder, "
                     "opaque.");
    stone = complete();
    stone.transparency = Range{Transparency::translucent, Transparency::opaque};
    check_not_priced(stone, "/type",
                     "The matrix \"tiny\" has no grid for a stone of type solid, translucent.");
}

TEST_CASE("grades beyond a grid, and cells without a price") {
    Stone stone = complete();
    stone.body_tone = Range{1, 1};
    check_not_priced(stone, "/body_tone", "The grid \"solid\" prices body tones N2 to N4, not N1.");
    stone.body_tone = Range{4, 5};
    check_not_priced(stone, "/body_tone", "The grid \"solid\" prices body tones N2 to N4, not N5.");
    stone.body_tone = Range{2, 5};
    check_not_priced(stone, "/body_tone", "The grid \"solid\" prices body tones N2 to N4, not N5.");
    stone.body_tone = Range{1, 3};
    check_not_priced(stone, "/body_tone", "The grid \"solid\" prices body tones N2 to N4, not N1.");

    stone = complete();
    stone.brightness->grade = Range{1.5, 2.0};
    check_not_priced(stone, "/brightness/grade",
                     "The grid \"solid\" prices brightness 2 to 4, not 1.5 to 2.");
    stone.brightness->grade = Range{4.5, 4.5};
    check_not_priced(stone, "/brightness/grade",
                     "The grid \"solid\" prices brightness 2 to 4, not 4.5.");

    // N2 at 4 is null. A grade that reaches towards it is refused; N4 at 4 is not.
    stone = complete();
    for (const Range<double> grade : {Range{4.0, 4.0}, Range{3.5, 3.5}, Range{2.0, 3.1}}) {
        stone.body_tone = Range{2, 2};
        stone.brightness->grade = grade;
        check_not_priced(stone, "/body_tone",
                         "The grid \"solid\" has no price for N2 at brightness 4.");
        stone.body_tone = Range{3, 3};
        check_not_priced(stone, "/body_tone",
                         "The grid \"solid\" has no price for N2 at brightness 4.");
        stone.body_tone = Range{4, 4};
        CHECK(errors(stone, everything().read()).empty());
    }
}

TEST_CASE("half a step of a mapped scale does not reach into a cell without a price") {
    Stone stone = complete();
    stone.brightness = Brightness{Range{4.0, 4.0}, 7, 7}; // 3 of five, 2.5 to 3.5
    check_not_priced(stone, "/body_tone",
                     "The grid \"solid\" has no price for N2 at brightness 4.");
    stone.body_tone = Range{4, 4};
    CHECK(errors(stone, everything().read()).empty());
    // Nor past the end of a grid that ends before the scale does.
    stone.brightness = Brightness{Range{5.5, 5.5}, 7, 7}; // 4 of five
    check_not_priced(stone, "/brightness/grade",
                     "The grid \"solid\" prices brightness 2 to 4, not 3.5 to 4.5.");
}

TEST_CASE("words without a price, with what was meant") {
    Stone stone = complete();
    stone.play_of_colour->pattern = word("harlekin");
    Diagnostic found = only(stone, everything().read());
    CHECK(found.code == Code::not_priced);
    CHECK(found.pointer == "/play_of_colour/pattern");
    CHECK(found.message == "The matrix has no price for pattern \"harlekin\".");
    CHECK(found.hint == "Did you mean \"harlequin\"? Otherwise add it to /factors/1/values.");

    stone.play_of_colour->pattern = words("flash", "ribbon");
    found = only(stone, everything().read());
    CHECK(found.pointer == "/play_of_colour/pattern/1");
    CHECK(found.hint == "Priced are: flash, harlequin. Use one of them, or add it to "
                        "/factors/1/values.");
    stone.play_of_colour->pattern = words("ribbon", "flash");
    CHECK(only(stone, everything().read()).pointer == "/play_of_colour/pattern/0");

    stone = complete();
    stone.play_of_colour->colours->push_back({"teal", Range{0.1, 0.1}});
    CHECK(only(stone, everything().read()).pointer == "/play_of_colour/colours/1/colour");

    stone = complete();
    stone.treatments = std::vector<std::string>{"wax", "dye"};
    CHECK(only(stone, everything().read()).pointer == "/treatments/1");
}

TEST_CASE("faults without a price: the kind, the place or the severity") {
    Stone stone = complete();
    const auto pointer_of = [&](const Fault& fault) {
        stone.faults = std::vector<Fault>{{"crack", "back", word("minor")}, fault};
        const Diagnostic found = only(stone, everything().read());
        CHECK(found.code == Code::not_priced);
        return found.pointer;
    };
    CHECK(pointer_of({"crazing", "face", word("minor")}) == "/faults/1/kind");
    CHECK(pointer_of({"crack", "girdle", word("minor")}) == "/faults/1/place");
    CHECK(pointer_of({"crack", "face", word("moderate")}) == "/faults/1/severity");
    CHECK(pointer_of({"crack", "face", words("minor", "moderate")}) == "/faults/1/severity/1");
}

TEST_CASE("shares that are all zero have no mean") {
    Stone stone = complete();
    stone.play_of_colour->colours = std::vector<ColourShare>{{"green", Range{0.0, 0.0}}};
    const Diagnostic found = only(stone, everything().read());
    CHECK(found.code == Code::value_range);
    CHECK(found.pointer == "/play_of_colour/colours");
}

TEST_CASE("a curve is not extrapolated") {
    Stone stone = complete();
    stone.play_of_colour->coverage = Range{0.4, 0.4};
    check_not_priced(stone, "/play_of_colour/coverage",
                     "The curve \"coverage\" runs from 0.5 to 1 and is not extrapolated to 0.4.");
    stone = complete();
    stone.dimensions_mm.depth = reading(7, 0.02);
    check_not_priced(
        stone, "/dimensions_mm/depth",
        "The curve \"thickness\" runs from 0.2 to 0.8 and is not extrapolated to 0.875.");
}

TEST_CASE("what the record states and the matrix does not price does not drop out") {
    Stone stone = plain_stone();
    const pricing::Matrix without = Tiny{}.read();
    CHECK(errors(stone, without).empty());
    stone.treatments = std::vector<std::string>{"dye"};
    CHECK(only(stone, without).pointer == "/treatments");
    stone.treatments->clear();
    stone.faults = std::vector<Fault>{{"crack", "face", word("minor")}};
    CHECK(only(stone, without).pointer == "/faults");
    CHECK(only(stone, without).code == Code::not_priced);
    // A factor for other stones prices them no more than none.
    Tiny other;
    other.factors = R"([{"name": "faults", "kind": "fault", "field": "/faults",
        "type": ["boulder"], "values": {"crack": {"face": {"minor": 0.6}}}}])";
    CHECK(only(stone, other.read()).pointer == "/faults");
}

TEST_CASE("lists that nobody stated: a warning, and valued as empty") {
    Stone stone = complete();
    stone.treatments.reset();
    stone.faults.reset();
    const Outcome outcome = value_of(stone, everything().read());
    REQUIRE(outcome.diagnostics.size() == 2);
    CHECK(outcome.diagnostics[0].code == Code::not_stated);
    CHECK(outcome.diagnostics[0].pointer == "/treatments");
    CHECK(outcome.diagnostics[0].severity == Severity::warning);
    CHECK(outcome.diagnostics[0].message ==
          "\"treatments\" is not stated; the stone is valued as untreated.");
    CHECK(outcome.diagnostics[1].pointer == "/faults");
    CHECK(outcome.diagnostics[1].message ==
          "\"faults\" is not stated; the stone is valued as free of faults.");
    CHECK(outcome->likely == value_of(complete(), everything().read())->likely);
}

TEST_CASE("a cost in another currency is said to be left uncompared") {
    const pricing::Matrix& matrix = demonstration();
    Stone stone = complete();
    stone.cost = Cost{100, matrix.currency.code, {}};
    CHECK(value_of(stone, matrix).diagnostics.empty());
    const double likely = value_of(stone, matrix)->likely;
    stone.cost->currency = "USD";
    const Outcome outcome = value_of(stone, matrix);
    REQUIRE(outcome.diagnostics.size() == 1);
    const Diagnostic& found = outcome.diagnostics.front();
    CHECK(found.code == Code::currency_differs);
    CHECK(found.severity == Severity::warning);
    CHECK(found.pointer == "/cost/currency");
    CHECK(found.message == "The cost is in USD and the value in AUD, so the two are not compared.");
    CHECK(outcome->likely == likely);
}

TEST_CASE("a factor for what a record leaves out, of every kind") {
    // Likely 0.5 each, span a factor 1.5 each way: u = ln 1.5 / k.
    const std::string absent = R"("if_absent": [0.3333333333333333, 0.75])";
    const std::vector<std::pair<std::string, std::string>> factors{
        {"/play_of_colour/pattern",
         R"("kind": "category", "field": "/play_of_colour/pattern", "values": {"flash": 1})"},
        {"/play_of_colour/colours",
         R"("kind": "share-weighted", "field": "/play_of_colour/colours", "values": {"green": 1})"},
        {"/play_of_colour/coverage",
         R"("kind": "curve", "field": "/play_of_colour/coverage", "spacing": "linear",
            "points": [{"at": 0, "factor": 1}, {"at": 1, "factor": 1}])"},
        {"/dimensions_mm/width",
         R"("kind": "curve", "field": "/dimensions_mm/depth", "per": "/dimensions_mm/width",
            "spacing": "linear", "points": [{"at": 0, "factor": 1}, {"at": 1, "factor": 1}])"},
        {"/treatments", R"("kind": "category", "field": "/treatments", "values": {"wax": 1})"},
        {"/faults",
         R"("kind": "fault", "field": "/faults", "values": {"crack": {"face": {"minor": 1}}})"},
    };
    for (const auto& factor : factors) {
        CAPTURE(factor.first);
        Tiny tiny;
        tiny.factors = R"([{"name": "it", )" + factor.second + ", " + absent + "}]";
        Stone stone = plain_stone(reading(1, 1e-9));
        stone.treatments.reset();
        stone.faults.reset();
        stone.dimensions_mm.depth = reading(3, 0.01);
        const Outcome found = value_of(stone, tiny.read());
        CHECK(found.diagnostics.empty());
        CHECK(found->likely == Approx(0.5).epsilon(1e-9).scale(0));
        CHECK(found->u == Approx(std::log(1.5) / 1.959964).epsilon(1e-6).scale(0));
        REQUIRE(found.reason("it"));
        CHECK(found.reason("it")->row.field == factor.first);
        CHECK(found.reason("it")->row.read == "not stated");
        CHECK(found.reason("it")->row.matrix_pointer == "/factors/0/if_absent");
    }
    // One of exactly 1 is no line.
    Tiny tiny;
    tiny.factors = R"([{"name": "it", "kind": "category", "field": "/cut/polish", "if_absent": 1,
                        "values": {"good": 1}}])";
    CHECK(value_of(plain_stone(), tiny.read())->reasons.size() == 1);
}
