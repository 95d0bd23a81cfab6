#include "valued.hpp"

#include "core/decimal.hpp"
#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "io/record_reader.hpp"
#include "support.hpp"

#include <cmath>
#include <filesystem>

#include <fmt/format.h>

namespace trayworth::fuzz {
namespace {

using nlohmann::json;
using valuation::Valuation;

bool positive(double x) {
    return std::isfinite(x) && x > 0;
}

// 0 < low <= likely <= high, all finite.
void expect_ordered(double low, double likely, double high, std::string_view what) {
    expect(positive(low) && std::isfinite(high) && low <= likely && likely <= high,
           fmt::format("{} out of order: {} {} {}", what, low, likely, high));
}

void expect_close(double a, double b, std::string_view what) {
    expect(std::abs(a - b) <= 1e-9 * std::max({1.0, std::abs(a), std::abs(b)}),
           fmt::format("{}: {} and {}", what, a, b));
}

void expect_ladder(const Valuation& valuation) {
    const weight::Weight& weight = valuation.weight;
    expect(positive(weight.ct.value) && std::isfinite(weight.ct.u) && weight.ct.u >= 0,
           "a weight that is none");
    expect_ordered(valuation.weight_limits.low, weight.ct.value, valuation.weight_limits.high,
                   "limits of the weight");
    double likely = weight.ct.value;
    valuation::Interval outer = valuation.weight_limits;
    for (const valuation::Reason& reason : valuation.reasons) {
        expect_ordered(reason.low, reason.likely, reason.high, reason.row.step);
        expect(reason.likely == to_significant(reason.likely), "a factor of more than seven digits",
               reason.row.step);
        likely *= reason.likely;
        outer.low *= reason.low;
        outer.high *= reason.high;
        expect(reason.running == likely, "a running value that the factors do not give",
               reason.row.step);
    }
    expect(likely == valuation.likely, "a value that its factors do not give");
    expect(outer.low == valuation.outer.low && outer.high == valuation.outer.high,
           "outer limits that the factors do not give");
}

void expect_budget(const Valuation& valuation) {
    double shares = 0;
    double variance = 0;
    double before = 1;
    for (const valuation::BudgetShare& line : valuation.budget) {
        expect(line.share > 0 && line.share <= before + 1e-12 && positive(line.u),
               "a budget out of order", line.source);
        before = line.share;
        shares += line.share;
        variance += line.u * line.u;
    }
    expect(valuation.budget.empty() == (valuation.u == 0), "a budget without an uncertainty");
    if (!valuation.budget.empty()) {
        expect_close(shares, 1, "shares of the budget");
        expect_close(std::sqrt(variance), valuation.u, "uncertainty of the budget");
    }
    double effects = 0;
    for (const valuation::Effect& effect : valuation.effects) {
        expect(effect.common >= 0 && effect.common <= 1, "an effect that is common beyond all",
               effect.source);
        effects += effect.u * effect.u;
    }
    expect_close(std::sqrt(effects), valuation.u, "uncertainty of the effects");
}

// Those of a file that are accepted.
void add_stones(const std::string& path, std::vector<Stone>& all) {
    io::FileSource source(path);
    io::Framer framer(source, path.ends_with(".ndjson") ? io::Form::lines : io::Form::any);
    Diagnostics diagnostics;
    std::optional<Stone> defaults;
    if (framer.shape() == io::Shape::tray) {
        defaults = io::read_tray(framer.envelope(), path, diagnostics);
    }
    while (const std::optional<io::Frame> frame = framer.next()) {
        io::ReadRecord record =
            io::read_record(*frame, defaults ? &*defaults : nullptr, path, diagnostics);
        if (record.accepted) {
            all.push_back(std::move(record.stone));
        }
    }
}

} // namespace

void expect_consistent(const Valuation& valuation, const pricing::Matrix& matrix) {
    expect_ordered(valuation.outer.low, valuation.likely, valuation.outer.high, "outer limits");
    expect_ordered(valuation.range.low, valuation.likely, valuation.range.high, "range");
    expect(valuation.outer.low <= valuation.range.low &&
               valuation.range.high <= valuation.outer.high,
           "a range beyond the outer limits");
    expect(std::isfinite(valuation.u) && valuation.u >= 0, "an uncertainty that is none");
    const double k = matrix.coverage_factor;
    expect(valuation.range.high <= valuation.likely * std::exp(k * valuation.u),
           "a range wider than its uncertainty");
    expect_ladder(valuation);
    expect_budget(valuation);
    expect(!valuation.nomenclature.name.empty(), "a stone without a name");
}

void expect_agreement(const Stone& stone,
                      const pricing::Matrix& matrix,
                      const pricing::Entry& level,
                      const Valuation& valuation) {
    constexpr std::size_t trials = 64;
    Diagnostics diagnostics;
    const auto brief =
        valuation::value(stone, {matrix, level, trials, 1, valuation::Explain::no}, diagnostics);
    expect(brief.has_value(), "refused only without reasons");
    expect(brief->likely == valuation.likely && brief->range.low == valuation.range.low &&
               brief->range.high == valuation.range.high &&
               brief->outer.low == valuation.outer.low &&
               brief->outer.high == valuation.outer.high && brief->u == valuation.u,
           "another value without reasons");
    const valuation::Simulation& simulation = *brief->simulation;
    expect_ordered(simulation.range.low, simulation.likely, simulation.range.high, "simulation");
    expect(std::isfinite(simulation.u), "a simulated uncertainty that is none");
}

void expect_printed(const json& read, const Valuation& valuation, const pricing::Matrix& matrix) {
    const auto money = [&matrix](double amount) {
        return json::parse(plain(to_money(amount, matrix.currency)));
    };
    const auto number = [](const json& value) { return value.get<double>(); };
    const json& value = read.at("value");
    expect(value.at("likely") == money(valuation.likely) &&
               value.at("low") == money(valuation.range.low) &&
               value.at("high") == money(valuation.range.high) &&
               value.at("outer_low") == money(valuation.outer.low) &&
               value.at("outer_high") == money(valuation.outer.high),
           "a value printed as another", value.dump());
    expect(value.at("likely") >= 0 && value.at("outer_low") <= value.at("low") &&
               value.at("low") <= value.at("likely") && value.at("likely") <= value.at("high") &&
               value.at("high") <= value.at("outer_high"),
           "a value printed out of order", value.dump());
    const json& weight = read.at("weight_ct");
    expect(number(weight.at("value")) == valuation.weight.ct.value, "another weight printed");
    if (!read.contains("reasons")) { // brief
        return;
    }
    expect(number(weight.at("low")) == valuation.weight_limits.low &&
               number(weight.at("high")) == valuation.weight_limits.high,
           "other limits of the weight printed", weight.dump());
    const json& reasons = read.at("reasons");
    expect(reasons.size() == valuation.reasons.size(), "another number of reasons printed");
    double likely = number(weight.at("value"));
    for (std::size_t i = 0; i < reasons.size(); ++i) {
        const valuation::Reason& reason = valuation.reasons[i];
        expect(number(reasons[i].at("low")) == reason.low &&
                   number(reasons[i].at("likely")) == reason.likely &&
                   number(reasons[i].at("high")) == reason.high,
               "a reason printed as another", reasons[i].dump());
        likely *= number(reasons[i].at("likely"));
    }
    expect(value.at("likely") == money(likely), "printed factors do not give the printed value",
           read.dump());
}

const pricing::Matrix& demonstration() {
    static const pricing::Matrix matrix = [] {
        Diagnostics diagnostics;
        auto read = io::read_matrix(io::demonstration_matrix(), file_name, diagnostics);
        expect(read.has_value(), "the demonstration matrix is refused");
        return std::move(*read);
    }();
    return matrix;
}

const std::vector<Stone>& known_stones() {
    static const std::vector<Stone> stones = [] {
        std::vector<Stone> all;
        for (const std::string name :
             {"first-stone.json", "ring-stone-set.json", "tray.json", "stock.ndjson"}) {
            const std::size_t before = all.size();
            add_stones(TRAYWORTH_SOURCE_DIR "/examples/" + name, all);
            expect(all.size() > before, "an example without a stone", name);
        }
        const std::filesystem::path seeds = TRAYWORTH_SOURCE_DIR "/tests/fuzz/seeds/records";
        for (const auto& file : std::filesystem::directory_iterator(seeds)) {
            add_stones(file.path(), all);
        }
        return all;
    }();
    return stones;
}

} // namespace trayworth::fuzz
