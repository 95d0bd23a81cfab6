#include "valuation/selection.hpp"
#include "valuation/support.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using valuation::Candidate;
using valuation::SortKey;

namespace {

// An invented stone that straddles tone, transparency and pattern, and its valuation.
struct Sample {
    Stone stone = test::plain_stone();
    valuation::Valuation valued;
    bool warned = false;

    Sample() {
        stone.id = "B-7";
        stone.body_tone = Range{3, 5};
        stone.transparency = Range{Transparency::translucent, Transparency::opaque};
        stone.play_of_colour->pattern = test::words("ribbon", "broad flash");
        stone.faults = {{"crack", "face", test::word("minor")},
                        {"potch line", "back", test::word("minor")}};
        valued.nomenclature.name = "black or dark opal, grey body";
        valued.weight.ct.value = 2.5;
        valued.weight.basis = weight::Basis::estimated;
        valued.likely = 500;
        valued.range = {400, 625};
    }
    [[nodiscard]] bool meets(std::string_view text, bool refused = false) const {
        const auto condition = valuation::condition_from(text);
        CAPTURE(text);
        CAPTURE(condition.error);
        REQUIRE(condition.value);
        return valuation::matches(*condition.value, {stone, refused ? nullptr : &valued, warned});
    }
};

std::string error_of(std::string_view text) {
    const auto condition = valuation::condition_from(text);
    CHECK(condition.value.has_value() == condition.error.empty());
    return condition.error;
}

} // namespace

TEST_CASE("a condition on each field, met and not met") {
    Sample sample;
    for (const char* text : {"id=B-7",
                             "id!=B-70",
                             "name=black or dark",
                             "name=Opal",
                             "name!=crystal",
                             "type=solid",
                             "type!=boulder",
                             "tone=N3",
                             "tone=N4",
                             "tone=N5",
                             "tone!=N2",
                             "tone<=N3",
                             "tone<N4",
                             "tone>N4",
                             "tone>=N5",
                             "transparency=translucent",
                             "transparency=opaque",
                             "transparency!=transparent",
                             "pattern=ribbon",
                             "pattern=broad flash",
                             "pattern!=harlequin",
                             "fault=crack",
                             "fault=potch line",
                             "fault!=pits",
                             "fault!=none",
                             "basis=estimated",
                             "basis!=weighed",
                             "refused=no",
                             "refused!=yes",
                             "warnings=no",
                             "weight=2.5",
                             "weight!=2",
                             "weight<2.6",
                             "weight<=2.5",
                             "weight>2.4",
                             "weight>=2.5",
                             "low=400",
                             "likely=500",
                             "likely>=500",
                             "high=625",
                             " likely  >  100 "}) {
        CAPTURE(text);
        CHECK(sample.meets(text));
    }
    for (const char* text : {"id=b-7",
                             "id!=B-7",
                             "name=crystal",
                             "name!=dark",
                             "type=boulder",
                             "type!=solid",
                             "tone=N2",
                             "tone=N6",
                             "tone!=N4",
                             "tone<N3",
                             "tone>N5",
                             "tone>=N6",
                             "transparency=transparent",
                             "transparency!=opaque",
                             "pattern=harlequin",
                             "pattern!=ribbon",
                             "pattern!=broad flash",
                             "fault=pits",
                             "fault!=crack",
                             "fault=none",
                             "basis=weighed",
                             "basis!=estimated",
                             "refused=yes",
                             "refused!=no",
                             "warnings=yes",
                             "weight=2",
                             "weight!=2.5",
                             "weight<2.5",
                             "weight<=2.4",
                             "weight>2.5",
                             "weight>=2.6",
                             "low>400",
                             "likely<500",
                             "high<625"}) {
        CAPTURE(text);
        CHECK_FALSE(sample.meets(text));
    }
    sample.warned = true;
    CHECK(sample.meets("warnings=yes"));
    sample.stone.faults->clear();
    CHECK(sample.meets("fault=none"));
    CHECK(sample.meets("fault!=crack"));
    CHECK_FALSE(sample.meets("fault!=none"));
}

TEST_CASE("what a record does not state meets no condition, nor its contrary") {
    Sample sample;
    sample.stone = Stone{};
    for (const char* field : {"id", "type", "tone", "transparency", "pattern", "fault"}) {
        const std::string value = std::string_view(field) == "type"           ? "solid"
                                  : std::string_view(field) == "tone"         ? "N1"
                                  : std::string_view(field) == "transparency" ? "opaque"
                                                                              : "none";
        CAPTURE(field);
        CHECK_FALSE(sample.meets(field + ("=" + value)));
        CHECK_FALSE(sample.meets(field + ("!=" + value)));
    }
}

TEST_CASE("a refused stone is known by what was read of it") {
    const Sample sample;
    CHECK(sample.meets("refused=yes", true));
    CHECK(sample.meets("id=B-7", true));
    CHECK(sample.meets("fault=crack", true));
    CHECK(sample.meets("name=opal", true));
    for (const char* text : {"weight>0", "weight!=0", "low>0", "likely>0", "likely!=0", "high>0",
                             "basis=weighed", "basis!=weighed", "refused=no"}) {
        CAPTURE(text);
        CHECK_FALSE(sample.meets(text, true));
    }
}

TEST_CASE("a condition that cannot be understood says what to write") {
    CHECK(error_of("crack") ==
          "\"crack\" is no condition: write a field, a comparison and a value, "
          "such as fault=crack or likely>=100.");
    CHECK(error_of("") == "\"\" is no condition: write a field, a comparison and a value, such as "
                          "fault=crack or likely>=100.");
    CHECK(error_of("falut=crack") ==
          "\"falut=crack\": there is no field \"falut\" (did you mean \"fault\"?); the fields are "
          "id, name, type, tone, transparency, pattern, fault, basis, refused, warnings, weight, "
          "low, likely, high.");
    CHECK(error_of("=crack").find("there is no field \"\"") != std::string::npos);
    CHECK(error_of("weight==2") ==
          "\"weight==2\": \"==\" compares nothing; the comparisons are = != < <= > >=.");
    CHECK(error_of("weight=>2").find("\"=>\" compares nothing") != std::string::npos);
    CHECK(error_of("weight!2").find("\"!\" compares nothing") != std::string::npos);
    for (const std::string name : {"id", "name", "type", "transparency", "pattern", "fault",
                                   "basis", "refused", "warnings"}) {
        for (const std::string sign : {"<", "<=", ">", ">="}) {
            const std::string text = name + sign + "x";
            CHECK(error_of(text) ==
                  "\"" + text + "\": " + name + " is a word and takes = and != only.");
        }
    }
    CHECK(error_of("fault=") == "\"fault=\": what fault is compared with is missing.");
    CHECK(error_of("weight>= ") == "\"weight>= \": what weight is compared with is missing.");
    for (const std::string value : {"heavy", "1,000", "2ct", "1e3", "nan", "inf", "0x1", "1 2"}) {
        CHECK(error_of("likely>" + value) == "\"likely>" + value +
                                                 "\": likely is compared with a number such as "
                                                 "2.5, not \"" +
                                                 value + "\".");
    }
    CHECK(error_of("type=sold") == "\"type=sold\": type is never \"sold\" (did you mean "
                                   "\"solid\"?); it is one of solid, boulder, matrix, doublet, "
                                   "triplet, mosaic, synthetic, imitation.");
    CHECK(
        error_of("tone=3") ==
        "\"tone=3\": tone is never \"3\" (did you mean \"N3\"?); it is one of N1, N2, N3, N4, N5, "
        "N6, N7, N8, N9.");
    CHECK(error_of("tone<10").find("tone is never \"10\"") != std::string::npos);
    CHECK(error_of("transparency=clear").find("it is one of transparent, translucent, opaque.") !=
          std::string::npos);
    CHECK(error_of("basis=scale").find("it is one of weighed, estimated.") != std::string::npos);
    CHECK(error_of("refused=true").find("it is one of yes, no.") != std::string::npos);
    CHECK(error_of("warnings=1").find("it is one of yes, no.") != std::string::npos);
}

TEST_CASE("orders by name, reversed by a minus") {
    struct Row {
        const char* text;
        SortKey key;
        bool reversed;
    };
    for (const Row& row :
         {Row{"id", SortKey::id, false}, Row{"name", SortKey::name, false},
          Row{"weight", SortKey::weight, false}, Row{"likely", SortKey::likely, false},
          Row{"range", SortKey::width, false}, Row{"-id", SortKey::id, true},
          Row{"-range", SortKey::width, true}}) {
        CAPTURE(row.text);
        const auto order = valuation::order_from(row.text);
        REQUIRE(order.value);
        CHECK(order.error.empty());
        CHECK(order.value->key == row.key);
        CHECK(order.value->reversed == row.reversed);
    }
    const auto wrong = valuation::order_from("-wieght");
    CHECK_FALSE(wrong.value);
    CHECK(wrong.error == "there is no order by \"wieght\" (did you mean \"weight\"?); it is one of "
                         "id, name, weight, likely, range, with a - before it for the reverse.");
    for (const char* text : {"", "-", "--id", "value"}) {
        CHECK_FALSE(valuation::order_from(text).value);
    }
}

TEST_CASE("numbers within texts are in the order of numbers") {
    // "07" and "7" are the same number, and then the texts decide.
    const std::vector<std::string> ascending{"",
                                             "07",
                                             "7",
                                             "8",
                                             "10",
                                             "B-2",
                                             "B-2a",
                                             "B-10",
                                             "B-010-3",
                                             "B-10-20",
                                             "B-10a",
                                             "C",
                                             "C99999999999999999999998",
                                             "C99999999999999999999999",
                                             "T",
                                             "\xC3\xA9"};
    for (std::size_t i = 0; i < ascending.size(); ++i) {
        for (std::size_t j = 0; j < ascending.size(); ++j) {
            CAPTURE(ascending[i]);
            CAPTURE(ascending[j]);
            CHECK(valuation::goes_before(ascending[i], ascending[j]) == (i < j));
        }
    }
}

TEST_CASE("what a condition that is begun may go on with") {
    using Words = std::vector<std::string>;
    CHECK(valuation::conditions_after("t") == Words{"type=", "tone=", "transparency="});
    CHECK(valuation::conditions_after("w") == Words{"warnings=", "weight>=", "weight<="});
    CHECK(valuation::conditions_after("id") == Words{"id="});
    CHECK(valuation::conditions_after("basis") == Words{"basis="});
    CHECK(valuation::conditions_after("basis=") == Words{"basis=weighed", "basis=estimated"});
    CHECK(valuation::conditions_after("basis!=") == Words{"basis!=weighed", "basis!=estimated"});
    CHECK(valuation::conditions_after("weight>=").empty());
    CHECK(valuation::conditions_after("weigh=").empty());
}
