#include "output/compare.hpp"
#include "output/csv_row.hpp"

#include <array>
#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::array<std::string_view, 17> compare_columns{
    "row",        "id",        "name",   "a",       "b",        "change",
    "log_change", "currency",  "step",   "read",    "a_factor", "b_factor",
    "a_pointer",  "b_pointer", "stones", "a_error", "b_error"};

class CompareRows {
public:
    CompareRows() {
        for (const std::string_view column : compare_columns) {
            field(column);
        }
        end();
    }
    // Of the program's own making.
    CompareRows& field(std::string_view text) {
        row_.own(text);
        return *this;
    }
    // From a record or a matrix.
    CompareRows& foreign(std::string_view text) {
        row_.text(text);
        return *this;
    }
    CompareRows& empty(std::size_t fields) {
        row_.empty(fields);
        return *this;
    }
    void end() {
        row_.empty(compare_columns.size() - row_.filled());
        text_ += row_.line();
        row_ = {};
    }
    [[nodiscard]] const std::string& text() const { return text_; }

private:
    std::string text_;
    CsvRow row_;
};

class CompareCsv {
public:
    explicit CompareCsv(const CompareReport& report)
        : report_(report), currency_(report.b.matrix.currency) {}

    std::string text() {
        for (const ComparedStone& stone : report_.stones) {
            add(stone);
        }
        for (const valuation::StepTotal& step : report_.total.steps) {
            rows_.field("step").empty(4).field(change(step.change)).empty(1);
            rows_.field(currency_.code).foreign(step.step).empty(5);
            rows_.field(fmt::format("{}", step.stones)).end();
        }
        const valuation::ComparedTotal& total = report_.total;
        rows_.field("total").empty(2).field(money(total.a)).field(money(total.b));
        rows_.field(change(total.b - total.a)).empty(1).field(currency_.code).empty(6);
        rows_.field(fmt::format("{}", total.both)).end();
        return rows_.text();
    }

private:
    [[nodiscard]] std::string money(double amount) const {
        return plain(to_money(amount, currency_));
    }
    [[nodiscard]] std::string change(double amount) const {
        return (amount < 0 ? "-" : "") + money(std::abs(amount));
    }

    void add(const ComparedStone& stone) {
        const valuation::Compared& comparison = stone.comparison;
        const bool both = standing(stone) == Standing::both;
        rows_.field("stone").foreign(stone.id.value_or("")).foreign(stone.name);
        rows_.field(comparison.a ? money(comparison.a->likely) : "");
        rows_.field(comparison.b ? money(comparison.b->likely) : "");
        rows_.field(both ? change(comparison.change) : "");
        rows_.field(both ? fmt::format("{}", comparison.log_change) : "");
        rows_.field(currency_.code).empty(7);
        rows_.foreign(comparison.a ? "" : why_refused(stone, comparison.a_diagnostics)->message);
        rows_.foreign(comparison.b ? "" : why_refused(stone, comparison.b_diagnostics)->message);
        rows_.end();
        for (const valuation::Cause& cause : comparison.causes) {
            add(stone, cause);
        }
    }

    void add(const ComparedStone& stone, const valuation::Cause& cause) {
        const auto factor = [](const std::optional<valuation::Reason>& reason) {
            return reason ? fmt::format("{}", reason->likely) : "";
        };
        const auto pointer = [](const std::optional<valuation::Reason>& reason) {
            return reason ? reason->row.matrix_pointer : "";
        };
        rows_.field("cause").foreign(stone.id.value_or("")).empty(3).field(change(cause.change));
        rows_.field(fmt::format("{}", cause.log_change)).field(currency_.code);
        rows_.foreign(cause.step).foreign(cause.row().read);
        rows_.field(factor(cause.a)).field(factor(cause.b));
        rows_.foreign(pointer(cause.a)).foreign(pointer(cause.b)).end();
    }

    const CompareReport& report_;
    const Currency& currency_;
    CompareRows rows_;
};

} // namespace

std::string compare_csv(const CompareReport& report) {
    return CompareCsv(report).text();
}

} // namespace trayworth::output
