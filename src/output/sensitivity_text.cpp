#include "output/safe_text.hpp"
#include "output/sensitivity.hpp"
#include "output/sensitivity_parts.hpp"
#include "output/statement.hpp"
#include "output/text_parts.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// Each line: a label, the bar to the left of the axis, the axis, the bar to the right.
class TornadoText {
public:
    TornadoText(const valuation::Sensitivity& sensitivity,
                const pricing::Matrix& matrix,
                TextStyle style)
        : sensitivity_(sensitivity), matrix_(matrix), style_(style),
          label_width_(style.width - indent - 2 * half_width - 2),
          largest_(largest_change(sensitivity)) {}

    [[nodiscard]] std::string text() const {
        std::string text = scale();
        for (const valuation::Axis& axis : sensitivity_.axes) {
            text += lines(axis);
        }
        return text;
    }

private:
    static constexpr std::size_t half_width = 22;
    static constexpr std::size_t detail_indent = 6;

    // The amounts at the ends of the longest bars and at the axis.
    [[nodiscard]] std::string scale() const {
        const double likely = sensitivity_.valuation.likely;
        std::string low;
        std::string high;
        if (largest_ > 0) {
            // A rise may be larger than the value; a drop is not.
            low = likely > largest_ ? exact_money(likely - largest_, matrix_) : "";
            high = exact_money(likely + largest_, matrix_);
        }
        const std::string middle = exact_money(likely, matrix_);
        const std::size_t before = half_width - std::min(half_width, middle.size() / 2);
        std::string line = left(low, before) + middle;
        line += right(high, 2 * half_width + 1 - std::min(2 * half_width + 1, line.size()));
        return std::string(indent + label_width_, ' ') + paint(style_, faint, line) + "\n";
    }

    [[nodiscard]] std::string lines(const valuation::Axis& axis) const {
        const Sides sides = sides_of(axis, sensitivity_);
        const std::string label =
            fitted(fmt::format("{}: {}", axis.name, axis.read), label_width_ - 1);
        std::string text = std::string(indent, ' ') + left(label, label_width_) +
                           paint(style_, cheaper, leftwards(longest(sides.cheaper))) +
                           "\xE2\x94\x82" +
                           paint(style_, dearer, rightwards(longest(sides.dearer))) + "\n";
        std::vector<std::string> words;
        for (const auto& side : {sides.cheaper, sides.dearer}) {
            for (const valuation::Step* step : side) {
                words.push_back(step_words(*step, sensitivity_, matrix_));
            }
        }
        text += notes(words);
        for (const std::string& sentence : sides.not_priced) {
            text += note(sentence);
        }
        return text;
    }

    // In half characters, at least one of them where there is any change.
    [[nodiscard]] std::size_t longest(const std::vector<const valuation::Step*>& steps) const {
        double change = 0;
        for (const valuation::Step* step : steps) {
            change = std::max(change, std::abs(*step->likely - sensitivity_.valuation.likely));
        }
        if (change == 0) {
            return 0;
        }
        const auto halves = static_cast<std::size_t>(
            std::lround(change / largest_ * 2 * static_cast<double>(half_width)));
        return std::max<std::size_t>(halves, 1);
    }
    static std::string blocks(std::size_t number) {
        std::string text;
        for (std::size_t i = 0; i < number; ++i) {
            text += "\xE2\x96\x88";
        }
        return text;
    }
    static std::string leftwards(std::size_t halves) {
        return std::string(half_width - (halves + 1) / 2, ' ') +
               (halves % 2 == 1 ? "\xE2\x96\x90" : "") + blocks(halves / 2);
    }
    static std::string rightwards(std::size_t halves) {
        return blocks(halves / 2) + (halves % 2 == 1 ? "\xE2\x96\x8C" : "");
    }

    // On one line where they fit.
    [[nodiscard]] std::string notes(const std::vector<std::string>& words) const {
        const std::string line = fmt::format("{}", fmt::join(words, ";  "));
        if (words.empty() || width_of(safe(line)) <= style_.width - detail_indent) {
            return words.empty() ? line : note(line);
        }
        std::string text;
        for (const std::string& one : words) {
            text += note(one);
        }
        return text;
    }

    [[nodiscard]] std::string note(std::string_view sentence) const {
        return std::string(detail_indent, ' ') +
               paint(style_, faint,
                     wrapped(sentence, style_.width - detail_indent, detail_indent)) +
               "\n";
    }

    inline static const fmt::text_style cheaper = fmt::fg(fmt::terminal_color::red);
    inline static const fmt::text_style dearer = fmt::fg(fmt::terminal_color::green);

    const valuation::Sensitivity& sensitivity_;
    const pricing::Matrix& matrix_;
    TextStyle style_;
    std::size_t label_width_; // with a blank behind it
    double largest_;
};

} // namespace

std::string sensitivity_text(const Stone& stone,
                             const valuation::Sensitivity& sensitivity,
                             const pricing::Matrix& matrix,
                             const Diagnostics& warnings,
                             TextStyle style) {
    const valuation::Valuation& valuation = sensitivity.valuation;
    std::string text = title(stone, valuation.nomenclature.name, style);
    text += "  " + weight_text(valuation.weight) + "\n\n  ";
    text += paint(style, strong,
                  fmt::format("{} {} likely; what one step of each grade would change",
                              matrix.currency.code, exact_money(valuation.likely, matrix)));
    text += "\n" + basis_line(matrix, valuation.market_level, style) + "\n";
    text += TornadoText(sensitivity, matrix, style).text();
    text += warning_lines(warnings, style);
    return text + caution_lines(cautions(stone, valuation.weight, matrix), style);
}

} // namespace trayworth::output
