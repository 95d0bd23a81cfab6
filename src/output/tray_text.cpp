#include "output/tray_text.hpp"

#include "core/money.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"
#include "weight/carats.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <string_view>
#include <utility>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::string_view most_valuable = "\xE2\x96\xB2"; // triangle
constexpr std::string_view widest = "\xE2\x86\x94";        // arrow both ways
constexpr std::string_view bar_line = "\xE2\x94\x80";      // light horizontal
constexpr std::string_view bar_likely = "\xE2\x97\x8F";    // black circle
constexpr std::string_view bar_tick = "\xC2\xB7";          // middle dot
constexpr std::size_t most_marked = 3;

constexpr std::string_view no_id = "(no id)";

std::string id_text(const std::optional<std::string>& id, std::size_t width) {
    return left(fitted(id ? std::string_view(*id) : no_id, width), width);
}

std::string carats_of(double carats, bool estimated) {
    return (estimated ? "~" : "") + weight::carats_text(Carat{carats});
}

const std::string& first_error(const Diagnostics& diagnostics) {
    return std::find_if(diagnostics.begin(), diagnostics.end(),
                        [](const Diagnostic& d) { return d.severity == Severity::error; })
        ->message;
}

// So that a tray that waits to be laid out takes no more than its stones: a text is cut, to more
// than a line of any terminal shows of it.
constexpr std::size_t most_shown = 300;
std::optional<std::string> shown(const std::optional<std::string>& id) {
    return id && id->size() > most_shown ? fitted(*id, most_shown) : id;
}

// ---- the scale of the bars

// Logarithmic, from one of 1, 2, 5, 10, 20, ... to another.
class Scale {
public:
    Scale(double low, double high, std::size_t width, const Currency& currency)
        : width_(width), low_(at_or_below(std::log10(low))),
          high_(std::max(at_or_above(std::log10(high)), low_ + 1)),
          short_labels_(
              length_of(grouped(low_, currency)) + length_of(grouped(high_, currency)) + 2 > width),
          currency_(currency) {
        place_label(low_);
        place_label(high_);
        // Powers of ten first, then the steps between them.
        for (const bool powers : {true, false}) {
            for (int at = low_ + 1; at < high_; ++at) {
                if ((at % 3 == 0) == powers) {
                    place_label(at);
                }
            }
        }
    }

    [[nodiscard]] std::string heading() const {
        std::string text;
        std::size_t length = 0;
        std::vector<Label> ordered = labels_;
        std::sort(ordered.begin(), ordered.end(),
                  [](const Label& a, const Label& b) { return a.from < b.from; });
        for (const Label& label : ordered) {
            text += std::string(label.from - length, ' ') + label.text;
            length = label.from + label.text.size();
        }
        return text;
    }

    [[nodiscard]] std::string bar(const TrayRow& row, TextStyle style) const {
        const std::size_t from = place(std::log10(row.low));
        const std::size_t likely = place(std::log10(row.likely));
        const std::size_t to = place(std::log10(row.high));
        std::string text;
        std::size_t blanks = 0;
        const auto put = [&](std::string_view what, const fmt::text_style& with) {
            text += std::string(std::exchange(blanks, 0), ' ') + paint(style, with, what);
        };
        for (std::size_t at = 0; at < width_; ++at) {
            if (at == likely) {
                put(bar_likely, strong);
            } else if (at >= from && at <= to) {
                text += std::string(std::exchange(blanks, 0), ' ').append(bar_line);
            } else if (is_tick(at)) {
                put(bar_tick, faint);
            } else {
                ++blanks;
            }
        }
        return text;
    }

private:
    struct Label {
        std::size_t from = 0;
        std::size_t tick = 0;
        std::string text;
    };

    // Steps are numbered: 3 n is 10^n, 3 n + 1 is 2 x 10^n, 3 n + 2 is 5 x 10^n.
    static double log_of(int step) {
        constexpr std::array<double, 3> parts{1, 2, 5};
        const int remainder = ((step % 3) + 3) % 3;
        const int power = (step - remainder) / 3;
        return power + std::log10(parts[static_cast<std::size_t>(remainder)]);
    }
    static constexpr double error = 1e-9; // of a logarithm
    static int at_or_below(double log) {
        int step = 3 * static_cast<int>(std::floor(log));
        while (log_of(step + 1) <= log + error) {
            ++step;
        }
        return step;
    }
    static int at_or_above(double log) {
        const int step = at_or_below(log);
        return log_of(step) < log - error ? step + 1 : step;
    }

    static std::string grouped(int step, const Currency& currency) {
        const double amount = std::pow(10, log_of(step));
        return trayworth::grouped(to_money(amount, currency), true);
    }
    [[nodiscard]] std::string label(int step) const {
        std::string text = grouped(step, currency_);
        if (!short_labels_ || step < 9) {
            return text;
        }
        // k from 10^3, M from 10^6, G from 10^9, T from 10^12
        const int thousands = std::min(step / 9, 4);
        return fmt::format("{:.0f}{}", std::pow(10, log_of(step - 9 * thousands)),
                           " kMGT"[thousands]);
    }

    void place_label(int step) {
        std::string text = label(step);
        const std::size_t tick = place(log_of(step));
        const std::size_t half = text.size() / 2;
        const std::size_t from =
            std::min(tick > half ? tick - half : 0, width_ - std::min(text.size(), width_));
        for (const Label& other : labels_) {
            if (from < other.from + other.text.size() + 2 && other.from < from + text.size() + 2) {
                return;
            }
        }
        labels_.push_back({from, tick, std::move(text)});
    }

    [[nodiscard]] std::size_t place(double log) const {
        const double from = log_of(low_);
        const double part = (log - from) / (log_of(high_) - from);
        const auto last = static_cast<double>(width_ - 1);
        return static_cast<std::size_t>(std::lround(std::clamp(part, 0.0, 1.0) * last));
    }
    [[nodiscard]] bool is_tick(std::size_t at) const {
        return std::any_of(labels_.begin(), labels_.end(),
                           [at](const Label& label) { return label.tick == at; });
    }

    std::size_t width_;
    int low_;
    int high_;
    bool short_labels_;
    const Currency& currency_;
    std::vector<Label> labels_;
};

// ---- the columns

constexpr std::size_t least_bar = 12;
constexpr std::size_t longest_bar = 72;
constexpr std::size_t least_name = 12;
constexpr std::size_t least_id = 5;
constexpr std::size_t longest_id = 12;
constexpr std::size_t longest_id_when_wide = 24;
constexpr std::size_t wide = 110;

// "! ID NAME CT  LOW  LIKELY^ HIGH^ BAR", ^ a mark
constexpr std::size_t blanks_and_marks = 11;

struct Columns {
    std::size_t id = least_id;
    std::size_t name = 4; // "name"
    std::size_t carats = 2;
    std::size_t low = 3;
    std::size_t likely = 6;
    std::size_t high = 4;
    std::size_t bar = 0; // 0: there is none

    void share_out(std::size_t width) {
        id = std::min(id, width < wide ? longest_id : longest_id_when_wide);
        const std::size_t numbers = blanks_and_marks + carats + low + likely + high;
        std::size_t rest = width - std::min(width, numbers + id);
        if (rest < std::min(name, least_name)) {
            id -= std::min(id - least_id, std::min(name, least_name) - rest);
            rest = width - std::min(width, numbers + id);
        }
        if (rest > std::min(name, least_name) + least_bar) {
            // The bar has what names leave, and two fifths if they are long.
            const std::size_t free = rest - 1 > name ? rest - 1 - name : 0;
            bar = std::min(longest_bar, std::max({least_bar, 2 * rest / 5, free}));
            rest -= bar + 1;
        }
        name = std::min(name, rest);
    }
    [[nodiscard]] std::size_t without_bar() const {
        return blanks_and_marks + id + name + carats + low + likely + high;
    }
};

// The rows that are first by `better`: three, but no more than a third of them all.
std::vector<const TrayRow*>
foremost(const std::vector<TrayRow>& rows,
         const std::function<bool(const TrayRow&, const TrayRow&)>& better) {
    std::vector<const TrayRow*> valued;
    for (const TrayRow& row : rows) {
        if (!row.refused) {
            valued.push_back(&row);
        }
    }
    std::stable_sort(valued.begin(), valued.end(),
                     [&](const TrayRow* a, const TrayRow* b) { return better(*a, *b); });
    valued.resize(std::min(most_marked, valued.size() / 3));
    return valued;
}

class Lines {
public:
    Lines(const std::vector<TrayRow>& rows,
          const std::optional<valuation::Total>& total,
          const pricing::Matrix& matrix,
          TextStyle style)
        : rows_(rows), matrix_(matrix), style_(style),
          top_(foremost(rows,
                        [](const TrayRow& a, const TrayRow& b) { return a.likely > b.likely; })),
          wide_(foremost(rows, [](const TrayRow& a, const TrayRow& b) {
              return a.high / a.low > b.high / b.low;
          })) {
        double low = 0;
        double high = 0;
        for (const TrayRow& row : rows) {
            columns_.id =
                std::max(columns_.id, length_of(safe(row.id ? std::string_view(*row.id) : no_id)));
        }
        for (const TrayRow& row : rows) {
            if (!row.refused) {
                make_room(row);
                low = low == 0 ? row.low : std::min(low, row.low);
                high = std::max(high, row.high);
            }
        }
        if (total && total->stones > 0) {
            sum_ = sum_of(*total);
            make_room(*sum_);
        }
        columns_.share_out(style.width);
        if (columns_.bar > 0 && high > 0) {
            // No amount is less than a minor unit.
            const double least = std::pow(10, -matrix.currency.minor_digits);
            scale_.emplace(std::max(low, least), std::max(high, least), columns_.bar,
                           matrix.currency);
        }
    }

    [[nodiscard]] std::string heading() const {
        std::string text = "  " + left("stone", columns_.id) + " " +
                           left(fitted("name", columns_.name), columns_.name) + " " +
                           right("ct", columns_.carats) + "  " + right("low", columns_.low) + "  " +
                           right("likely", columns_.likely) + "  " + right("high", columns_.high);
        if (scale_) {
            text += "  " + scale_->heading();
        }
        return paint(style_, strong, text) + "\n";
    }

    [[nodiscard]] std::string line(const TrayRow& row) const {
        if (row.refused) {
            constexpr std::string_view refused = "refused:";
            const std::size_t before = indent + columns_.id + 1 + refused.size() + 1;
            return fmt::format("  {} {} {}\n", id_text(row.id, columns_.id),
                               paint(style_, alarm, refused),
                               fitted(*row.refused, style_.width - before));
        }
        std::string text = amounts(row, is_among(top_, row), is_among(wide_, row));
        if (scale_) {
            text += " " + scale_->bar(row, style_);
        }
        return ended(text);
    }

    [[nodiscard]] std::string sum() const {
        if (!sum_) {
            return {};
        }
        std::string rule(indent, ' ');
        for (std::size_t i = indent; i + 1 < columns_.without_bar(); ++i) {
            rule += bar_line;
        }
        return paint(style_, faint, rule) + "\n" + ended(amounts(*sum_, false, false));
    }

    [[nodiscard]] std::string legend() const {
        const auto any = [&](bool TrayRow::*what) {
            return std::any_of(rows_.begin(), rows_.end(),
                               [what](const TrayRow& row) { return row.*what; });
        };
        std::vector<std::string> marks;
        if (!top_.empty()) {
            marks.push_back(fmt::format("{} the most valuable", most_valuable));
            marks.push_back(fmt::format("{} the widest range for its value", widest));
        }
        if (any(&TrayRow::estimated)) {
            marks.emplace_back("~ weight estimated, not weighed");
        }
        if (any(&TrayRow::warned)) {
            marks.emplace_back("! has warnings (see them with --reasons)");
        }
        if (scale_) {
            marks.push_back(fmt::format("{}{}{} low, likely, high, on one logarithmic scale in {}",
                                        bar_line, bar_likely, bar_line, matrix_.currency.code));
        }
        const std::string text = fmt::format("{}", fmt::join(marks, "; "));
        return marks.empty() ? text
                             : "  " + wrapped(text + ".", style_.width - indent, indent) + "\n";
    }

private:
    void make_room(const TrayRow& row) {
        const auto widen = [](std::size_t& column, std::string_view text) {
            column = std::max(column, length_of(text));
        };
        widen(columns_.name, safe(row.name));
        widen(columns_.carats, carats_of(row.carats, row.estimated));
        widen(columns_.low, rounded(row.low, matrix_));
        widen(columns_.likely, rounded(row.likely, matrix_));
        widen(columns_.high, rounded(row.high, matrix_));
    }

    [[nodiscard]] TrayRow sum_of(const valuation::Total& total) const {
        TrayRow sum{.id = "sum", .name = "of " + counted(total.stones, "stone")};
        for (const TrayRow& row : rows_) {
            sum.carats += row.carats;
            sum.estimated = sum.estimated || row.estimated;
        }
        sum.low = total.low;
        sum.likely = total.likely;
        sum.high = total.high;
        return sum;
    }

    static bool is_among(const std::vector<const TrayRow*>& marked, const TrayRow& row) {
        return std::find(marked.begin(), marked.end(), &row) != marked.end();
    }

    [[nodiscard]] std::string amounts(const TrayRow& row, bool top, bool is_wide) const {
        const auto mark = [&](bool marked, std::string_view with) {
            return marked ? paint(style_, notice, with) : std::string(" ");
        };
        return fmt::format(
            "{} {} {} {}  {}  {}{} {}{}", row.warned ? paint(style_, notice, "!") : " ",
            id_text(row.id, columns_.id), left(fitted(row.name, columns_.name), columns_.name),
            right(carats_of(row.carats, row.estimated), columns_.carats),
            right(rounded(row.low, matrix_), columns_.low),
            paint(style_, strong, right(rounded(row.likely, matrix_), columns_.likely)),
            mark(top, most_valuable), right(rounded(row.high, matrix_), columns_.high),
            mark(is_wide, widest));
    }

    static std::string ended(const std::string& line) {
        return line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
    }

    const std::vector<TrayRow>& rows_;
    const pricing::Matrix& matrix_;
    TextStyle style_;
    Columns columns_;
    std::vector<const TrayRow*> top_;
    std::vector<const TrayRow*> wide_;
    std::optional<TrayRow> sum_;
    std::optional<Scale> scale_;
};

// Whether a goes before b. What has nothing to compare goes last, reversed or not.
bool ordered(const TrayRow& a, const TrayRow& b, valuation::Order order) {
    using valuation::SortKey;
    const TrayRow& x = order.reversed ? b : a;
    const TrayRow& y = order.reversed ? a : b;
    if (order.key == SortKey::id) {
        return a.id && b.id ? valuation::goes_before(*x.id, *y.id)
                            : a.id.has_value() && !b.id.has_value();
    }
    if (a.refused || b.refused) {
        return !a.refused && b.refused;
    }
    switch (order.key) {
    case SortKey::name:
        return valuation::goes_before(x.name, y.name);
    case SortKey::weight:
        return x.carats < y.carats;
    case SortKey::likely:
        return x.likely < y.likely;
    case SortKey::width:
        return x.high / x.low < y.high / y.low;
    default:
        return false;
    }
}

std::string money_heading(const pricing::Matrix& matrix) {
    return fmt::format("{} ({:.3g} % coverage)\n", matrix.currency.code, 100 * matrix.coverage);
}

} // namespace

TrayRow
row_of(const Stone& stone, const valuation::Valuation& valuation, const Diagnostics& warnings) {
    return {.id = shown(stone.id),
            .name = valuation.nomenclature.name,
            .carats = valuation.weight.ct.value,
            .estimated = valuation.weight.basis == weight::Basis::estimated,
            .warned = !warnings.empty(),
            .low = valuation.range.low,
            .likely = valuation.likely,
            .high = valuation.range.high};
}

TrayRow row_of(const std::optional<std::string>& id, const Diagnostics& diagnostics) {
    return {.id = shown(id), .name = {}, .refused = fitted(first_error(diagnostics), most_shown)};
}

void TrayTable::sort(valuation::Order order) {
    if (order.key != valuation::SortKey::as_given) {
        std::stable_sort(rows_.begin(), rows_.end(), [order](const TrayRow& a, const TrayRow& b) {
            return ordered(a, b, order);
        });
    }
}

std::string TrayTable::text(const std::optional<valuation::Total>& total, TextStyle style) const {
    const Lines lines(rows_, total, matrix_, style);
    std::string text =
        money_heading(matrix_) + basis_line(matrix_, level_.name, style) + "\n" + lines.heading();
    for (const TrayRow& row : rows_) {
        text += lines.line(row);
    }
    text += lines.sum() + "\n";
    if (total) {
        const auto refused = static_cast<std::size_t>(
            std::count_if(rows_.begin(), rows_.end(),
                          [](const TrayRow& row) { return row.refused.has_value(); }));
        text += total_text(*total, refused, matrix_, style);
    }
    if (left_out_ > 0) {
        text += "  " + wrapped(left_out_sentence(left_out_), style.width - indent, indent) + "\n";
    }
    text += lines.legend();
    return text + caution_lines(cautions(Stone{}, weight::Weight{}, matrix_), style);
}

std::string
total_sentences(const valuation::Total& total, std::size_t refused, const pricing::Matrix& matrix) {
    constexpr double worth_saying = 0.05;
    std::string text;
    if (total.stones == 0) {
        text = "No stone was valued.";
    } else {
        text = fmt::format("{}, sum of likely values {} {}; range {} to {} ({:.3g} % coverage).",
                           counted(total.stones, "stone"), matrix.currency.code,
                           rounded(total.likely, matrix), rounded(total.low, matrix),
                           rounded(total.high, matrix), 100 * matrix.coverage);
    }
    if (total.stones > 1 && !total.sources.empty()) {
        const auto most =
            std::max_element(total.sources.begin(), total.sources.end(),
                             [](const auto& a, const auto& b) { return a.common < b.common; });
        text += fmt::format(
            " {:.0f} % of its variance is common to all stones and does not average out{}.",
            100 * total.common_share,
            most->common > 0 ? fmt::format(" ({:.0f} %: {})", 100 * most->common, most->source)
                             : "");
    }
    if (total.median > total.likely * (1 + worth_saying)) {
        text += fmt::format(" The middle of the range is {} {}: a stone may bring more above its "
                            "likely value than it may fall short of it, and that adds up.",
                            matrix.currency.code, rounded(total.median, matrix));
    }
    if (refused > 0) {
        text += fmt::format(" {} refused and not in the sum.",
                            counted(refused, "record") + (refused == 1 ? " was" : " were"));
    }
    return text;
}

std::string left_out_sentence(std::size_t left_out) {
    return counted(left_out, "record") + " did not meet the conditions and " +
           (left_out == 1 ? "is" : "are") + " left out, of the sum too.";
}

std::string total_text(const valuation::Total& total,
                       std::size_t refused,
                       const pricing::Matrix& matrix,
                       TextStyle style) {
    return "  " + wrapped(total_sentences(total, refused, matrix), style.width - indent, indent) +
           "\n";
}

// ---- line by line

namespace {

constexpr std::size_t fixed_id = 12;
constexpr std::size_t fixed_carats = 9;
constexpr std::size_t fixed_amount = 9;

std::size_t fixed_name(TextStyle style) {
    return style.width - indent - fixed_id - 1 - 1 - fixed_carats - 3 * (1 + fixed_amount) - 1;
}

} // namespace

std::string
tray_heading(const pricing::Matrix& matrix, const pricing::Entry& level, TextStyle style) {
    const std::string columns = fmt::format(
        "  {:<{}} {:<{}} {:>{}} {:>{}} {:>{}} {:>{}}", "stone", fixed_id, "name", fixed_name(style),
        "ct", fixed_carats, "low", fixed_amount, "likely", fixed_amount, "high", fixed_amount);
    return money_heading(matrix) + basis_line(matrix, level.name, style) + "\n" +
           paint(style, strong, columns) + "\n";
}

std::string tray_line(const TrayRow& row, const pricing::Matrix& matrix, TextStyle style) {
    if (row.refused) {
        const std::size_t room = style.width - indent - fixed_id - 1 - 9;
        return fmt::format("  {} {} {}\n", id_text(row.id, fixed_id),
                           paint(style, alarm, "refused:"), fitted(*row.refused, room));
    }
    const std::size_t name = fixed_name(style);
    return fmt::format("{} {} {} {} {} {} {}\n", row.warned ? '!' : ' ', id_text(row.id, fixed_id),
                       left(fitted(row.name, name), name),
                       right(carats_of(row.carats, row.estimated), fixed_carats),
                       right(rounded(row.low, matrix), fixed_amount),
                       paint(style, strong, right(rounded(row.likely, matrix), fixed_amount)),
                       right(rounded(row.high, matrix), fixed_amount));
}

std::string tray_footing(const pricing::Matrix& matrix, TextStyle style) {
    std::vector<std::string> sentences = cautions(matrix);
    sentences.insert(sentences.begin(), "~ before a weight: estimated, not weighed. ! before a "
                                        "stone: it has warnings; see them with --reasons.");
    return caution_lines(sentences, style);
}

} // namespace trayworth::output
