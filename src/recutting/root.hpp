// Where a function of one variable first falls below zero.
//
// Root-finder: R. P. Brent, Algorithms for Minimization without Derivatives, Prentice-Hall 1973,
// chapter 4 ("zero"; from memory): inverse quadratic interpolation or a secant where they stay well
// inside the bracket, bisection elsewhere. It needs a change of sign and nothing else, so that a
// value that jumps is no harm: the jump is the root.
#pragma once

#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <utility>

namespace trayworth::recutting {

// A point of f's bracket [a, b] next to a change of sign, at which f >= 0. Requires f(a) >= 0 and
// f(b) < 0, given as fa and fb.
template<class Function>
double crossing_between(double a, double b, double fa, double fb, double tolerance, Function f) {
    double c = a; // b and c bracket the root, |f(b)| <= |f(c)|
    double fc = fa;
    double step = b - a;
    double last_step = step;
    constexpr int most_steps = 200;
    for (int i = 0; i < most_steps; ++i) {
        if (std::abs(fc) < std::abs(fb)) {
            a = b;
            b = c;
            c = a;
            fa = fb;
            fb = fc;
            fc = fa;
        }
        const double close =
            2 * std::numeric_limits<double>::epsilon() * std::abs(b) + tolerance / 2;
        const double half = (c - b) / 2;
        if (std::abs(half) <= close || fb == 0) {
            break;
        }
        if (std::abs(last_step) < close || std::abs(fa) <= std::abs(fb)) {
            step = last_step = half;
        } else {
            const double s = fb / fa;
            double p = 2 * half * s;
            double q = 1 - s;
            if (a != c) {
                const double t = fa / fc;
                const double r = fb / fc;
                p = s * (2 * half * t * (t - r) - (b - a) * (r - 1));
                q = (t - 1) * (r - 1) * (s - 1);
            }
            if (p > 0) {
                q = -q;
            } else {
                p = -p;
            }
            if (2 * p < 3 * half * q - std::abs(close * q) && p < std::abs(last_step * q / 2)) {
                last_step = std::exchange(step, p / q);
            } else {
                step = last_step = half;
            }
        }
        a = b;
        fa = fb;
        b += std::abs(step) > close ? step : std::copysign(close, half);
        fb = f(b);
        if ((fb >= 0) == (fc >= 0)) {
            c = a;
            fc = fa;
            step = last_step = b - a;
        }
    }
    return fb >= 0 ? b : c;
}

struct Crossing {
    std::optional<double> at; // absent when there is none up to `reach`
    double reach = 0;         // how far f is defined, up to the end of the search
};

// The first crossing of f from f >= 0 to f < 0 over [0, end], looked for in equal steps: a dip that
// begins and ends within one step may be missed. f gives std::optional<double>; where it gives
// nothing the search ends. 0 when f is below zero, or zero, from the start.
template<class Function>
Crossing first_crossing(double end, std::size_t steps, double tolerance, Function f) {
    const std::optional<double> start = f(0.0);
    if (!start) {
        return {std::nullopt, 0};
    }
    if (*start <= 0) {
        return {0.0, 0};
    }
    double before = 0;
    double f_before = *start;
    for (std::size_t i = 1; i <= steps; ++i) {
        const double at = end * static_cast<double>(i) / static_cast<double>(steps);
        std::optional<double> found = f(at);
        if (!found) {
            return {std::nullopt, before};
        }
        if (*found < 0) {
            // Within the bracket a value that is not there counts as a loss.
            return {crossing_between(before, at, f_before, *found, tolerance,
                                     [&](double x) { return f(x).value_or(-1.0); }),
                    at};
        }
        before = at;
        f_before = *found;
    }
    return {std::nullopt, end};
}

} // namespace trayworth::recutting
