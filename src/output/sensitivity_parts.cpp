#include "output/sensitivity_parts.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

// With a minus sign as wide as the plus, and none before a zero.
std::string with_sign(bool below, const std::string& digits) {
    constexpr std::string_view minus = "\xE2\x88\x92";
    const bool zero = digits.find_first_not_of("0.") == std::string::npos;
    return zero ? digits : std::string(below ? minus : "+") + digits;
}

} // namespace

Money change_of(const valuation::Step& step,
                const valuation::Sensitivity& sensitivity,
                const pricing::Matrix& matrix) {
    Money change = to_money(*step.likely, matrix.currency);
    change.minor -= to_money(sensitivity.valuation.likely, matrix.currency).minor;
    return change;
}

double per_cent_of(const valuation::Step& step, const valuation::Sensitivity& sensitivity) {
    return 100 * (*step.likely / sensitivity.valuation.likely - 1);
}

double largest_change(const valuation::Sensitivity& sensitivity) {
    double largest = 0;
    for (const valuation::Axis& axis : sensitivity.axes) {
        largest = std::max(largest, axis.size(sensitivity.valuation.likely));
    }
    return largest;
}

std::string step_words(const valuation::Step& step,
                       const valuation::Sensitivity& sensitivity,
                       const pricing::Matrix& matrix) {
    const Money change = change_of(step, sensitivity, matrix);
    const double per_cent = per_cent_of(step, sensitivity);
    return fmt::format(
        "{} {} ({} %)", step.to,
        with_sign(change.minor < 0, grouped(Money{std::abs(change.minor), change.minor_digits})),
        with_sign(per_cent < 0, fmt::format("{:.1f}", std::abs(per_cent))));
}

Sides sides_of(const valuation::Axis& axis, const valuation::Sensitivity& sensitivity) {
    Sides sides;
    for (const valuation::Step& step : axis.steps) {
        if (!step.likely) {
            sides.not_priced.push_back(
                fmt::format("{}: not priced. {}", step.to, step.refused->message));
        } else if (*step.likely < sensitivity.valuation.likely) {
            sides.cheaper.push_back(&step);
        } else {
            sides.dearer.push_back(&step);
        }
    }
    return sides;
}

} // namespace trayworth::output
