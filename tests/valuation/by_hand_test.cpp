// One small matrix, a few stones, and every figure worked out on paper.
//
// k(95 %) = 1.959964. A weight of 2 ct with u = 0.01 ct has the limits 2 -+ 1.959964 x 0.01 =
// 1.980400 and 2.019600. A factor [l, h] has the likely value sqrt(l h) and u(ln) = ln(h/l) / (2
// k).
#include "near.hpp"
#include "support.hpp"

#include <numbers>
#include <utility>

using namespace trayworth;
using namespace trayworth::test;
using std::numbers::sqrt3;

namespace {

doctest::Approx digits(double value, double relative = 2e-6) {
    return near(value, relative);
}

// Likely prices 100, 200 in the first row, 50, 100 in the second; all spans of a factor 4.
Tiny by_hand() {
    Tiny tiny;
    tiny.grids = R"([{"name": "opaque solid", "type": ["solid"], "transparency": ["opaque"],
        "body_tone": ["N2", "N4"], "brightness": [2, 3],
        "per_carat": [[[50, 200], [100, 400]], [[25, 100], [50, 200]]]}])";
    tiny.factors = R"([
        {"name": "pattern", "kind": "category", "field": "/play_of_colour/pattern",
         "values": {"flash": [0.8, 1.25], "harlequin": [2, 8]}},
        {"name": "size", "kind": "curve", "field": "/weight_ct", "spacing": "log",
         "points": [{"at": 1, "factor": 1}, {"at": 4, "factor": 2}]}])";
    return tiny;
}

Stone flash() {
    Stone stone = plain_stone();
    stone.play_of_colour->pattern = word("flash");
    return stone;
}

// The printed factors, multiplied as a reader would, are the printed value.
void check_product(const valuation::Valuation& valuation) {
    double running = valuation.weight.ct.value;
    for (const valuation::Reason& reason : valuation.reasons) {
        running *= reason.likely;
        CAPTURE(reason.row.step);
        CHECK(running == reason.running);
    }
    CHECK(running == valuation.likely);
}

} // namespace

TEST_CASE("points on every scale: value, range, limits and budget by hand") {
    const Outcome found = value_of(flash(), by_hand().read());
    REQUIRE(found->reasons.size() == 3);
    // 2 ct x 200 = 400.00; x 1 = 400.00; size at 2 ct: 2^(ln 2 / ln 4) = sqrt 2 = 1.414214.
    CHECK(found->reasons[0].likely == 200);
    CHECK(found->reasons[0].running == 400);
    CHECK(found->reasons[1].likely == 1);
    CHECK(found->reasons[2].likely == 1.414214);
    CHECK(found->likely == digits(565.6856, 1e-12));
    check_product(*found.valuation);

    // Budget. Price: ln 4 / (2 x 1.959964) = 0.353653. Pattern: ln(1.25/0.8) / (2 x 1.959964) =
    // 0.113851. Weight: it enters as w and again as w^(1/2): 1.5 x 0.01/2 = 0.0075.
    // u = sqrt(0.353653^2 + 0.113851^2 + 0.0075^2) = 0.371603.
    REQUIRE(found->budget.size() == 3);
    CHECK(found->budget[0].source == "price spread of the grid");
    CHECK(found->budget[0].u == digits(0.353653));
    CHECK(found->budget[0].share == digits(0.905725));
    CHECK(found->budget[1].source == "factor: pattern");
    CHECK(found->budget[1].u == digits(0.1138508));
    CHECK(found->budget[1].share == digits(0.0938673));
    CHECK(found->budget[2].source == "weight (weighed)");
    CHECK(found->budget[2].u == digits(0.00750006));
    CHECK(found->budget[2].share == digits(0.000407354));
    CHECK(found->u == digits(0.371603));

    // 565.6856 exp(-+1.959964 x 0.371603) = 565.6856 exp(-+0.728328).
    CHECK(found->range.low == digits(273.0651));
    CHECK(found->range.high == digits(1171.883));

    // Outer: 1.980400 x 100 x 0.8 x sqrt(1.980400), and 2.019600 x 400 x 1.25 x sqrt(2.019600).
    CHECK(found->weight_limits.low == digits(1.980400));
    CHECK(found->weight_limits.high == digits(2.019600));
    CHECK(found->reasons[0].low == digits(100));
    CHECK(found->reasons[0].high == digits(400));
    CHECK(found->reasons[2].low == digits(1.407267));
    CHECK(found->reasons[2].high == digits(1.421127));
    CHECK(found->outer.low == digits(222.9562));
    CHECK(found->outer.high == digits(1435.054));
    CHECK(found->market_level == "trade");
    CHECK(found->nomenclature.name == "black opal");
}

TEST_CASE("a body tone between two rows: N2 to N4") {
    Stone stone = flash();
    stone.body_tone = Range{2, 4};
    const Outcome found = value_of(stone, by_hand().read());
    // N3 lies halfway: sqrt(200 x 100) = 141.4214; 2 x 141.4214 x 1 x 1.414214 = 400.00025.
    CHECK(found->reasons[0].likely == 141.4214);
    CHECK(found->likely == digits(400.00025, 1e-8));
    check_product(*found.valuation);
    const valuation::Reason* straddle = found.reason("body tone straddles");
    REQUIRE(straddle);
    CHECK(straddle->likely == 1);
    CHECK(straddle->low == digits(0.7071068)); // 100 / 141.4214
    CHECK(straddle->high == digits(1.414214)); // 200 / 141.4214
    CHECK(straddle->row.field == "/body_tone");
    // Rectangular over +-ln(2)/2 in the logarithm: u = ln 2 / (2 sqrt 3) = 0.2000944.
    CHECK(found.u_of("grade: body tone") == digits(0.2000944));
    CHECK(found->u == digits(0.4220503));
    CHECK(found->range.low == digits(174.9083));
    CHECK(found->range.high == digits(914.7663));
    CHECK(found->budget[0].share == digits(0.7021441));
    CHECK(found->budget[1].share == digits(0.2247715));
    CHECK(found->budget[2].share == digits(0.07276860));
    CHECK(found->budget[3].share == digits(0.0003157921));
    // The outer limits are those of the dearest and of the cheapest cell: 50 and 400.
    CHECK(found->outer.low == digits(1.980400 * 50 * 0.8 * 1.407267));
    CHECK(found->outer.high == digits(2.019600 * 400 * 1.25 * 1.421127));
}

TEST_CASE("the cells that a price was made from, with their weights") {
    Stone stone = flash();
    stone.brightness->grade = Range{2.0, 2.5}; // likely 2.25
    stone.body_tone = Range{3, 3};
    const Outcome found = value_of(stone, by_hand().read());
    const std::vector<valuation::CellUsed>& cells = found->reasons[0].row.cells;
    REQUIRE(cells.size() == 4);
    const std::vector<std::string> pointers{"/grids/0/per_carat/0/0", "/grids/0/per_carat/0/1",
                                            "/grids/0/per_carat/1/0", "/grids/0/per_carat/1/1"};
    const std::vector<double> weights{0.375, 0.125, 0.375, 0.125};
    double log_price = 0;
    for (std::size_t i = 0; i < 4; ++i) {
        CHECK(cells[i].pointer == pointers[i]);
        CHECK(cells[i].weight == digits(weights[i], 1e-12));
        log_price += cells[i].weight * std::log(cells[i].low * cells[i].high) / 2;
    }
    // 100^0.375 x 200^0.125 x 50^0.375 x 100^0.125 = 84.08964.
    CHECK(found->reasons[0].likely == 84.08964);
    CHECK(std::exp(log_price) == digits(84.08964, 1e-7));
}

TEST_CASE("outer limits of a straddle are those of the worst and of the best cell, spans and all") {
    // The cheap cell is the more certain one: its own low, 90, is the floor, not the likely 100
    // less the mean of the two spans.
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"], "body_tone": ["N2", "N4"],
                      "brightness": [3], "per_carat": [[[100, 900]], [[90, 110]]]}])";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.body_tone = Range{2, 4};
    const Outcome found = value_of(stone, tiny.read());
    CHECK(found->outer.low == digits(90));
    CHECK(found->outer.high == digits(900));
    // Likewise for two words.
    tiny = by_hand();
    tiny.factors = R"([{"name": "pattern", "kind": "category", "field": "/play_of_colour/pattern",
                        "values": {"flash": [0.9, 1.1], "harlequin": [1, 9]}}])";
    stone = plain_stone(reading(1, 1e-9));
    stone.play_of_colour->pattern = words("harlequin", "flash");
    const Outcome either = value_of(stone, tiny.read());
    REQUIRE(either.reason("pattern"));
    CHECK(either.reason("pattern")->low == digits(0.9));
    CHECK(either.reason("pattern")->high == digits(9));
    CHECK(either.reason("pattern")->likely == digits(std::pow(0.9 * 1.1 * 1 * 9, 0.25)));
}

TEST_CASE("a curve that turns within the grade reaches its peak in the outer limits") {
    Tiny tiny;
    tiny.factors = R"([{"name": "coverage", "kind": "curve", "field": "/play_of_colour/coverage",
        "spacing": "linear", "points": [{"at": 0, "factor": 1}, {"at": 0.4, "factor": 3},
        {"at": 1, "factor": 1.5}]}])";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.play_of_colour->coverage = Range{0.0, 1.0};
    const Outcome found = value_of(stone, tiny.read());
    REQUIRE(found.reason("coverage"));
    CHECK(found.reason("coverage")->low == digits(1));
    CHECK(found.reason("coverage")->high == digits(3));

    // Against a ratio, whichever of the two sizes is the uncertain one: the peak is at 0.4, to
    // which 4 / 9.6 and 3.7 / 10 come within 1.96 u.
    tiny.factors = R"([{"name": "depth", "kind": "curve", "field": "/dimensions_mm/depth",
        "per": "/dimensions_mm/width", "spacing": "linear", "points": [{"at": 0.2, "factor": 1},
        {"at": 0.4, "factor": 3}, {"at": 0.8, "factor": 1}]}])";
    for (const auto& [depth, width] :
         {std::pair(reading(4, 1e-9), reading(9.6, 0.5)), {reading(3.7, 0.3), reading(10, 1e-9)}}) {
        stone.dimensions_mm.depth = depth;
        stone.dimensions_mm.width = width;
        const Outcome ratio = value_of(stone, tiny.read());
        REQUIRE(ratio.reason("depth"));
        CHECK(ratio.reason("depth")->likely < 2.9);
        CHECK(ratio.reason("depth")->high == digits(3));
    }
}

TEST_CASE("prices that turn within the grade reach their peak in the outer limits") {
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"], "transparency": ["opaque"],
        "body_tone": ["N2", "N3", "N4"], "brightness": [2, 3, 4],
        "per_carat": [[50, 100, 60], [100, 300, 200], [40, 70, 50]]}])";
    const auto dearest = [&tiny](Range<int> tone, const Brightness& brightness) {
        Stone stone = plain_stone(reading(1, 1e-9));
        stone.body_tone = tone;
        stone.brightness = brightness;
        return value_of(stone, tiny.read())->outer.high;
    };
    CHECK(dearest({2, 4}, {Range{3.0, 3.0}, 5, 5}) == digits(300)); // by tone
    CHECK(dearest({3, 3}, {Range{2.0, 4.0}, 5, 5}) == digits(300)); // by brightness
    CHECK(dearest({2, 4}, {Range{2.0, 4.0}, 5, 5}) == digits(300)); // by both
    // 5.5 of nine steps is 3.25 of five, half a step more or less.
    CHECK(dearest({3, 3}, {Range{5.5, 5.5}, 9, 9}) == digits(300));
}

TEST_CASE("colours count by their shares, and their spans move together") {
    Tiny tiny;
    tiny.factors = R"([{"name": "colours", "kind": "share-weighted",
        "field": "/play_of_colour/colours", "values": {"red": [2, 8], "blue": [0.5, 2]}}])";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.play_of_colour->colours =
        std::vector<ColourShare>{{"red", Range{0.25, 0.25}}, {"blue", Range{0.75, 0.75}}};
    const Outcome found = value_of(stone, tiny.read());
    const valuation::Reason* colours = found.reason("colours");
    REQUIRE(colours);
    CHECK(colours->likely == 1.75);                      // 0.25 x 4 + 0.75 x 1
    CHECK(colours->low == digits(0.875));                // 0.25 x 2 + 0.75 x 0.5
    CHECK(colours->high == digits(3.5));                 // 0.25 x 8 + 0.75 x 2
    CHECK(found->u == digits(std::log(2.0) / 1.959964)); // both spans are a factor 2 each way

    // Shares that do not sum to one are divided by their sum, and that is said.
    (*stone.play_of_colour->colours)[0].share = Range{0.5, 0.5};
    (*stone.play_of_colour->colours)[1].share = Range{1.0, 1.0};
    const Outcome warned = value_of(stone, tiny.read());
    CHECK(warned.reason("colours")->likely == 2); // (0.5 x 4 + 1 x 1) / 1.5
    CHECK(warned.reason("colours")->row.note.ends_with(", divided by their sum 1.5"));
    CHECK(warned.diagnostics.empty()); // weight::check_plausible() warns of it

    // A share that is a range: [0.2, 0.4] of red beside 0.7 of blue. At the likely shares
    // (0.3 x 4 + 0.7 x 1) / 1 = 1.9; at 0.2, (0.8 + 0.7) / 0.9; at 0.4, (1.6 + 0.7) / 1.1.
    (*stone.play_of_colour->colours)[0].share = Range{0.2, 0.4};
    (*stone.play_of_colour->colours)[1].share = Range{0.7, 0.7};
    const Outcome ranged = value_of(stone, tiny.read());
    CHECK(ranged.reason("colours")->likely == digits(1.9));
    CHECK(ranged.reason("colours")->low == digits(0.5 * 1.5 / 0.9));
    CHECK(ranged.reason("colours")->high == digits(2 * 2.3 / 1.1));
    // u(share) = 0.1 / sqrt 3 = 0.0577350. At 0.3577350 of red the mean is 2.130940 / 1.057735 =
    // 2.014625, at 0.2422650 it is 1.669060 / 0.942265 = 1.771328: ln(2.014625/1.771328) / 2.
    CHECK(ranged.u_of("grade: shares of colour") == digits(0.0643521, 1e-5));
}

TEST_CASE("every treatment and every fault multiplies, with its own lines") {
    Tiny tiny;
    tiny.factors = R"([
        {"name": "treatments", "kind": "category", "field": "/treatments",
         "values": {"wax": 0.8, "oil": 0.5}},
        {"name": "faults", "kind": "fault", "field": "/faults", "values": {
            "sand": {"face": {"minor": [0.64, 1], "severe": 0.2}, "back": {"minor": 0.9}},
            "sand/web": {"face": {"minor": 0.7}}}}])";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.treatments = std::vector<std::string>{"wax", "oil"};
    stone.faults = std::vector<Fault>{{"sand", "face", words("minor", "severe")},
                                      {"sand", "back", word("minor")},
                                      {"sand/web", "face", word("minor")}};
    const Outcome found = value_of(stone, tiny.read());
    // sand on the face: between 0.8 and 0.2: sqrt(0.8 x 0.2) = 0.4.
    CHECK(found->likely == digits(0.8 * 0.5 * 0.4 * 0.9 * 0.7));
    REQUIRE(found->reasons.size() == 6);
    CHECK(found->reasons[1].row.field == "/treatments/0");
    CHECK(found->reasons[1].row.matrix_pointer == "/factors/0/values/wax");
    CHECK(found->reasons[3].row.step == "sand");
    CHECK(found->reasons[3].row.field == "/faults/0/severity");
    CHECK(found->reasons[3].low == digits(0.2));
    CHECK(found->reasons[3].high == digits(1));
    CHECK(found->reasons[4].row.matrix_pointer == "/factors/1/values/sand/back/minor");
    CHECK(found->reasons[5].row.matrix_pointer == "/factors/1/values/sand~1web/face/minor");
    check_product(*found.valuation);
}

TEST_CASE("another market level is a factor of its own") {
    const pricing::Matrix matrix = by_hand().read();
    const Outcome trade = value_of(flash(), matrix);
    const Outcome retail = value_of(flash(), matrix, "retail");
    CHECK(trade.reason("market level") == nullptr);
    REQUIRE(retail.reason("market level"));
    CHECK(retail->market_level == "retail");
    CHECK(retail.reason("market level")->likely == 2); // sqrt(1.6 x 2.5)
    CHECK(retail.reason("market level")->row.matrix_pointer == "/market_levels/retail");
    CHECK(retail->likely == digits(2 * trade->likely, 1e-12));
    CHECK(retail.u_of("market level") == digits(std::log(2.5 / 1.6) / (2 * 1.959964)));
}

TEST_CASE("coverage: an interval at another coverage has another u and, alone, the same range") {
    Tiny tiny = by_hand();
    struct Interval {
        const char* coverage;
        double k;
    };
    for (const Interval interval :
         {Interval{"0.5", 0.6744898}, {"0.8", 1.2815516}, {"0.99", 2.5758293}}) {
        CAPTURE(interval.coverage);
        tiny.coverage = interval.coverage;
        Stone stone = flash();
        stone.weight_ct = reading(2, 1e-9);
        const Outcome found = value_of(stone, tiny.read());
        CHECK(found.u_of("price spread of the grid") == digits(std::log(2.0) / interval.k));
        // k u = sqrt(ln(2)^2 + ln(1.25)^2), whatever k.
        const double reach = std::hypot(std::log(2.0), std::log(1.25));
        CHECK(found->range.low == digits(565.6856 * std::exp(-reach)));
        CHECK(found->range.high == digits(565.6856 * std::exp(reach)));
        CHECK(found->outer.low == digits(565.6856 / 2.5));
        CHECK(found->outer.high == digits(565.6856 * 2.5));
    }
}

TEST_CASE("another currency changes no figure") {
    Tiny tiny = by_hand();
    const double likely = value_of(flash(), tiny.read())->likely;
    tiny.currency = "JPY";
    const pricing::Matrix matrix = tiny.read();
    CHECK(matrix.currency.minor_digits == 0);
    CHECK(value_of(flash(), matrix)->likely == likely);
    CHECK(grouped(matrix.rounded(to_money(likely, matrix.currency)), true) == "566");
}

TEST_CASE("a matrix on another brightness scale prices the same look alike") {
    // The grid of by_hand() turned round: on five steps with 1 the brightest, its grades 2 and 3
    // are 4 and 3, and the columns change places.
    Tiny turned = by_hand();
    turned.brightness = R"({"steps": 5, "brightest": 1, "mapping_half_width": 0.5})";
    turned.grids = R"([{"name": "opaque solid", "type": ["solid"], "transparency": ["opaque"],
        "body_tone": ["N2", "N4"], "brightness": [3, 4],
        "per_carat": [[[100, 400], [50, 200]], [[50, 200], [25, 100]]]}])";
    for (const Range<double> grade : {Range{3.0, 3.0}, Range{2.0, 2.5}, Range{2.25, 2.25}}) {
        Stone stone = flash();
        stone.brightness = Brightness{grade, 5, 5};
        const Outcome upright = value_of(stone, by_hand().read());
        const Outcome reversed = value_of(stone, turned.read());
        CHECK(reversed->likely == digits(upright->likely, 1e-12));
        CHECK(reversed->range.low == digits(upright->range.low, 1e-9));
        CHECK(reversed->outer.high == digits(upright->outer.high, 1e-9));
        // The reading is a reason; it moves nothing and makes nothing uncertain.
        const valuation::Reason* scale = reversed.reason("brightness scale");
        REQUIRE(scale);
        CHECK(scale->low == 1);
        CHECK(scale->high == 1);
        CHECK(reversed.u_of("brightness scale") == 0);
        CHECK(upright.reason("brightness scale") == nullptr);
    }
}

TEST_CASE("seven steps with 1 the brightest on five: read by relative position, half a step wide") {
    Tiny tiny;
    // ln price rises by ln 2 a step, so that every figure below is a power of two.
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"], "body_tone": ["N2"],
                      "brightness": [1, 2, 3, 4, 5], "per_carat": [[1, 2, 4, 8, 16]]}])";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.brightness = Brightness{Range{4.0, 4.0}, 7, 1}; // the middle of seven is 3 of five
    const Outcome found = value_of(stone, tiny.read());
    CHECK(found->likely == digits(4));
    const valuation::Reason* scale = found.reason("brightness scale");
    REQUIRE(scale);
    CHECK(scale->row.read == "4 of 7 (1 is brightest)");
    CHECK(scale->row.note == "read as 3 of 5 (5 is brightest) by relative position");
    CHECK(scale->row.matrix_pointer == "/brightness");
    CHECK(scale->low == digits(std::pow(2, -0.5)));
    CHECK(scale->high == digits(std::pow(2, 0.5)));
    CHECK(found.u_of("brightness scale") == digits(0.5 * std::log(2.0) / sqrt3));

    stone.brightness = Brightness{Range{3.0, 4.0}, 7, 1}; // 3 of 7 is 11/3 of five
    const Outcome straddling = value_of(stone, tiny.read());
    CHECK(straddling->likely == digits(std::pow(2, 1 + 4.0 / 3)));
    REQUIRE(straddling.reason("brightness scale"));
    CHECK(straddling.reason("brightness scale")->row.note ==
          "read as 3 to 3.667 of 5 (5 is brightest) by relative position");
    CHECK(straddling.u_of("grade: brightness") == digits(std::log(2.0) / 3 / sqrt3));
    CHECK(straddling.u_of("brightness scale") == digits(0.5 * std::log(2.0) / sqrt3));
    CHECK(straddling->outer.low == digits(std::pow(2, 1.5)));
    CHECK(straddling->outer.high == digits(std::pow(2, 2 + 2.0 / 3 + 0.5)));

    // Beyond the ends of the scale there is nothing brighter: half of the half step is left.
    stone.brightness = Brightness{Range{1.0, 1.0}, 7, 1};
    const Outcome brightest = value_of(stone, tiny.read());
    CHECK(brightest->likely == digits(16));
    CHECK(brightest.reason("brightness scale")->high == 1);
    CHECK(brightest.reason("brightness scale")->low == digits(std::pow(2, -0.5)));
}

TEST_CASE("a transparency between two grids: halfway in the logarithm") {
    Tiny tiny;
    tiny.grids = R"([
        {"name": "opaque", "type": ["solid"], "transparency": ["opaque"], "body_tone": ["N2"],
         "brightness": [3], "per_carat": [[[50, 200]]]},
        {"name": "crystal", "type": ["solid"], "transparency": ["transparent", "translucent"],
         "body_tone": ["N2"], "brightness": [3], "per_carat": [[[200, 800]]]}])";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.transparency = Range{Transparency::translucent, Transparency::opaque};
    const Outcome found = value_of(stone, tiny.read());
    CHECK(found->likely == digits(200)); // sqrt(400 x 100)
    CHECK(found.u_of("grade: transparency") == digits(std::log(2.0) / sqrt3));
    CHECK(found->outer.low == digits(50));
    CHECK(found->outer.high == digits(800));
    const std::vector<valuation::CellUsed>& cells = found->reasons[0].row.cells;
    REQUIRE(cells.size() == 2);
    CHECK(cells[0].pointer == "/grids/1/per_carat/0/0");
    CHECK(cells[0].weight == 0.5);
    CHECK(cells[1].pointer == "/grids/0/per_carat/0/0");
    // Two that one grid prices alike make nothing uncertain.
    stone.transparency = Range{Transparency::transparent, Transparency::translucent};
    const Outcome crystal = value_of(stone, tiny.read());
    CHECK(crystal->likely == digits(400));
    CHECK(crystal.reason("transparency straddles") == nullptr);
}

TEST_CASE("a factor for one end of a straddled transparency counts by half") {
    // Otherwise a stone between two ends would be worth more, or less, than at either.
    Tiny tiny;
    tiny.factors = R"([
        {"name": "opaque only", "kind": "category", "field": "/cut/polish",
         "transparency": ["opaque"], "values": {"good": [2, 8]}},
        {"name": "crystal only", "kind": "curve", "field": "/play_of_colour/coverage",
         "transparency": ["transparent", "translucent"], "spacing": "linear",
         "points": [{"at": 0, "factor": 9}, {"at": 1, "factor": 9}]}])";
    const pricing::Matrix matrix = tiny.read();
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.cut.polish = word("good");
    stone.play_of_colour->coverage = Range{1.0, 1.0};
    stone.transparency = point(Transparency::opaque);
    CHECK(value_of(stone, matrix)->likely == digits(4));
    stone.transparency = point(Transparency::translucent);
    CHECK(value_of(stone, matrix)->likely == digits(9));
    stone.transparency = Range{Transparency::translucent, Transparency::opaque};
    const Outcome found = value_of(stone, matrix);
    CHECK(found->likely == digits(6)); // sqrt(4 x 9)
    REQUIRE(found.reason("opaque only"));
    CHECK(found.reason("opaque only")->likely == digits(2));
    CHECK(found.reason("crystal only")->likely == digits(3));
    CHECK(found.reason("opaque only")->row.note ==
          "to the power 0.5: for one end of the straddled transparency");
    // One straddle behind both: +ln 2 and -ln 3 for half a step partly cancel.
    CHECK(found.u_of("grade: transparency") == digits(std::log(9.0 / 4) / 2 / sqrt3));
    check_product(*found.valuation);

    // Which end counts: where the opaque grid is the dearer by 4 and the opaque factor is 4 again,
    // the ends are 1 and 16; the other way round they would be equal and nothing uncertain.
    tiny.grids = R"([
        {"name": "opaque", "type": ["solid"], "transparency": ["opaque"], "body_tone": ["N2"],
         "brightness": [3], "per_carat": [[4]]},
        {"name": "crystal", "type": ["solid"], "transparency": ["transparent", "translucent"],
         "body_tone": ["N2"], "brightness": [3], "per_carat": [[1]]}])";
    tiny.factors = R"([{"name": "opaque only", "kind": "category", "field": "/cut/polish",
                        "transparency": ["opaque"], "values": {"good": 4}}])";
    const Outcome ends = value_of(stone, tiny.read());
    CHECK(ends->likely == digits(4)); // sqrt(1 x 16)
    CHECK(ends->u == digits(std::log(16.0) / 2 / sqrt3));
    CHECK(ends->outer.low == digits(1));
    CHECK(ends->outer.high == digits(16));
}
