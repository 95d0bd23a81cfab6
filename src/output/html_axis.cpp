#include "output/html_axis.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr double error = 1e-9; // of a logarithm

// Amounts between 10^from and 10^to, of those with a first digit in `digits`, every n-th power.
std::vector<double> steps(double from, double to, std::initializer_list<double> digits, int every) {
    std::vector<double> found;
    for (int power = static_cast<int>(std::floor(from)); power <= std::ceil(to); ++power) {
        if (power % every != 0) {
            continue;
        }
        for (const double digit : digits) {
            const double at = power + std::log10(digit);
            if (at >= from - error && at <= to + error) {
                found.push_back(at);
            }
        }
    }
    return found;
}

std::vector<double> ticks_between(double from, double to, std::size_t most) {
    std::vector<double> found = steps(from, to, {1, 2, 5}, 1);
    if (found.size() > most) {
        found = steps(from, to, {1, 3}, 1);
    }
    for (int every = 1; found.size() > most; ++every) {
        found = steps(from, to, {1}, every);
    }
    return found;
}

std::string label_of(double log, const Currency& currency) {
    // 10^0.477... is 2.9999...: whole first digits are meant.
    const double power = std::pow(10, std::floor(log + error));
    const double amount = std::round(std::pow(10, log) / power) * power;
    return amount > largest_amount ? fmt::format("{:.0e}", amount)
                                   : grouped(to_money(amount, currency), true);
}

std::string bar(double from, double to, std::string_view y, std::string_view name) {
    return fmt::format(R"(<line class="{}" x1="{:.2f}%" y1="{}" x2="{:.2f}%" y2="{}"/>)", name,
                       from, y, to, y);
}

std::string
stroke(double place, std::string_view from, std::string_view to, std::string_view name) {
    return fmt::format(R"(<line class="{0}" x1="{1:.2f}%" y1="{2}" x2="{1:.2f}%" y2="{3}"/>)", name,
                       place, from, to);
}

} // namespace

MoneyAxis::MoneyAxis(double low, double high, const Currency& currency, std::size_t most_ticks) {
    const double least = std::pow(10, -currency.minor_digits); // no amount is less
    from_ = std::log10(std::max(low, least));
    to_ = std::log10(std::max(high, least));
    const double room = std::max((to_ - from_) * 0.04, 0.03);
    from_ -= room;
    to_ += room;
    for (const double log : ticks_between(from_, to_, most_ticks)) {
        ticks_.push_back({(log - from_) / (to_ - from_) * 100, label_of(log, currency)});
    }
}

double MoneyAxis::place(double amount) const {
    const double part = amount > 0 ? (std::log10(amount) - from_) / (to_ - from_) : 0;
    return std::clamp(part, 0.0, 1.0) * 100;
}

std::string MoneyAxis::strip(const valuation::Interval& range,
                             double likely,
                             const valuation::Interval* outer) const {
    std::string text = R"(<svg class="strip" aria-hidden="true">)";
    for (const Tick& tick : ticks_) {
        text += stroke(tick.place, "0", "100%", "tick");
    }
    if (outer != nullptr) {
        text += bar(place(outer->low), place(outer->high), "50%", "outer");
    }
    text += bar(place(range.low), place(range.high), "50%", "range");
    return text + stroke(place(likely), "10%", "90%", "likely") + "</svg>";
}

std::string MoneyAxis::labels() const {
    std::string text = R"(<div class="labels" aria-hidden="true">)";
    for (const Tick& tick : ticks_) {
        text += fmt::format(R"(<span style="left:{:.2f}%">{}</span>)", tick.place, tick.label);
    }
    return text + "</div>";
}

} // namespace trayworth::output
