// The rules of JCGM 100 through the model, and what must hold of every value whatever the matrix.
#include "near.hpp"
#include "support.hpp"

#include <numbers>
#include <sstream>

using namespace trayworth;
using namespace trayworth::test;
using doctest::Approx;
using std::numbers::sqrt3;

namespace {

// factor = (field / per)^exponent, from 0.001 to 1000.
std::string
power(std::string_view name, std::string_view field, double exponent, std::string_view per = {}) {
    const auto factor = [exponent](double x) { return std::to_string(std::pow(x, exponent)); };
    return R"({"name": ")" + std::string(name) + R"(", "kind": "curve", "field": ")" +
           std::string(field) + R"(", )" +
           (per.empty() ? "" : R"("per": ")" + std::string(per) + R"(", )") +
           R"("spacing": "log", "points": [{"at": 0.01, "factor": )" + factor(0.01) +
           R"(}, {"at": 100, "factor": )" + factor(100) + "}]}";
}

} // namespace

TEST_CASE("a product of powers: relative variances add, each times its exponent squared") {
    // JCGM 100, 5.1.6: V = w^(1 + 1/2) (depth / width)^-2 length^1. Relative u of 0.3, 0.1, 0.2 and
    // 0.4 % on w, depth, width and length. The logarithms' finite difference is the tangent to
    // within the square of those.
    Tiny tiny;
    tiny.factors = "[" + power("size", "/weight_ct", 0.5) + "," +
                   power("thickness", "/dimensions_mm/depth", -2, "/dimensions_mm/width") + "," +
                   power("length", "/dimensions_mm/length", 1) + "]";
    Stone stone = plain_stone(reading(2, 0.006));
    stone.dimensions_mm.depth = reading(4, 0.004);
    stone.dimensions_mm.width = reading(8, 0.016);
    stone.dimensions_mm.length = reading(10, 0.04);
    const Outcome found = value_of(stone, tiny.read());
    CHECK(found->likely == near(std::pow(2, 1.5) * std::pow(0.5, -2) * 10, 1e-6));
    CHECK(found.u_of("weight (weighed)") == near(1.5 * 0.003, 1e-4));
    CHECK(found.u_of("dimension: depth") == near(2 * 0.001, 1e-4));
    CHECK(found.u_of("dimension: width") == near(2 * 0.002, 1e-4));
    CHECK(found.u_of("dimension: length") == near(0.004, 1e-4));
    CHECK(found->u ==
          near(std::sqrt(0.0045 * 0.0045 + 0.002 * 0.002 + 0.004 * 0.004 + 0.004 * 0.004), 1e-4));
}

TEST_CASE("one input that enters twice adds up before it is squared") {
    // Weight in the size curve: sensitivity 1 + slope, also when the slope is negative.
    for (const double slope : {0.5, -0.5, -1.0, 2.0}) {
        CAPTURE(slope);
        Tiny tiny;
        tiny.factors = "[" + power("size", "/weight_ct", slope) + "]";
        const Outcome found = value_of(plain_stone(reading(2, 0.002)), tiny.read());
        CHECK(found->u == Approx(std::abs(1 + slope) * 0.001).epsilon(1e-5).scale(1e-3));
    }
}

TEST_CASE("ten fully correlated inputs: JCGM 100, 5.2.2") {
    // The guide's ten resistors compared with one standard: each u = 0.1, their sum u = 1 and not
    // 0.32. Here ten factors read one length, known to 1 %.
    std::string factors;
    for (int i = 0; i < 10; ++i) {
        factors += (i == 0 ? "" : ",") + power(std::to_string(i), "/dimensions_mm/length", 1);
    }
    Tiny tiny;
    tiny.factors = "[" + factors + "]";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.dimensions_mm.length = reading(10, 0.1);
    const Outcome found = value_of(stone, tiny.read());
    CHECK(found->u == near(0.1, 1e-3)); // 10 x 1 %; independent it would be 3.2 %
    REQUIRE(found->budget.size() >= 1);
    CHECK(found->budget[0].source == "dimension: length");
    CHECK(found->budget[0].share == near(1, 1e-6));
}

TEST_CASE("the same word, share or cell read twice is one input") {
    const std::string pattern =
        R"("kind": "category", "field": "/play_of_colour/pattern", "values": {"a": 1, "b": 4}})";
    Tiny tiny;
    tiny.factors = R"([{"name": "one", )" + pattern + R"(, {"name": "two", )" + pattern + "]";
    Stone stone = plain_stone(reading(1, 1e-9));
    stone.play_of_colour->pattern = words("a", "b");
    CHECK(value_of(stone, tiny.read())->u == near(2 * std::log(2.0) / sqrt3, 1e-6));

    // Two cracks of one kind and place: what the matrix does not know about the one it does not
    // know about the other.
    tiny.factors = R"([{"name": "faults", "kind": "fault", "field": "/faults",
        "values": {"crack": {"face": {"minor": [0.5, 0.8]}, "back": {"minor": [0.5, 0.8]}}}}])";
    const double one = std::log(0.8 / 0.5) / (2 * 1.959964);
    stone.faults = std::vector<Fault>{{"crack", "face", word("minor")}};
    CHECK(value_of(stone, tiny.read())->u == near(one, 1e-6));
    stone.faults->push_back({"crack", "face", word("minor")});
    CHECK(value_of(stone, tiny.read())->u == near(2 * one, 1e-6));
    stone.faults->back().place = "back";
    CHECK(value_of(stone, tiny.read())->u == near(std::sqrt(2.0) * one, 1e-6));
}

TEST_CASE("three uncertain factors: the product worked out in the guide's manner") {
    // 3.00 +-0.01 rectangular x 100 +-20 rectangular: u(V)/V = sqrt((0.01/3)^2 + 0.2^2) / sqrt 3 =
    // 0.115486. (Of the usual example the third factor, triangular, is no input a record has.) The
    // tangent of the logarithm is 0.11547, its difference quotient 0.11599: within 0.5 %.
    Tiny tiny;
    tiny.factors = R"([{"name": "length", "kind": "curve", "field": "/dimensions_mm/length",
        "spacing": "log", "points": [{"at": 1, "factor": 1}, {"at": 1000, "factor": 1000}]}])";
    Stone stone = plain_stone(limits(2.99, 3.01));
    stone.dimensions_mm.length = limits(80, 120);
    const Outcome found = value_of(stone, tiny.read(), {}, 200'000, 7);
    CHECK(found->likely == near(300, 1e-6));
    CHECK(found->u == near(0.115486, 0.005));
    // Rectangular inputs end: k u = 0.2273 would reach from 239.0 to 376.6, and nothing lies below
    // 2.99 x 80 or above 3.01 x 120.
    CHECK(found->range.low == near(239.2, 1e-6));
    CHECK(found->range.high == near(361.2, 1e-6));
    CHECK(found->outer.low == near(239.2, 1e-6));
    CHECK(found->outer.high == near(361.2, 1e-6));
    // Simulated: 300 x (the central 95 % of +-20 %), [243, 357]. The quantile's sampling error is
    // sqrt(0.025 x 0.975 / 200 000) x 120 = 0.042; five of them.
    REQUIRE(found->simulation);
    CHECK(std::abs(found->simulation->range.low - 243) < 0.21);
    CHECK(std::abs(found->simulation->range.high - 357) < 0.21);
    CHECK(std::abs(found->simulation->likely - 300) < 5 * 120 * 0.5 / std::sqrt(200'000.0));
}

TEST_CASE("likely lies in the range, the range in the outer limits, and the budget sums to one") {
    for (const Stone& stone : all_examples()) {
        const Outcome found = value_of(stone, demonstration());
        CAPTURE(*stone.id);
        CHECK(found->outer.low <= found->range.low);
        CHECK(found->range.low <= found->likely);
        CHECK(found->likely <= found->range.high);
        CHECK(found->range.high <= found->outer.high);
        double shares = 0;
        double squares = 0;
        for (std::size_t i = 0; i < found->budget.size(); ++i) {
            shares += found->budget[i].share;
            squares += found->budget[i].u * found->budget[i].u;
            CHECK((i == 0 || found->budget[i - 1].share >= found->budget[i].share));
        }
        CHECK(shares == near(1, 1e-12));
        CHECK(std::sqrt(squares) == near(found->u, 1e-12));
    }
}

TEST_CASE("printed factors have seven significant digits, and their product is the value") {
    for (const Stone& stone : all_examples()) {
        const Outcome found = value_of(stone, demonstration(), "retail");
        CAPTURE(*stone.id);
        double running = found->weight.ct.value;
        double low = found->weight_limits.low;
        double high = found->weight_limits.high;
        for (const valuation::Reason& reason : found->reasons) {
            CAPTURE(reason.row.step);
            for (const double printed : {reason.low, reason.likely, reason.high}) {
                std::ostringstream seven;
                seven.precision(7);
                seven << printed;
                CHECK(std::stod(seven.str()) == printed);
            }
            CHECK(reason.low <= reason.likely);
            CHECK(reason.likely <= reason.high);
            running *= reason.likely;
            low *= reason.low;
            high *= reason.high;
            CHECK(reason.running == running);
        }
        CHECK(found->likely == running);
        CHECK(found->outer.low == low);
        CHECK(found->outer.high == high);
    }
}

TEST_CASE("the order of faults, treatments and colours changes nothing but the order") {
    Stone stone = stones_in("first-stone.json").front();
    stone.treatments = std::vector<std::string>{"wax", "oil"};
    stone.faults->push_back({"crack", "girdle", words("minor", "moderate")});
    const Outcome before = value_of(stone, demonstration());
    std::reverse(stone.treatments->begin(), stone.treatments->end());
    std::reverse(stone.faults->begin(), stone.faults->end());
    std::reverse(stone.play_of_colour->colours->begin(), stone.play_of_colour->colours->end());
    const Outcome after = value_of(stone, demonstration());
    CHECK(after->likely == near(before->likely, 1e-13));
    CHECK(after->u == near(before->u, 1e-13));
    CHECK(after->range.low == near(before->range.low, 1e-13));
    CHECK(after->outer.high == near(before->outer.high, 1e-13));
    CHECK(after->reasons.size() == before->reasons.size());
    for (const valuation::BudgetShare& line : before->budget) {
        CAPTURE(line.source);
        CHECK(after.u_of(line.source) == near(line.u, 1e-12));
    }
}
