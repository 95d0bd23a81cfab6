#include "core/decimal.hpp"
#include "output/fit.hpp"
#include "output/matrix_parts.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"
#include "output/text_parts.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// Sold against foretold, on logarithmic axes: a character stands for one sale or more.
class Scatter {
public:
    static constexpr std::size_t rows = 12;
    static constexpr std::size_t columns = 48;

    Scatter(const std::vector<fitting::Foretold>& sales, const pricing::Matrix& matrix)
        : matrix_(matrix) {
        for (const fitting::Foretold& sale : sales) {
            low_ = std::min({low_, sale.log_value, sale.log_price});
            high_ = std::max({high_, sale.log_value, sale.log_price});
        }
        high_ = std::max(high_, low_ + least_height);
        for (const fitting::Foretold& sale : sales) {
            ++counts_[row_of(sale.log_price)][place(sale.log_value, columns)];
        }
    }

    [[nodiscard]] std::vector<std::string> lines() const {
        const std::string top = amount(high_);
        const std::string bottom = amount(low_);
        const std::size_t margin = std::max(top.size(), bottom.size());
        std::size_t most = 1;
        for (const auto& row : counts_) {
            most = std::max(most, *std::max_element(row.begin(), row.end()));
        }
        std::vector<std::string> found;
        for (std::size_t row = 0; row < rows; ++row) {
            std::string line = right(row == 0 ? top : row + 1 == rows ? bottom : "", margin) + " |";
            for (std::size_t column = 0; column < columns; ++column) {
                line += mark(row, column, most);
            }
            found.push_back(line.substr(0, line.find_last_not_of(' ') + 1));
        }
        found.push_back(std::string(margin + 1, ' ') + "+" + std::string(columns, '-'));
        found.push_back(std::string(margin + 2, ' ') + bottom +
                        right("foretold: " + top, columns - bottom.size()));
        return found;
    }

private:
    static constexpr double least_height = 0.7; // a factor of two

    [[nodiscard]] std::size_t place(double x, std::size_t cells) const {
        const double share = (x - low_) / (high_ - low_);
        return std::min(static_cast<std::size_t>(share * static_cast<double>(cells)), cells - 1);
    }
    [[nodiscard]] std::size_t row_of(double y) const { return rows - 1 - place(y, rows); }

    // Where nothing was sold, a dot for the line on which both are the same.
    [[nodiscard]] char mark(std::size_t row, std::size_t column, std::size_t most) const {
        const std::size_t count = counts_[row][column];
        if (count == 0) {
            return (rows - 1 - row) == column * rows / columns ? '.' : ' ';
        }
        constexpr std::string_view marks = "o0#";
        return marks[std::min<std::size_t>(3 * (count - 1) / most, 2)];
    }

    [[nodiscard]] std::string amount(double logarithm) const {
        return rounded(std::exp(logarithm), matrix_);
    }

    const pricing::Matrix& matrix_;
    double low_ = 1e9;
    double high_ = -1e9;
    std::array<std::array<std::size_t, columns>, rows> counts_{};
};

class FitText {
public:
    FitText(const FitReport& report, TextStyle style)
        : report_(report), style_(style),
          name_width_(std::min(style.width, widest) - indent - numbers_width) {}

    [[nodiscard]] std::string text() const {
        const fitting::Assessment& assessment = report_.assessment;
        std::string text = paint(style_, strong, fitted(report_.matrix.name, style_.width)) + "\n" +
                           aside(basis());
        text += head("How good it is");
        if (assessment.quality) {
            text += line("present matrix, all sales", *assessment.quality);
        }
        text +=
            both("ten folds", assessment.by_folds) + both("last fifth by date", assessment.by_time);
        if (!assessment.by_folds) {
            text += aside(fmt::format("Out of sample nothing is tried with fewer than {} records.",
                                      fitting::fewest_to_cut));
        }
        if (assessment.unsold > 0) {
            text +=
                aside(fmt::format("Of {} unsold, {} had been asked for less than their likely "
                                  "value.",
                                  counted(assessment.unsold, "stone"), assessment.unsold_below));
        }
        for (const fitting::Breakdown& breakdown : assessment.breakdowns) {
            text += head("By " + breakdown.by);
            for (const fitting::Group& group : breakdown.groups) {
                text += line(group.name, group.quality);
            }
        }
        text += plots();
        if (report_.with_changes) {
            text += result();
        }
        return text + caution_lines(cautions(report_.matrix), style_);
    }

private:
    static constexpr std::size_t widest = 100;
    // of the numbers that changed
    static constexpr std::size_t sales_width = 7;
    static constexpr std::size_t was_width = 14;
    static constexpr std::size_t now_width = 14;
    static constexpr std::size_t share_width = 9;
    static constexpr std::size_t least_name_width = 17;
    static constexpr std::size_t column = 10;
    static constexpr std::size_t numbers_width = 5 * column;

    static std::string counted(std::size_t number, std::string_view what) {
        return fmt::format("{} {}{}", grouped(number), what, number == 1 ? "" : "s");
    }

    [[nodiscard]] std::string basis() const {
        std::string text =
            fmt::format("as of {}, {} level, ranges at {}; {}, {} to {}", report_.matrix.as_of,
                        report_.matrix.market_level, share_text(report_.matrix.coverage),
                        counted(report_.assessment.sales.size(), "sale"), day_text(report_.first),
                        day_text(report_.last));
        if (report_.refused > 0) {
            text += fmt::format("; {} refused", counted(report_.refused, "record"));
        }
        return text;
    }

    [[nodiscard]] std::string aside(std::string_view sentence) const {
        return std::string(indent, ' ') +
               paint(style_, faint, wrapped(sentence, style_.width - indent, indent)) + "\n";
    }

    [[nodiscard]] std::string head(std::string_view words) const {
        std::string text(words);
        text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
        return "\n" + paint(style_, strong, left(text, name_width_ + indent)) +
               paint(style_, faint,
                     right("sales", column) + right("bias", column) + right("error", column) +
                         right("inside", column) + right("rank", column)) +
               "\n";
    }

    [[nodiscard]] std::string line(std::string_view name, const fitting::Quality& quality) const {
        return std::string(indent, ' ') + left(fitted(name, name_width_ - 1), name_width_) +
               right(grouped(quality.sales), column) +
               right(per_cent_text(quality.bias_log), column) +
               right(share_text(quality.median_ape), column) +
               right(share_text(quality.coverage), column) +
               right(quality.rank_correlation ? fmt::format("{:.3f}", *quality.rank_correlation)
                                              : "-",
                     column) +
               "\n";
    }

    [[nodiscard]] std::string both(std::string_view how,
                                   const std::optional<fitting::OutOfSample>& tried) const {
        return tried ? line(fmt::format("{}: present", how), tried->before) +
                           line(fmt::format("{}: fitted", how), tried->after)
                     : "";
    }

    [[nodiscard]] std::string plots() const {
        const fitting::Assessment& assessment = report_.assessment;
        if (assessment.sales.empty()) {
            return {};
        }
        std::string text = heading(
            style_, fmt::format("Sold (up) against foretold, {}, logarithmic; dots: both the same",
                                report_.matrix.currency.code));
        for (const std::string& row : Scatter(assessment.sales, report_.matrix).lines()) {
            text += std::string(indent, ' ') + row + "\n";
        }
        text += heading(style_, "Sales inside a range, against what is stated of it");
        for (const fitting::CoveragePoint& point : assessment.calibration) {
            constexpr std::size_t length = 40;
            const auto bar = static_cast<std::size_t>(std::lround(point.found * length));
            const auto stated = static_cast<std::size_t>(std::lround(point.stated * length));
            std::string drawn(length + 1, ' ');
            std::fill_n(drawn.begin(), bar, '=');
            drawn[stated] = '|';
            text += fmt::format("  {:>6}  {}{:>7}\n", fmt::format("{:.0f} %", 100 * point.stated),
                                drawn, share_text(point.found));
        }
        return text;
    }

    [[nodiscard]] std::string result() const {
        const fitting::Proposal& proposal = report_.proposal;
        std::string text = heading(style_, fmt::format("What the sales say: {} changed",
                                                       counted(proposal.changes.size(), "number")));
        for (const std::string& remark : remarks_of(report_)) {
            text += aside(remark);
        }
        text += marks();
        std::string table;
        for (const fitting::Change& change : proposal.changes) {
            const fitting::Number& number = report_.numbers[change.number];
            if (number.table != table) {
                table = number.table;
                text += changes_head(table);
            }
            text += changed(number, change);
        }
        text += untouched("Not moved, since no sale used them", proposal.unsold);
        return text + untouched("Held at 1, which others are measured against", proposal.held);
    }

    [[nodiscard]] std::string marks() const {
        const auto any = [this](auto flag) {
            return std::any_of(report_.proposal.changes.begin(), report_.proposal.changes.end(),
                               flag);
        };
        std::string text;
        if (any([](const fitting::Change& change) { return change.by_order; })) {
            text += aside("= is kept from going out of order with its neighbours.");
        }
        if (any([](const fitting::Change& change) { return change.bounded; })) {
            text += aside("! is at the end of what it may change.");
        }
        return text;
    }

    [[nodiscard]] std::string changes_head(std::string_view table) const {
        const std::size_t width = change_name_width();
        return "\n" +
               paint(style_, strong, left(fitted(table, width + indent - 1), width + indent)) +
               paint(style_, faint,
                     right("sales", sales_width) + right("was", was_width) +
                         right("now", now_width) + right("change", share_width) +
                         right("error", share_width)) +
               "\n";
    }
    [[nodiscard]] std::size_t change_name_width() const {
        return std::max<std::size_t>(std::min(style_.width, widest) - indent - sales_width -
                                         was_width - now_width - 2 * share_width - 2,
                                     least_name_width);
    }

    [[nodiscard]] std::string changed(const fitting::Number& number,
                                      const fitting::Change& change) const {
        const std::size_t width = change_name_width();
        return std::string(indent, ' ') + left(fitted(number.name, width - 1), width) +
               right(grouped(change.sales), sales_width) +
               right(range_text(change.before), was_width) +
               right(range_text(change.now), now_width) +
               right(per_cent_text(change.now.log_middle - change.before.log_middle), share_width) +
               right(share_text(change.standard_error), share_width) +
               (change.by_order  ? " ="
                : change.bounded ? " !"
                                 : "") +
               "\n";
    }

    [[nodiscard]] std::string untouched(std::string_view why,
                                        const std::vector<std::size_t>& indices) const {
        if (indices.empty()) {
            return {};
        }
        std::string text = heading(style_, fmt::format("{}: {}", why, grouped(indices.size())));
        for (const NamedTable& table : by_table(report_.numbers, indices)) {
            text += aside(fmt::format("{}: {}", table.table, fmt::join(table.names, ", ")));
        }
        return text;
    }

    const FitReport& report_;
    TextStyle style_;
    std::size_t name_width_;
};

} // namespace

std::string fit_summary(const FitReport& report) {
    const fitting::Assessment& assessment = report.assessment;
    std::string text = fmt::format("{} sold, {} unsold, {} refused", assessment.sales.size(),
                                   assessment.unsold, report.refused);
    if (assessment.by_folds) {
        text += fmt::format("; median error out of sample {}, fitted {}",
                            share_text(assessment.by_folds->before.median_ape),
                            share_text(assessment.by_folds->after.median_ape));
    }
    if (report.with_changes) {
        text += fmt::format("; {} numbers changed, {} without sales",
                            report.proposal.changes.size(), report.proposal.unsold.size());
    }
    return text + "\n";
}

std::string fit_text(const FitReport& report, TextStyle style) {
    return FitText(report, style).text();
}

} // namespace trayworth::output
