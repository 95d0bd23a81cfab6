#include "output/html_reasons.hpp"

#include "core/money.hpp"
#include "output/html_text.hpp"
#include "output/statement.hpp"
#include "output/text_parts.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// ---- the bars

// Across in hundredths of the width, down in ems, so that a bar stays beside its line of text;
// links reach down to the next row, however high this one is.
class Bars {
public:
    explicit Bars(const std::vector<Fall>& falls) {
        for (const Fall& fall : falls) {
            most_ = std::max({most_, fall.from, fall.to});
        }
    }

    // From the amount before the step to the one after it, linked to the steps above and below.
    [[nodiscard]] std::string bar(const Fall& fall) const {
        if (fall.to == fall.from) {
            return framed(link(fall.to, "0", "100%"));
        }
        const std::string_view name = fall.from == 0        ? "first"
                                      : fall.to < fall.from ? "down"
                                                            : "up";
        return framed((fall.from > 0 ? link(fall.from, "0", ".67em") : std::string()) +
                      rect(name, std::min(fall.from, fall.to), std::max(fall.from, fall.to)) +
                      link(fall.to, "1.47em", "100%"));
    }

    [[nodiscard]] std::string whole(double amount) const {
        return framed(rect("total", 0, amount));
    }

private:
    [[nodiscard]] double place(double amount) const { return amount / most_ * 100; }

    [[nodiscard]] std::string rect(std::string_view name, double from, double to) const {
        return fmt::format(
            R"(<rect class="{}" x="{:.2f}%" y=".67em" width="{:.2f}%" height=".8em"/>)", name,
            place(from), place(to) - place(from));
    }
    [[nodiscard]] std::string link(double at, std::string_view from, std::string_view to) const {
        return fmt::format(R"(<line class="link" x1="{0:.2f}%" y1="{1}" x2="{0:.2f}%" y2="{2}"/>)",
                           place(at), from, to);
    }
    static std::string framed(const std::string& inside) {
        return R"(<svg class="fall" aria-hidden="true">)" + inside + "</svg>";
    }

    double most_ = 0;
};

// ---- the rows

// The decimal points of a column stand under each other.
std::string pointed(double number) {
    const std::string digits = fmt::format("{}", number);
    const std::size_t point = std::min(digits.find('.'), digits.size());
    return digits.substr(0, point) + element("span", "fraction", digits.substr(point));
}

std::string figures(double low, double likely, double high) {
    const std::string text = pointed(likely);
    return text + element("span", "limits", low == high ? "" : limit(low) + " to " + limit(high));
}

// What the step added or took away; the printed changes add up to the printed amounts.
std::string change(const Fall& fall, const pricing::Matrix& matrix) {
    if (fall.from == 0 || fall.from > largest_amount || fall.to > largest_amount) {
        return element("span", "change", "");
    }
    const Money from = to_money(fall.from, matrix.price_currency());
    const Money to = to_money(fall.to, matrix.price_currency());
    const Money off{std::abs(to.minor - from.minor), to.minor_digits};
    const std::string_view sign = to.minor < from.minor ? "\xE2\x88\x92" : "+";
    return element("span", "change", off.minor == 0 ? "" : std::string(sign) + grouped(off));
}

// The converted value stands among amounts of another currency, and so with its own.
std::string amount(const valuation::Reason& reason, const pricing::Matrix& matrix) {
    const std::string figures = reason.running > largest_amount
                                    ? fmt::format("{:.6g}", reason.running)
                                    : grouped(to_money(reason.running, reason.currency));
    return reason.currency == matrix.price_currency() ? figures
                                                      : reason.currency.code + " " + figures;
}

std::string aside(std::string_view text) {
    return element("span", "aside", escaped(text));
}

std::string words_of(const valuation::Row& row) {
    std::string text = element("span", "step", isolated(row.step));
    if (!row.read.empty()) {
        text += " " + element("span", "read", isolated(row.read));
    }
    if (row.cells.size() > 1) {
        std::string cells;
        for (const valuation::CellUsed& cell : row.cells) {
            cells += (cells.empty() ? "" : "; ") + cell_text(cell) + in_file(cell.file);
        }
        text += aside(cells);
    }
    if (!row.note.empty()) {
        text += aside(row.note);
    }
    return row.cells.size() > 1 || row.file.empty()
               ? text
               : text + aside(row.matrix_pointer + in_file(row.file));
}

std::string line(std::string_view name,
                 std::string_view words,
                 std::string_view bar,
                 std::string_view factor,
                 std::string_view running) {
    return fmt::format("<tr{}><th scope=\"row\"><div class=\"rung\"><div>{}</div>{}</div></th>"
                       "<td>{}</td><td>{}</td></tr>\n",
                       name, words, bar, factor, running);
}

} // namespace

std::vector<Fall> waterfall(const std::vector<valuation::Reason>& reasons) {
    std::vector<Fall> falls;
    falls.reserve(reasons.size());
    double before = 0;
    for (const valuation::Reason& reason : reasons) {
        const bool converts = reason.currency != reasons.front().currency;
        const double after = converts ? before : reason.running;
        falls.push_back({before, after});
        before = after;
    }
    return falls;
}

std::string reasons_table(const valuation::Valuation& valuation, const pricing::Matrix& matrix) {
    const std::vector<Fall> falls = waterfall(valuation.reasons);
    const Bars bars(falls);
    const weight::Weight& weight = valuation.weight;
    std::string text =
        "<table class=\"ladder\"><caption>The running amount is the weight times the likely "
        "factors "
        "so far; the likely value of [low, high] is \xE2\x88\x9A(low \xC3\x97 high).</caption>\n"
        "<thead><tr><th scope=\"col\">Step</th><th scope=\"col\">Factor</th><th scope=\"col\">" +
        matrix.price_currency().code + ", running</th></tr></thead>\n<tbody>\n" +
        line("", element("span", "step", fmt::format("weight, {}, ct", name_of(weight.basis))), "",
             figures(valuation.weight_limits.low, weight.ct.value, valuation.weight_limits.high),
             "");
    for (std::size_t i = 0; i < falls.size(); ++i) {
        const valuation::Reason& reason = valuation.reasons[i];
        text += line("", words_of(reason.row), bars.bar(falls[i]),
                     figures(reason.low, reason.likely, reason.high),
                     amount(reason, matrix) + change(falls[i], matrix));
    }
    return text +
           line(" class=\"sum\"", element("span", "step", "likely value, rounded for display"),
                bars.whole(falls.back().to), "",
                (matrix.conversion ? matrix.currency.code + " " : std::string()) +
                    rounded(valuation.likely, matrix) + element("span", "change", "")) +
           "</tbody></table>\n";
}

} // namespace trayworth::output
