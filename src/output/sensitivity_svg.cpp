// Lengths in SVG user units. The change of a step is drawn to scale, zero in the middle.
#include "output/html_text.hpp"
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

// Grows downwards as it is written.
class TornadoDrawing {
public:
    TornadoDrawing(const valuation::Sensitivity& sensitivity, const pricing::Matrix& matrix)
        : sensitivity_(sensitivity), matrix_(matrix), largest_(largest_change(sensitivity)) {}

    void title(std::string_view text) {
        y_ += 34;
        line("class=\"title\"", fitted(text, longest_title));
    }
    void lead(std::string_view text) {
        y_ += 26;
        line("", text);
    }
    // Small, and broken into lines.
    void sentence(std::string_view text) {
        std::string rest = wrapped(text, note_length, 0);
        while (!rest.empty()) {
            const std::size_t end = std::min(rest.find('\n'), rest.size());
            y_ += note_height;
            line("class=\"quiet\"", std::string_view(rest).substr(0, end));
            rest.erase(0, end + 1);
        }
        y_ += note_height / 4;
    }
    void chart() {
        y_ += note_height;
        const double top = y_;
        for (const valuation::Axis& axis : sensitivity_.axes) {
            row(axis);
        }
        body_ += fmt::format(
            "<line class=\"axis\" x1=\"{0}\" y1=\"{1:.1f}\" x2=\"{0}\" y2=\"{2:.1f}\"/>\n", centre,
            top - 6, y_);
    }

    [[nodiscard]] std::string document(std::string_view title, std::string_view description) const {
        return fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" "
                           "height=\"{1:.0f}\" viewBox=\"0 0 {0} {1:.0f}\" role=\"img\" "
                           "aria-labelledby=\"title description\">\n<title "
                           "id=\"title\">{2}</title>\n<desc id=\"description\">{3}</desc>\n"
                           "<style>{4}</style>\n<rect class=\"ground\" width=\"100%\" "
                           "height=\"100%\"/>\n{5}</svg>\n",
                           width, y_ + margin, escaped(title), escaped(description), style, body_);
    }

private:
    static constexpr double width = 960;
    static constexpr double margin = 24;
    static constexpr double centre = 610;
    static constexpr double longest_bar = 240;
    static constexpr double bar_height = 18;
    static constexpr double step_height = 44; // a bar and its words
    static constexpr double note_height = 17;
    static constexpr std::size_t longest_label = 42;
    static constexpr std::size_t longest_title = 80;
    static constexpr std::size_t note_length = 135;
    static constexpr std::string_view style =
        "text{font:14px sans-serif;fill:#1b2326}.quiet{font-size:12px;fill:#566066}"
        ".title{font-size:18px;font-weight:bold}.ground{fill:#fff}.axis{stroke:#566066}"
        ".down{fill:#8a7f70}.up{fill:#0c6370}";

    void text_at(double x, double y, std::string_view attributes, std::string_view text) {
        body_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\"{}{}>{}</text>\n", x, y,
                             attributes.empty() ? "" : " ", attributes, escaped(text));
    }
    void line(std::string_view attributes, std::string_view text) {
        text_at(margin, y_, attributes, text);
    }

    void row(const valuation::Axis& axis) {
        const Sides sides = sides_of(axis, sensitivity_);
        text_at(margin, y_ + bar_height - 4, "",
                fitted(fmt::format("{}: {}", axis.name, axis.read), longest_label));
        for (std::size_t i = 0; i < sides.cheaper.size(); ++i) {
            const double length = length_of_bar(*sides.cheaper[i]);
            bar("down", centre - length, length, i, *sides.cheaper[i]);
        }
        for (std::size_t i = 0; i < sides.dearer.size(); ++i) {
            bar("up", centre, length_of_bar(*sides.dearer[i]), i, *sides.dearer[i]);
        }
        const std::size_t steps = std::max({sides.cheaper.size(), sides.dearer.size(),
                                            std::size_t{sides.not_priced.empty() ? 1U : 0U}});
        y_ += step_height * static_cast<double>(steps);
        if (steps == 0) {
            y_ += bar_height;
        }
        for (const std::string& refusal : sides.not_priced) {
            sentence(refusal);
        }
    }

    [[nodiscard]] double length_of_bar(const valuation::Step& step) const {
        const double change = std::abs(*step.likely - sensitivity_.valuation.likely);
        return largest_ > 0 ? change / largest_ * longest_bar : 0;
    }

    void bar(std::string_view name,
             double x,
             double length,
             std::size_t place,
             const valuation::Step& step) {
        const double y = y_ + step_height * static_cast<double>(place);
        const bool down = name == "down";
        body_ += fmt::format("<rect class=\"{}\" x=\"{:.2f}\" y=\"{:.1f}\" width=\"{:.2f}\" "
                             "height=\"{}\"/>\n",
                             name, x, y, length, bar_height);
        text_at(down ? centre - 6 : centre + 6, y + bar_height + 14,
                down ? "class=\"quiet\" text-anchor=\"end\"" : "class=\"quiet\"",
                step_words(step, sensitivity_, matrix_));
    }

    const valuation::Sensitivity& sensitivity_;
    const pricing::Matrix& matrix_;
    double largest_;
    std::string body_;
    double y_ = 0;
};

} // namespace

std::string sensitivity_svg(const Stone& stone,
                            const valuation::Sensitivity& sensitivity,
                            const pricing::Matrix& matrix) {
    const valuation::Valuation& valuation = sensitivity.valuation;
    TornadoDrawing drawing(sensitivity, matrix);
    const std::string title =
        fmt::format("{}  {}", stone.id.value_or("(no id)"), valuation.nomenclature.name);
    const std::string lead =
        fmt::format("{} {} likely; what one step of each grade would change", matrix.currency.code,
                    exact_money(valuation.likely, matrix));
    drawing.title(title);
    drawing.lead(lead);
    drawing.sentence(basis_sentence(matrix, valuation.market_level));
    drawing.chart();
    for (const std::string& caution : cautions(stone, valuation.weight, matrix)) {
        drawing.sentence(caution);
    }
    return drawing.document(title, lead + ", the largest first.");
}

} // namespace trayworth::output
