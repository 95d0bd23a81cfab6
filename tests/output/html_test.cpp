// The pieces of a page: escaping, the drawing's geometry, the waterfall's sums, the axis.
#include "near.hpp"
#include "output/drawing.hpp"
#include "output/html_axis.hpp"
#include "output/html_card.hpp"
#include "output/html_drawing.hpp"
#include "output/html_page.hpp"
#include "output/html_reasons.hpp"
#include "output/html_text.hpp"
#include "output/html_tray.hpp"
#include "pricing/conversion.hpp"
#include "valuation/support.hpp"
#include "weight/outline_curve.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <regex>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using doctest::Approx;
using std::numbers::pi;
using test::near;

namespace {

recutting::Body body(weight::Outline outline, double length, double width) {
    return {.outline = outline,
            .length = length,
            .width = width,
            .form = weight::outline_form(outline).value,
            .wall = 0.8,
            .dome = 2.9,
            .back = 0.6,
            .dome_form = 2.0 / 3};
}

std::size_t count_of(std::string_view text, std::string_view what) {
    std::size_t n = 0;
    for (std::size_t at = text.find(what); at != std::string_view::npos;
         at = text.find(what, at + what.size())) {
        ++n;
    }
    return n;
}

// All amounts with two decimals that stand in a span of that class, in cents.
std::vector<long long> changes_in(const std::string& html) {
    static const std::regex change(
        "<span class=\"change\">(\\+|\xE2\x88\x92)([0-9,]+)\\.([0-9]{2})<");
    std::vector<long long> found;
    for (std::sregex_iterator it(html.begin(), html.end(), change), end; it != end; ++it) {
        std::string digits = (*it)[2].str() + (*it)[3].str();
        std::erase(digits, ',');
        found.push_back((*it)[1] == "+" ? std::stoll(digits) : -std::stoll(digits));
    }
    return found;
}

} // namespace

TEST_CASE("texts are escaped for an element and for an attribute") {
    CHECK(output::escaped("a<b>&\"'c") == "a&lt;b&gt;&amp;&quot;&#39;c");
    CHECK(output::escaped("&lt;") == "&amp;lt;");
    // Controls, bidirectional controls and bytes that are not UTF-8 become U+FFFD.
    CHECK(output::escaped("a\nb\xE2\x80\xAE"
                          "c\xFF") == "a\xEF\xBF\xBD"
                                      "b\xEF\xBF\xBD"
                                      "c\xEF\xBF\xBD");
    CHECK(output::isolated("\xD7\x90<") == "<bdi>\xD7\x90&lt;</bdi>");
}

TEST_CASE("a drawing is to scale: so many px to the mm, and the weight model's area") {
    for (std::size_t i = 0; i < weight::outline_names.size(); ++i) {
        for (const double length : {6.0, 12.1, 19.0, 31.0, 64.0, 140.0}) {
            const auto outline = static_cast<weight::Outline>(i);
            CAPTURE(weight::outline_names[i]);
            CAPTURE(length);
            const recutting::Body b = body(outline, length, 0.8 * length);
            const output::Drawing d = output::draw(b, {});
            CHECK(d.px_per_mm == near(d.magnification * 96 / 25.4, 1e-12));
            CHECK(d.plan_to.x - d.plan_from.x == near(length * d.px_per_mm, 1e-12));
            CHECK(d.plan_to.y - d.plan_from.y == near(0.8 * length * d.px_per_mm, 1e-12));
            CHECK(std::abs(weight::area_of(d.plan)) / (d.px_per_mm * d.px_per_mm) ==
                  near(b.area(), 0.005));
            // From the side: the wall, and a half ellipse on it and one below.
            const double side = length * (b.wall + pi / 4 * (b.dome + b.back));
            CHECK(std::abs(weight::area_of(d.side)) / (d.px_per_mm * d.px_per_mm) ==
                  near(side, 0.005));
            CHECK(d.side_to.y - d.side_from.y == near(b.depth() * d.px_per_mm, 1e-12));
            for (const auto& points : {d.plan, d.side}) {
                for (const weight::Point& p : points) {
                    CHECK(p.x >= d.plan_from.x - 1e-9);
                    CHECK(p.x <= d.plan_to.x + 1e-9);
                    CHECK(p.y <= d.side_to.y + 1e-9);
                }
            }
            CHECK(d.width < 320); // a telephone's width
        }
    }
    // Twelve millimetres at 4 : 1 are 181.4 px.
    CHECK(output::draw(body(weight::Outline::oval, 12, 9), {}).px_per_mm == near(15.118, 1e-4));
}

TEST_CASE("the drawn polygon of every example is the area that it is weighed by") {
    std::size_t drawn = 0;
    for (const Stone& stone : test::all_examples()) {
        const auto measures = recutting::measures_of(stone);
        CAPTURE(*stone.id);
        REQUIRE(measures);
        const recutting::Body b = recutting::body_of(*measures);
        const output::Drawing d = output::draw(b, {});
        CHECK(std::abs(weight::area_of(d.plan)) / (d.px_per_mm * d.px_per_mm) ==
              near(b.area(), 0.005));
        ++drawn;
    }
    CHECK(drawn > 15);
}

TEST_CASE("a freeform stone of measured area is drawn with that area") {
    recutting::Body b = body(weight::Outline::freeform, 14, 10);
    for (const double part : {0.7, 1.0, 1.2}) {
        b.area_part = part;
        const output::Drawing d = output::draw(b, {});
        CHECK(std::abs(weight::area_of(d.plan)) / (d.px_per_mm * d.px_per_mm) ==
              near(part * 0.775 * 140, 0.005));
    }
}

TEST_CASE("each fault is marked on the part that it lies on") {
    const std::vector<Fault> faults{{"sand", "back", test::word("minor")},
                                    {"crack", "face", test::word("severe")},
                                    {"crazing", "face", test::words("minor", "moderate")},
                                    {"chip", "girdle", test::word("minor")},
                                    {"inclusion", "body", test::word("minor")},
                                    {"crack", "culet", test::word("minor")}};
    const recutting::Body b = body(weight::Outline::oval, 12, 9);
    const output::Drawing d = output::draw(b, faults);
    REQUIRE(d.marks.size() == 5);
    const auto mark = [&](std::size_t number) {
        return std::find_if(d.marks.begin(), d.marks.end(),
                            [=](const output::Mark& m) { return m.number == number; })
            ->at;
    };
    const double axis = (d.plan_from.y + d.plan_to.y) / 2;
    const auto from_axis = [&](weight::Point p) { return std::abs(p.y - axis) / d.px_per_mm; };
    const auto half_width = [&](weight::Point p) {
        const double u = (p.x - d.plan_from.x) / d.px_per_mm / (b.length / 2) - 1;
        return b.width / 2 * std::sqrt(1 - u * u);
    };
    CHECK(mark(1).y == near(d.side_to.y, 0.02)); // the back, seen from the side
    CHECK(from_axis(mark(2)) < half_width(mark(2)));
    CHECK(from_axis(mark(3)) < half_width(mark(3)));
    CHECK(std::hypot(mark(2).x - mark(3).x, mark(2).y - mark(3).y) > 16); // they do not touch
    CHECK(from_axis(mark(4)) == near(half_width(mark(4)), 2e-3));
    CHECK(mark(5).y > d.side_from.y);
    CHECK(mark(5).y < d.side_to.y);

    Stone stone;
    stone.cut.outline = "oval";
    stone.dimensions_mm.length = test::reading(12, 0);
    stone.dimensions_mm.width = test::reading(9, 0);
    stone.dimensions_mm.depth = test::reading(4, 0);
    stone.faults = faults;
    const std::string figure = output::drawing_figure(stone);
    CHECK(count_of(figure, "<circle") == 5);
    CHECK(figure.find("Faults of another place are in the list alone.") != std::string::npos);
    CHECK(figure.find("Mark 3: crazing, face, minor to moderate.") != std::string::npos);
    CHECK(count_of(output::fault_list(stone), "<li>") == 6);

    stone.cut.outline = "like a shoe";
    CHECK(output::drawing_figure(stone).find("No drawing") != std::string::npos);
    stone.faults->clear();
    CHECK(output::fault_list(stone).find("None seen") != std::string::npos);
    stone.faults.reset();
    CHECK(output::fault_list(stone).find("Not stated") != std::string::npos);
}

TEST_CASE("the waterfall's steps sum to the likely value, as numbers and as printed") {
    for (const Stone& stone : test::all_examples()) {
        CAPTURE(*stone.id);
        const test::Outcome outcome = test::value_of(stone, test::demonstration());
        const std::vector<output::Fall> falls = output::waterfall(outcome->reasons);
        REQUIRE(falls.size() == outcome->reasons.size());
        CHECK(falls.front().from == 0);
        double sum = 0;
        for (std::size_t i = 0; i < falls.size(); ++i) {
            sum += falls[i].to - falls[i].from;
            CHECK((i == 0 || falls[i].from == falls[i - 1].to));
        }
        CHECK(sum == near(outcome->likely, 1e-12));
        CHECK(falls.back().to == outcome->likely);

        const std::string table = output::reasons_table(*outcome.valuation, test::demonstration());
        const Currency& currency = test::demonstration().currency;
        long long printed = to_money(falls.front().to, currency).minor;
        for (const long long change : changes_in(table)) {
            printed += change;
        }
        CHECK(printed == to_money(outcome->likely, currency).minor);
    }
}

TEST_CASE("a conversion is a row of its own, and no step of the waterfall") {
    const pricing::Matrix yen =
        pricing::converted(test::demonstration(), *currency_from("JPY"), 97.25, "2026-11-01");
    const Stone stone = test::all_examples().front();
    const test::Outcome own = test::value_of(stone, test::demonstration());
    const test::Outcome outcome = test::value_of(stone, yen);
    const std::vector<output::Fall> falls = output::waterfall(outcome->reasons);
    REQUIRE(falls.size() == own->reasons.size() + 1);
    CHECK(falls.back().from == own->likely);
    CHECK(falls.back().to == own->likely);
    const std::string table = output::reasons_table(*outcome.valuation, yen);
    CHECK(table.find("AUD, running") != std::string::npos);
    CHECK(table.find("JPY " + grouped(to_money(outcome->likely, yen.currency))) !=
          std::string::npos);
}

TEST_CASE("an axis is logarithmic, holds what it is made for and labels round amounts") {
    const Currency aud{"AUD", 2};
    const output::MoneyAxis axis(80, 12000, aud);
    CHECK(axis.place(80) > 0);
    CHECK(axis.place(12000) < 100);
    CHECK(axis.place(1000) - axis.place(100) == Approx(axis.place(10000) - axis.place(1000)));
    CHECK(axis.place(0) == 0);
    CHECK(axis.place(1e9) == 100);
    std::string labels;
    for (const auto& tick : axis.ticks()) {
        labels += tick.label + " ";
        CHECK(axis.place(std::stod(std::regex_replace(tick.label, std::regex(","), ""))) ==
              Approx(tick.place));
    }
    CHECK(labels == "100 200 500 1,000 2,000 5,000 10,000 ");
    CHECK(output::MoneyAxis(1, 1e9, aud).ticks().size() <= 7);
    CHECK(output::MoneyAxis(5, 5, aud).ticks().size() <= 1 + 1);
    CHECK(output::MoneyAxis(0, 0, aud).place(0.01) == Approx(50)); // no amount is below a cent
    CHECK(output::MoneyAxis(1e14, 1e15, aud).ticks().front().label == "1e+14");
}

TEST_CASE("whatever a record holds, a card has no element of its making") {
    const std::string hostile =
        "</title><script>alert(1)</script><img src=x onerror=y>\"'&\xE2\x80\xAE";
    test::Tiny tiny;
    const pricing::Matrix matrix = tiny.read();
    Stone stone = test::plain_stone();
    const std::string plain =
        output::html_valued(stone, *test::value_of(stone, matrix).valuation, matrix,
                            {{Code::shares_sum, Severity::warning, "p", "m", "h"}});
    stone.id = hostile;
    stone.notes = hostile;
    stone.treatments = std::vector<std::string>{};
    stone.cost = Cost{3.0, "AUD", hostile};
    Stone clean = stone;
    clean.id = clean.notes = "x";
    const auto card = [&](const Stone& of, const std::string& said) {
        return output::html_valued(of, *test::value_of(of, matrix).valuation, matrix,
                                   {{Code::shares_sum, Severity::warning, said, said, said}});
    };
    const std::string spoiled = card(stone, hostile);
    CHECK(count_of(spoiled, "<") == count_of(card(clean, "x"), "<"));
    CHECK(count_of(spoiled, "&lt;script&gt;") == 5); // id, notes, and three of the warning
    CHECK(spoiled.find("\xE2\x80\xAE") == std::string::npos);
    CHECK(count_of(spoiled, "\"") == count_of(card(clean, "x"), "\""));
    CHECK_FALSE(plain.empty());

    const std::string refused = output::html_refused(
        hostile, {{Code::not_priced, Severity::error, hostile, hostile, hostile}});
    CHECK(count_of(refused, "<") ==
          count_of(output::html_refused("x", {{Code::not_priced, Severity::error, "x", "x", "x"}}),
                   "<"));
}

TEST_CASE("a page says what it is and what it is not, at its top and at its foot") {
    const pricing::Matrix& matrix = test::demonstration();
    const std::string top = output::html_top(matrix, "trade", true);
    const std::string bottom = output::html_bottom(matrix);
    for (const std::string_view said : {"not an appraisal", "invented for the demonstration"}) {
        CHECK(top.find(said) != std::string::npos);
        CHECK(bottom.find(said) != std::string::npos);
    }
    CHECK(top.starts_with("<!DOCTYPE html>"));
    CHECK(top.find("default-src 'none'") != std::string::npos);
    CHECK(top.find("INVENTED") != std::string::npos);
    CHECK(top.find("class=\"invented\"") != std::string::npos);
    pricing::Matrix own = matrix;
    own.invented = false;
    own.name = "A<B";
    CHECK(output::html_top(own, "trade", false).find("class=\"invented\"") == std::string::npos);
    CHECK(output::html_top(own, "trade", false).find("A&lt;B") != std::string::npos);
}

TEST_CASE("a tray's closing names each stone, leads to it and gives the sum") {
    const pricing::Matrix& matrix = test::demonstration();
    const std::vector<output::TrayRow> rows{
        {.id = "A<1",
         .name = "black opal",
         .carats = 2,
         .low = 80,
         .likely = 100,
         .high = 125,
         .number = 1},
        {.id = "B", .name = {}, .refused = "No <cell>.", .number = 2},
        {.id = std::nullopt,
         .name = "light opal",
         .carats = 1,
         .estimated = true,
         .warned = true,
         .low = 800,
         .likely = 1000,
         .high = 1250,
         .number = 3}};
    valuation::Total total;
    total.stones = 2;
    total.likely = 1100;
    total.low = 850;
    total.high = 1400;
    output::TraySummary tray{.rows = &rows, .total = total, .refused = 1, .left_out = 1};
    const std::string html = output::html_tray(tray, matrix);
    CHECK(count_of(html, "href=\"#stone-1\"") == 2); // axis and table
    CHECK(count_of(html, "href=\"#stone-2\"") == 1); // a refused stone has no range
    CHECK(count_of(html, "href=\"#stone-3\"") == 2);
    CHECK(html.find("A&lt;1") != std::string::npos);
    CHECK(html.find("No &lt;cell&gt;.") != std::string::npos);
    CHECK(html.find("~3.00") != std::string::npos); // the sum of the weights, in part estimated
    CHECK(html.find("1,100") != std::string::npos);
    CHECK(html.find("1 record was refused") != std::string::npos);
    CHECK(html.find("1 record did not meet the conditions") != std::string::npos);
    CHECK(count_of(html, "class=\"strip\"") == 2);
    tray.rows = nullptr;
    CHECK(output::html_tray(tray, matrix).find("too many stones") != std::string::npos);
}
