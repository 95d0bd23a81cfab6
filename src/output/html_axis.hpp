// Ranges of money on a logarithmic axis.
#pragma once

#include "core/money.hpp"
#include "valuation/value.hpp"

#include <string>
#include <vector>

namespace trayworth::output {

// Places on it are in hundredths of its length.
class MoneyAxis {
public:
    // From a little below `low` to a little above `high`; 0 < low <= high. At most about
    // `most_ticks` amounts of 1, 2 or 5 times a power of ten are labelled.
    MoneyAxis(double low, double high, const Currency& currency, std::size_t most_ticks = 7);

    [[nodiscard]] double place(double amount) const;

    struct Tick {
        double place = 0;
        std::string label; // "1,000"
    };
    [[nodiscard]] const std::vector<Tick>& ticks() const { return ticks_; }

    // A thick bar for the range, a mark at the likely value, a thin line for the outer limits where
    // they are given. Hidden from screen readers: the same figures stand beside it in words.
    [[nodiscard]] std::string strip(const valuation::Interval& range,
                                    double likely,
                                    const valuation::Interval* outer = nullptr) const;

    // The labels, in a row as long as the strip.
    [[nodiscard]] std::string labels() const;

private:
    double from_ = 0; // log10
    double to_ = 1;
    std::vector<Tick> ticks_;
};

} // namespace trayworth::output
