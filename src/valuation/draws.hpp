// Draws that are the same wherever the program was built, from a seed.
//
// Rectangular draws: JCGM 101:2008, 6.4.2. Normal draws: the polar method, G. Marsaglia and
// T. A. Bray, SIAM Review 6 (1964) 260-264 (from memory), in place of the standard library's
// distributions, whose draws differ between implementations.
#pragma once

#include "core/uncertain.hpp"

#include <cmath>
#include <cstdint>
#include <random>

namespace trayworth::valuation {

class Draws {
public:
    explicit Draws(std::uint64_t seed) : engine_(seed) {}

    // In (0, 1): 53 bits, and never an end.
    double uniform() { return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1p-53; }

    double standard_normal() {
        if (has_spare_) {
            has_spare_ = false;
            return spare_;
        }
        double a = 0;
        double b = 0;
        double square = 0;
        do {
            a = 2 * uniform() - 1;
            b = 2 * uniform() - 1;
            square = a * a + b * b;
        } while (square >= 1 || square == 0);
        const double factor = std::sqrt(-2 * std::log(square) / square);
        spare_ = b * factor;
        has_spare_ = true;
        return a * factor;
    }

    double from(const Uncertain& input) {
        switch (input.distribution) {
        case Distribution::rectangular:
            return input.value + (2 * uniform() - 1) * input.half_width();
        case Distribution::normal:
            return input.value + standard_normal() * input.u;
        case Distribution::exact:
            break;
        }
        return input.value;
    }

private:
    std::mt19937_64 engine_;
    double spare_ = 0;
    bool has_spare_ = false;
};

} // namespace trayworth::valuation
