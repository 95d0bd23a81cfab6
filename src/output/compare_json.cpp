#include "core/decimal.hpp"
#include "output/compare.hpp"
#include "output/json.hpp"
#include "output/json_parts.hpp"
#include "output/statement.hpp"

#include <cmath>

namespace trayworth::output {
namespace {

void write_side_compared(JsonWriter& json, const Key& name, const CompareSide& side) {
    json.key(name);
    json.begin_object();
    json.member("name", side.matrix.name);
    json.member("as_of", side.matrix.as_of);
    json.key("invented");
    json.boolean(side.matrix.invented);
    json.member("market_level", side.level.name);
    json.end_object();
}

void write_term(JsonWriter& json, const Key& name, const std::optional<valuation::Reason>& reason) {
    json.key(name);
    if (!reason) {
        json.null();
        return;
    }
    json.begin_object();
    json.member("matrix_pointer", reason->row.matrix_pointer);
    if (!reason->row.file.empty()) {
        json.member("matrix_file", reason->row.file);
    }
    json.member("read", reason->row.read);
    json.member("low", reason->low);
    json.member("likely", reason->likely);
    json.member("high", reason->high);
    write_cells(json, reason->row.cells);
    json.end_object();
}

class CompareWriter {
public:
    CompareWriter(JsonWriter& json, const CompareReport& report)
        : json_(json), report_(report), currency_(report.b.matrix.currency) {}

    void write() {
        json_.begin_object();
        write_side_compared(json_, "a", report_.a);
        write_side_compared(json_, "b", report_.b);
        json_.member("currency", currency_.code);
        json_.key("stones");
        json_.begin_array();
        for (const ComparedStone& stone : report_.stones) {
            write_stone(stone);
        }
        json_.end_array();
        write_total();
        json_.member("purpose", purpose);
        json_.end_object();
    }

private:
    [[nodiscard]] Money money(double amount) const { return to_money(amount, currency_); }
    [[nodiscard]] Money change(double amount) const {
        Money found = money(std::abs(amount));
        found.minor = amount < 0 ? -found.minor : found.minor;
        return found;
    }

    void write_value(const Key& name,
                     const ComparedStone& stone,
                     const std::optional<valuation::Valuation>& valuation,
                     const Diagnostics& found) {
        json_.key(name);
        json_.begin_object();
        if (valuation) {
            json_.member("likely", money(valuation->likely));
            json_.member("low", money(valuation->range.low));
            json_.member("high", money(valuation->range.high));
            write_diagnostics(json_, "warnings", found);
        } else {
            json_.key("error");
            write_diagnostic(json_, *why_refused(stone, found));
        }
        json_.end_object();
    }

    void write_stone(const ComparedStone& stone) {
        const valuation::Compared& comparison = stone.comparison;
        json_.begin_object();
        write_text_or_null(json_, "id", stone.id);
        json_.member("name", stone.name);
        write_value("a", stone, comparison.a, comparison.a_diagnostics);
        write_value("b", stone, comparison.b, comparison.b_diagnostics);
        if (standing(stone) == Standing::both) {
            json_.member("change", change(comparison.change));
            json_.member("per_cent", to_significant(100 * std::expm1(comparison.log_change)));
            json_.member("log_change", comparison.log_change);
            json_.key("causes");
            json_.begin_array();
            for (const valuation::Cause& cause : comparison.causes) {
                write_cause(cause);
            }
            json_.end_array();
        }
        json_.end_object();
    }

    void write_cause(const valuation::Cause& cause) {
        json_.begin_object();
        json_.member("step", cause.step);
        write_text_or_null(json_, "field",
                           cause.row().field.empty() ? std::nullopt
                                                     : std::optional(cause.row().field));
        json_.member("log_change", cause.log_change);
        json_.member("change", change(cause.change));
        write_term(json_, "a", cause.a);
        write_term(json_, "b", cause.b);
        if (!cause.cells.empty()) {
            json_.key("cells");
            json_.begin_array();
            for (const valuation::CellChange& cell : cause.cells) {
                json_.begin_object();
                json_.member("at", cell.b.at);
                json_.member("a_pointer", cell.a.pointer);
                json_.member("b_pointer", cell.b.pointer);
                json_.member("log_change", cell.log_change);
                json_.end_object();
            }
            json_.end_array();
        }
        json_.end_object();
    }

    void write_total() {
        const valuation::ComparedTotal& total = report_.total;
        json_.key("total");
        json_.begin_object();
        json_.member("both", total.both);
        json_.member("only_a", total.only_a);
        json_.member("only_b", total.only_b);
        json_.member("neither", total.neither);
        json_.member("a", money(total.a));
        json_.member("b", money(total.b));
        json_.member("change", change(total.b - total.a));
        json_.key("steps");
        json_.begin_array();
        for (const valuation::StepTotal& step : total.steps) {
            json_.begin_object();
            json_.member("step", step.step);
            json_.member("stones", step.stones);
            json_.member("change", change(step.change));
            json_.end_object();
        }
        json_.end_array();
        json_.end_object();
    }

    JsonWriter& json_;
    const CompareReport& report_;
    const Currency& currency_;
};

} // namespace

void write_compare(JsonWriter& json, const CompareReport& report) {
    CompareWriter(json, report).write();
}

} // namespace trayworth::output
