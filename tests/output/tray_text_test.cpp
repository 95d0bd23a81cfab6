#include "lines.hpp"
#include "output/safe_text.hpp"
#include "output/tray_text.hpp"
#include "valuation/support.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using output::TrayRow;
using output::TrayTable;
using test::lines_of;
using valuation::Order;
using valuation::SortKey;

namespace {

constexpr std::string_view dot = "\xE2\x97\x8F";
constexpr std::string_view line = "\xE2\x94\x80";
constexpr std::string_view top = "\xE2\x96\xB2";
constexpr std::string_view wide = "\xE2\x86\x94";

const pricing::Entry& trade(const pricing::Matrix& matrix) {
    return *pricing::find(matrix.market_levels, matrix.market_level);
}

std::string line_with(const std::string& text, std::string_view what) {
    for (const std::string& found : lines_of(text)) {
        if (found.find(what) != std::string::npos) {
            return found;
        }
    }
    FAIL("no line has " << what);
    return {};
}

TrayRow row(std::string id, double likely, double factor = 1.5, std::string name = "black opal") {
    return {.id = std::move(id),
            .name = std::move(name),
            .carats = 2,
            .low = likely / factor,
            .likely = likely,
            .high = likely * factor};
}

TrayRow refused(const std::string& id, const std::string& why) {
    return output::row_of(id, {{Code::shares_sum, Severity::warning, "", "Warned.", "."},
                               {Code::not_priced, Severity::error, "", why, "."}});
}

std::string ids_of(const std::string& text, const std::vector<std::string>& ids) {
    std::string order;
    for (const std::string& found : lines_of(text)) {
        for (const std::string& id : ids) {
            if (found.starts_with("  " + id + " ") || found.starts_with("! " + id + " ")) {
                order += (order.empty() ? "" : " ") + id;
            }
        }
    }
    return order;
}

std::string table_of(const std::vector<TrayRow>& rows,
                     std::size_t width = 80,
                     std::optional<Order> order = std::nullopt) {
    const pricing::Matrix& matrix = test::demonstration();
    TrayTable table(matrix, trade(matrix));
    for (const TrayRow& each : rows) {
        table.add(each);
    }
    if (order) {
        table.sort(*order);
    }
    return table.text(std::nullopt, {width, false});
}

// Column, from 0, of the first character of `what`.
std::size_t column_of(const std::string& text, std::string_view what) {
    const std::size_t at = text.find(what);
    REQUIRE(at != std::string::npos);
    return output::length_of(text.substr(0, at));
}

} // namespace

TEST_CASE("a tray of invented stones: the table to its last character") {
    const pricing::Matrix matrix = test::Tiny{}.read();
    TrayTable table(matrix, trade(matrix));
    table.add({.id = "A-1",
               .name = "black opal",
               .carats = 1.625,
               .low = 3050,
               .likely = 4550,
               .high = 6700});
    table.add({.id = "A-2",
               .name = "light crystal opal, hydrophane",
               .carats = 12,
               .estimated = true,
               .warned = true,
               .low = 195,
               .likely = 275,
               .high = 385});
    table.add(refused("A-3", "The matrix prices no pattern \"harlequn\"."));
    table.add({.id = std::nullopt,
               .name = "opal triplet",
               .carats = 0.96,
               .low = 39,
               .likely = 55,
               .high = 76});
    table.leave_out();
    valuation::TrayTotal sum;
    const std::vector<valuation::Effect> effects{{"price spread of the grid", 1, 0.2},
                                                 {"grade: brightness", 0, 0.2}};
    for (const double likely : {4550, 275, 55}) {
        sum.add(likely, effects);
    }
    const std::string text = table.text(sum.total(matrix.coverage_factor), {80, false});
    CHECK(text == R"(AUD (95 % coverage)
  For pricing a seller's own stock, at the trade level, by "tiny" as of
  2026-11-01, with INVENTED prices.

  stone   name                        ct    low  likely   high  20   200  10,000
  A-1     black opal                1.62  3,050   4,550▲ 6,700↔ ·     ·     ─●─·
! A-2     light crystal opal, hy… ~12.00    195     275    385  ·    ─●─       ·
  A-3     refused: The matrix prices no pattern "harlequn".
  (no id) opal triplet              0.96     39      55     76  · ●─  ·        ·
  ────────────────────────────────────────────────────────────
  sum     of 3 stones             ~14.58  2,860   4,880  8,368

  3 stones, sum of likely values AUD 4,880; range 2,860 to 8,368 (95 %
  coverage). 53 % of its variance is common to all stones and does not average
  out (53 %: price spread of the grid). 1 record was refused and not in the sum.
  1 record did not meet the conditions and is left out, of the sum too.
  ▲ the most valuable; ↔ the widest range for its value; ~ weight estimated, not
  weighed; ! has warnings (see them with --reasons); ─●─ low, likely, high, on
  one logarithmic scale in AUD.

  The matrix's prices are invented for the demonstration: this is not what a
  stone is worth. Use a matrix of your own.
  An estimate for pricing stock, not an appraisal: it does not promise what a
  sale will bring. For insurance, tax, estate or lending, ask a registered
  valuer; local rules come first.
)");
}

TEST_CASE("no line is longer than the terminal is wide") {
    const std::string long_name =
        "treated black or dark (crystal or not) opal, brown body, hydrophane (sugar and acid)";
    const std::string long_id = "A-very-long-identifier-0123456789";
    const std::string why = "A reason that is given at such length that no terminal of a usual "
                            "width has the room to hold all of it, whatever else stands there.";
    const std::string accents = "\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9";
    std::vector<std::vector<TrayRow>> tables{
        {},
        {refused("A", why)},
        {row("A", 100)},
        {row("A", 0.004)},
        {row("A", 1e12, 1)},
        {row(long_id, 100, 1.5, long_name), row(accents, 3, 1.1, accents), refused(long_id, why)},
        {row(long_id, 6e11, 1.5, long_name), row("B", 0.01), refused(long_id, why)},
        {row("A", 100, 30, long_name), row("B", 4000, 1.2, long_name)},
    };
    tables[5][0].carats = 123456.78;
    tables[5][0].estimated = true;
    const pricing::Matrix& demonstration = test::demonstration();
    test::Tiny yen;
    yen.currency = "JPY";
    const pricing::Matrix in_yen = yen.read();
    for (const pricing::Matrix* matrix : {&demonstration, &in_yen}) {
        for (const std::vector<TrayRow>& rows : tables) {
            TrayTable table(*matrix, trade(*matrix));
            valuation::TrayTotal sum;
            const std::vector<valuation::Effect> effects{{"market level", 0.5, 0.4}};
            for (const TrayRow& each : rows) {
                table.add(each);
                if (!each.refused) {
                    sum.add(each.likely, effects);
                }
            }
            for (const std::size_t width : {80U, 81U, 100U, 109U, 110U, 140U, 300U}) {
                for (const std::string& found :
                     lines_of(table.text(sum.total(matrix->coverage_factor), {width, false}))) {
                    CAPTURE(found);
                    CHECK(output::length_of(found) <= width);
                    CHECK_FALSE(found.ends_with(' '));
                }
            }
        }
    }
}

TEST_CASE("names are shortened only as needed, ids up to a limit") {
    const std::string name = "black or dark boulder opal, brown body";
    const std::string at_80 = line_with(table_of({row("A", 100, 1.5, name)}, 80), "A ");
    CHECK(at_80.find(name) == std::string::npos);
    CHECK(at_80.find("black or dark bou") != std::string::npos);
    CHECK(at_80.find("\xE2\x80\xA6") != std::string::npos);
    CHECK(at_80.find(dot) != std::string::npos);
    CHECK(line_with(table_of({row("A", 100, 1.5, name)}, 110), "A ").find(name) !=
          std::string::npos);
    const std::string id = "A-2026-0000-01";
    CHECK(table_of({row(id, 100)}, 80).find(id) == std::string::npos);
    CHECK(table_of({row(id, 100)}, 140).find(id) != std::string::npos);
}

TEST_CASE("the bar goes before the numbers do, and comes back with the room for it") {
    const std::vector<TrayRow> rows{row("A-2026-00001", 4.5e10, 1.5, "light crystal opal"),
                                    row("B-2026-00001", 0.05)};
    CHECK(table_of(rows, 80).find(dot) == std::string::npos);
    CHECK(table_of(rows, 80).find("67,500,000,000") != std::string::npos);
    CHECK(table_of(rows, 110).find(dot) != std::string::npos);
}

TEST_CASE("bars stand on one logarithmic scale, whose ends the heading states") {
    const std::vector<TrayRow> rows{row("A", 30, 1.2), row("B", 300, 2), row("C", 3000, 1.5),
                                    row("D", 300, 1.01), row("E", 7000, 1.3)};
    for (const std::size_t width : {80U, 100U, 140U}) {
        CAPTURE(width);
        const std::string text = table_of(rows, width);
        const std::string heading = line_with(text, "likely");
        // From 25 to 9100, so from 20 to 10,000.
        const std::size_t from = column_of(heading, "20");
        REQUIRE(heading.ends_with("10,000"));
        const std::size_t last = output::length_of(heading) - 1;
        CHECK(last - from + 1 >= 12);
        for (const TrayRow& each : rows) {
            const std::string found = line_with(text, "  " + *each.id + " ");
            const auto place = [&](double amount) {
                const double part = std::log(amount / 20) / std::log(10000.0 / 20);
                return from + static_cast<std::size_t>(
                                  std::lround(part * static_cast<double>(last - from)));
            };
            CAPTURE(found);
            CHECK(column_of(found, dot) == place(each.likely));
            std::size_t characters = 1; // of the bar
            for (std::size_t at = found.find(line); at != std::string::npos;
                 at = found.find(line, at + 1)) {
                ++characters;
            }
            CHECK(characters == place(each.high) - place(each.low) + 1);
        }
    }
}

TEST_CASE("the most valuable and the widest are marked, no more than a third of all") {
    std::vector<TrayRow> rows{row("A", 100, 1.5), row("B", 300, 1.2)};
    CHECK(table_of(rows).find(top) == std::string::npos);
    rows.push_back(row("C", 200, 1.6));
    std::string text = table_of(rows);
    CHECK(line_with(text, "  B ").find("300" + std::string(top)) != std::string::npos);
    CHECK(line_with(text, "  C ").find("320" + std::string(wide)) != std::string::npos);
    CHECK(line_with(text, "  A ").find(top) == std::string::npos);
    CHECK(text.find(std::string(top) + " the most valuable; " + std::string(wide) +
                    " the widest range for its value") != std::string::npos);
    for (int i = 0; i < 17; ++i) {
        rows.push_back(row("X", 10, 1.1));
    }
    rows.push_back(row("D", 400, 1.7));
    text = table_of(rows);
    for (const char* id : {"  B ", "  C ", "  D "}) {
        CHECK(line_with(text, id).find(top) != std::string::npos);
    }
    for (const char* id : {"  A ", "  C ", "  D "}) {
        CHECK(line_with(text, id).find(wide) != std::string::npos);
    }
    CHECK(line_with(text, "  B ").find(wide) == std::string::npos);
    CHECK(line_with(text, "  X ").find(top) == std::string::npos);
}

TEST_CASE("rows in each order") {
    const std::vector<std::string> ids{"T-10", "T-2", "T-9", "R-1", "T-1"};
    TrayRow a = row("T-10", 300, 1.2, "white opal");
    TrayRow b = row("T-2", 100, 1.9, "black opal");
    TrayRow c = row("T-9", 200, 1.5, "light opal");
    TrayRow d = row("T-1", 200, 1.4, "dark opal");
    a.carats = 1;
    b.carats = 4;
    c.carats = 3;
    d.carats = 2;
    const std::vector<TrayRow> rows{a, b, refused("R-1", "No."), c, d};
    const auto order = [&](SortKey key, bool reversed) {
        return ids_of(table_of(rows, 80, Order{key, reversed}), ids);
    };
    CHECK(ids_of(table_of(rows), ids) == "T-10 T-2 R-1 T-9 T-1");
    CHECK(order(SortKey::as_given, false) == "T-10 T-2 R-1 T-9 T-1");
    CHECK(order(SortKey::id, false) == "R-1 T-1 T-2 T-9 T-10");
    CHECK(order(SortKey::id, true) == "T-10 T-9 T-2 T-1 R-1");
    CHECK(order(SortKey::name, false) == "T-2 T-1 T-9 T-10 R-1");
    CHECK(order(SortKey::name, true) == "T-10 T-9 T-1 T-2 R-1");
    CHECK(order(SortKey::weight, false) == "T-10 T-1 T-9 T-2 R-1");
    CHECK(order(SortKey::weight, true) == "T-2 T-9 T-1 T-10 R-1");
    // Of equals, the one that was given first.
    CHECK(order(SortKey::likely, false) == "T-2 T-9 T-1 T-10 R-1");
    CHECK(order(SortKey::likely, true) == "T-10 T-9 T-1 T-2 R-1");
    CHECK(order(SortKey::width, false) == "T-10 T-1 T-9 T-2 R-1");
    CHECK(order(SortKey::width, true) == "T-2 T-9 T-1 T-10 R-1");
}

TEST_CASE("what stands in a record cannot act on the terminal") {
    TrayRow hostile = row("\x1B[2J\xE2\x80\xAE", 100, 1.5, "a\nb\x9B\x31m");
    const std::string text = table_of({hostile, refused("\x1B]0;t\x07", "No \x1B[31m.")});
    CHECK(text.find('\x1B') == std::string::npos);
    CHECK(text.find('\x07') == std::string::npos);
    CHECK(text.find('\x9B') == std::string::npos);
    CHECK(text.find("\xE2\x80\xAE") == std::string::npos);
    CHECK(output::safe(line_with(text, "[2J")) == line_with(text, "[2J"));
    // Colour is the program's own and only where it is asked for.
    const pricing::Matrix& matrix = test::demonstration();
    TrayTable table(matrix, trade(matrix));
    table.add(hostile);
    CHECK(table.text(std::nullopt, {80, true}).find("\x1B[1m") != std::string::npos);
    CHECK(table.text(std::nullopt, {80, true}).find("\x1B[2J") == std::string::npos);
}

TEST_CASE("colour changes no character that is seen") {
    const pricing::Matrix& matrix = test::demonstration();
    TrayTable table(matrix, trade(matrix));
    for (const TrayRow& each : {row("A", 100), row("B", 300, 1.7), row("C", 2000, 1.2)}) {
        table.add(each);
    }
    table.add(refused("D", "No."));
    std::string painted = table.text(std::nullopt, {100, true});
    for (std::size_t at = painted.find('\x1B'); at != std::string::npos;
         at = painted.find('\x1B')) {
        painted.erase(at, painted.find('m', at) - at + 1);
    }
    CHECK(painted == table.text(std::nullopt, {100, false}));
}

TEST_CASE("the sum is that of the stones that were valued") {
    const pricing::Matrix& matrix = test::demonstration();
    std::vector<valuation::Effect> effects{{"price spread of the grid", 1, 0.15}};
    valuation::TrayTotal sum;
    sum.add(100, effects);
    const output::TextStyle style{200, false};
    CHECK(output::total_text(sum.total(1), 0, matrix, style) ==
          "  1 stone, sum of likely values AUD 100; range 86 to 115 (80 % coverage).\n");
    effects.push_back({"grade: brightness", 0, 0.15});
    sum.add(100, effects);
    CHECK(output::total_text(sum.total(1), 2, matrix, style) ==
          "  2 stones, sum of likely values AUD 200; range 170 to 235 (80 % coverage). 80 % of its "
          "variance is common to all stones and does not average out (80 %: price spread of the "
          "grid). 2 records were\n  refused and not in the sum.\n");
    CHECK(output::total_text(valuation::TrayTotal().total(1), 1, matrix, style) ==
          "  No stone was valued. 1 record was refused and not in the sum.\n");
    // Many stones with nothing in common: the range lies above the sum of the likely values.
    valuation::TrayTotal many;
    const std::vector<valuation::Effect> own{{"grade: brightness", 0, 0.5}};
    for (int i = 0; i < 1000; ++i) {
        many.add(100, own);
    }
    CHECK(many.total(1).low > many.total(1).likely);
    CHECK(output::total_text(many.total(1), 0, matrix, style).find("The middle of the range is") !=
          std::string::npos);
}

TEST_CASE("lines of a tray that is written as it is read have fixed columns") {
    const pricing::Matrix& matrix = test::demonstration();
    const output::TextStyle style{80, false};
    const std::string heading = output::tray_heading(matrix, trade(matrix), style);
    const std::string columns = lines_of(heading).back();
    CHECK(columns.find("likely") != std::string::npos);
    for (const Stone& stone : test::all_examples()) {
        const test::Outcome valued = test::value_of(stone, matrix);
        const std::string found =
            output::tray_line(output::row_of(stone, *valued.valuation, {}), matrix, style);
        CAPTURE(found);
        CHECK(output::length_of(found) == output::length_of(columns) + 1);
        CHECK(output::length_of(found) <= 80);
    }
    const Diagnostics why{{Code::not_priced, Severity::error, "", std::string(200, 'x'), "."}};
    CHECK(output::length_of(output::tray_line(output::row_of("A", why), matrix, style)) <= 81);
    CHECK(output::tray_footing(matrix, style).find("not an appraisal") != std::string::npos);
}
