#include "core/bounds.hpp"
#include "io/plan_reader.hpp"
#include "recutting/compare.hpp"
#include "valuation/support.hpp"

#include <cmath>

#include <doctest/doctest.h>
#include <fmt/format.h>

using namespace trayworth;
using namespace trayworth::recutting;
using namespace trayworth::test;

namespace {

// 100 per carat; a pattern multiplies.
pricing::Matrix
by_carat(const std::string& patterns = R"("plain": 1, "ribbon": 1.5, "flash": [0.8, 1.25])") {
    Tiny tiny;
    tiny.grids = R"([{"name": "solid", "type": ["solid"],
                      "transparency": ["transparent", "translucent", "opaque"],
                      "body_tone": ["N2"], "brightness": [3], "per_carat": [[[80, 125]]]}])";
    tiny.factors = R"([{"name": "pattern", "kind": "category",
                        "field": "/play_of_colour/pattern", "if_absent": 1, "values": {)" +
                   patterns + "}}]";
    return tiny.read();
}

const std::string record = R"({"type": "solid", "treatments": [], "faults": [],
    "body_tone": "N2", "transparency": "opaque",
    "brightness": {"grade": 3, "steps": 5, "brightest": 5},
    "play_of_colour": {"colours": [{"colour": "green", "share": 1}], "pattern": "plain"},
    "weight_ct": {"value": 2, "uncertainty": 0}})";

std::string plan_of(const std::string& alternatives, const std::string& head = "") {
    return R"({"format": "trayworth/plan/1", "currency": "AUD", )" + head + R"("alternatives": [)" +
           alternatives + "]}";
}

struct Compared {
    std::optional<Comparison> comparison;
    Diagnostics diagnostics;

    const Comparison* operator->() const { return &*comparison; }
};

Compared try_compare(const std::string& plan_text,
                     const pricing::Matrix& matrix,
                     double aversion = 0,
                     std::size_t trials = 20'000) {
    const Terms terms{matrix, *pricing::find(matrix.market_levels, "trade"), trials, 1};
    Compared result;
    const std::optional<Plan> plan = io::read_plan(plan_text, "plan", record, result.diagnostics);
    if (!plan) {
        return result;
    }
    io::Frame frame{};
    frame.text = record;
    const io::ReadRecord read = io::read_record(frame, nullptr, "record", result.diagnostics);
    REQUIRE(read.accepted);
    const std::optional<Subject> now = subject_of(read.stone, terms, result.diagnostics);
    REQUIRE(now);
    CommonDraws draws(terms.trials, terms.seed);
    result.comparison = compare(*now, *plan, aversion, terms, draws, result.diagnostics);
    return result;
}

Compared
compared(const std::string& plan_text, const pricing::Matrix& matrix, double aversion = 0) {
    Compared result = try_compare(plan_text, matrix, aversion);
    for (const Diagnostic& d : result.diagnostics) {
        MESSAGE(d.pointer << ": " << d.message);
    }
    REQUIRE(result.comparison);
    return result;
}

void same(double found, double expected, double tolerance = 1e-4) {
    CAPTURE(found);
    CAPTURE(expected);
    CHECK(std::abs(found - expected) <= tolerance);
}

} // namespace

TEST_CASE("a plan of two outcomes by hand: value, work, chance, break-even") {
    // As it is 200. 1.8 ct of ribbon: 270; 1.7 ct plain: 170. 30 minutes at 40 and 5 of materials.
    const Compared found =
        compared(plan_of(R"({"name": "grind", "minutes": 30, "materials": 5, "outcomes": [
            {"name": "ribbon", "probability": 0.6,
             "changes": {"weight_ct": {"value": 1.8}, "play_of_colour": {"pattern": "ribbon"}}},
            {"name": "plain", "probability": 0.4, "changes": {"weight_ct": {"value": 1.7}}}]})",
                         R"("rate_per_hour": 40, )"),
                 by_carat());
    same(found->solution.leave, 200);
    const SolvedChoice& grind = found->solution.choices.front();
    same(grind.cost, 25);
    same(grind.expected, 0.6 * 270 + 0.4 * 170 - 25); // 205
    same(grind.chance_below, 0.4);
    same(grind.worst_net, 145);
    same(*grind.break_even_probability, (245.0 - 200) / (245 - 145));
    CHECK(found->solution.best == std::size_t{0});
    CHECK_FALSE(found->runner_up); // leaving it
    same(found->lead.likely, 5);
    CHECK(found->ends[0].ct == 1.8);
    same(found->ends[1].value, 170);
    // The difference is 2.3 X - 25 - 2 X with X the price per carat, 80 to 125: from -1 to 12.5.
    same(found->lead.low, 0.3 * 80 - 25, 0.1);
    same(found->lead.high, 0.3 * 125 - 25, 0.2);
    CHECK(found->too_close);
}

TEST_CASE("too close to call: by the market, by the probabilities, and not at all") {
    const auto plan = [](const std::string& weight, const std::string& probability = "0.5",
                         const std::string& rest = "0.5") {
        return plan_of(fmt::format(
            R"({{"name": "cut", "outcomes": [
                {{"name": "good", "probability": {1}, "changes": {{"weight_ct": {{"value": {0}}},
                  "play_of_colour": {{"pattern": "ribbon"}}}}}},
                {{"name": "bad", "probability": {2}, "changes": {{"weight_ct": {{"value": 1.5}}}}}}
            ]}})",
            weight, probability, rest));
    };
    // 0.5 x 1.9 x 1.5 + 0.5 x 1.5 = 2.175 of 2: ahead whatever the market does.
    const Compared sure = compared(plan("1.9"), by_carat());
    CHECK_FALSE(sure->too_close);
    same(sure->lead.low, 0.175 * 80, 0.2);
    same(sure->lead.high, 0.175 * 125, 0.3);
    same(sure->against_leaving.front().chance_below, 0.5);
    // With [0.3, 0.7] for both, as low as 0.3 x 2.85 + 0.7 x 1.5 = 1.905 of 2.
    const Compared vague = compared(plan("1.9", "[0.3, 0.7]", "[0.3, 0.7]"), by_carat());
    same(vague->lead.likely, 17.5);
    CHECK(vague->too_close);
}

TEST_CASE("of two alternatives that share the market the difference is of pairs") {
    // 1.9 ct of flash, [0.8, 1.25] about 1, against 1.85 ct of it: the factor is common too.
    const Compared found =
        compared(plan_of(R"({"name": "a", "outcomes": [{"changes": {"weight_ct": {"value": 1.9},
                    "play_of_colour": {"pattern": "flash"}}}]},
                   {"name": "b", "outcomes": [{"changes": {"weight_ct": {"value": 1.85},
                    "play_of_colour": {"pattern": "flash"}}}]})"),
                 by_carat());
    CHECK_FALSE(found->solution.best); // 200 as it is
    CHECK(found->runner_up == std::size_t{0});
    // ln(V / V0) of a = ln 0.95 + N(0, t): below 0 with Phi(-ln 0.95 / t).
    const double t = std::log(1.25) / 1.959963984540054;
    const double phi = std::erfc(std::log(0.95) / t / std::sqrt(2.0)) / 2;
    same(found->against_leaving[0].chance_below, phi, 0.015);
    CHECK(found->too_close);
}

TEST_CASE("what a plan must state, and what cannot be") {
    const pricing::Matrix matrix = by_carat();
    const auto first = [&](const std::string& text, double aversion = 0) {
        const Compared found = try_compare(text, matrix, aversion, 200);
        CHECK_FALSE(found.comparison);
        REQUIRE_FALSE(found.diagnostics.empty());
        return found.diagnostics.front();
    };
    const auto one = [](const std::string& changes) {
        return plan_of(R"({"name": "c", "outcomes": [{"changes": )" + changes + "}]}");
    };
    Diagnostic d = first(one(R"({"weight_ct": {"value": 2.5}})"));
    CHECK(d.pointer == "/alternatives/0/outcomes/0/changes/weight_ct");
    CHECK(d.message == "The stone weighs more than before: 2.5 ct, after 2 ct.");

    d = first(one(R"({"play_of_colour": {"pattern": "flsh"}})"));
    CHECK(d.code == Code::not_priced);
    CHECK(d.pointer == "/alternatives/0/outcomes/0/changes/play_of_colour/pattern");

    d = first(one(R"({"body_tone": "N9"})"));
    CHECK(d.pointer == "/alternatives/0/outcomes/0/changes/body_tone");

    std::string yen = one("{}");
    yen.replace(yen.find("AUD"), 3, "JPY");
    d = first(yen);
    CHECK(d.code == Code::currency_differs);
    CHECK(d.pointer == "/currency");

    d = first(one("{}"), 1);
    CHECK(d.pointer == "/wealth");
    CHECK(d.code == Code::field_missing);

    d = first(plan_of(R"({"name": "c", "materials": 300, "outcomes": [{}]})", R"("wealth": 50, )"),
              1);
    CHECK(d.pointer == "/wealth");
    CHECK(d.code == Code::value_range);
}

TEST_CASE("a smaller stone that keeps the scale's weight is refused, with its weight by volume") {
    const pricing::Matrix& matrix = demonstration();
    const Terms terms{matrix, *pricing::find(matrix.market_levels, matrix.market_level), 200, 1};
    const std::string path = TRAYWORTH_SOURCE_DIR "/examples/first-stone.json";
    io::FileSource source(path);
    const std::string text = io::read_all(source, bounds::document_bytes);
    Diagnostics diagnostics;
    const std::optional<Subject> now =
        subject_of(stones_in("first-stone.json").front(), terms, diagnostics);
    REQUIRE(now);
    const auto refused = [&](const std::string& changes) {
        const std::optional<Plan> plan =
            io::read_plan(plan_of(R"({"name": "c", "outcomes": [{"changes": )" + changes + "}]}"),
                          "plan", text, diagnostics);
        REQUIRE(plan);
        CommonDraws draws(terms.trials, terms.seed);
        Diagnostics found;
        const auto comparison = compare(*now, *plan, 0, terms, draws, found);
        return comparison ? std::string() : found.front().message + " " + found.front().hint;
    };
    // 0.4 mm off the flat back of 10.24 x 8.12 mm: pi/4 x 83.15 x 0.4 = 26.1 of 178.0 mm3.
    CHECK(refused(R"({"dimensions_mm": {"depth": 3.28, "wall": 0.4}})") ==
          "The changes give the stone other measures and leave its weight as it was. Give its "
          "\"weight_ct\" too, about 1.58 by its volume, or null to have it estimated.");
    CHECK(refused(R"({"dimensions_mm": {"depth": 3.28, "wall": 0.4}, "weight_ct": null})").empty());
    CHECK(refused(R"({"dimensions_mm": {"depth": 4.2}, "weight_ct": 1.7})").substr(0, 33) ==
          "The stone is deeper than before: ");
    // A doublet is built up: it may be what no cutting leads to.
    CHECK(refused(R"({"type": "doublet", "dimensions_mm": {"depth": 4.2}, "weight_ct": 2.4})")
              .empty());
}
