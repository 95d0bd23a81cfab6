#include "fitting/proposal.hpp"

#include "core/decimal.hpp"
#include "fitting/orders.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace trayworth::fitting {
namespace {

using pricing::Spread;

constexpr double sales_for_half_of_widening = 10;
constexpr double most_widening = 20;
constexpr double noticeable = 1e-9; // of a logarithm

class Proposing {
public:
    Proposing(std::span<const Observation* const> sales,
              const Subject& subject,
              const ProposalOptions& options)
        : sales_(sales), subject_(subject), numbers_(subject.numbers), options_(options) {}

    Proposal run(const Estimate* warm) {
        found_.estimate =
            estimate(sales_, numbers_, subject_.matrix.coverage_factor, options_.estimate, warm);
        const std::vector<double> middles = middles_in_order();
        set_ranges(middles);
        found_.spreads = numbers_.spreads();
        for (std::size_t i = 0; i < numbers_.size(); ++i) {
            if (sold(i) || by_order_[i]) {
                move(i, middles[i]);
            }
        }
        restore_order();
        list_changes();
        return std::move(found_);
    }

private:
    [[nodiscard]] bool sold(std::size_t number) const {
        return !numbers_[number].held && found_.estimate.sales[number] > 0;
    }

    // What has no sales is as uncertain as its table is, and gives way only to keep its order.
    [[nodiscard]] double uncertainty(std::size_t number) const {
        constexpr double least = 1e-6;
        const Estimate& estimate = found_.estimate;
        return std::max(estimate.sales[number] > 0
                            ? estimate.standard_errors[number]
                            : estimate.group_deviations[numbers_[number].group],
                        least);
    }

    std::vector<double> middles_in_order() {
        std::vector<double> wanted;
        std::vector<double> weights;
        std::vector<Range<double>> limits;
        for (std::size_t i = 0; i < numbers_.size(); ++i) {
            const double middle = numbers_.spreads()[i].log_middle;
            const double u = numbers_[i].held ? 1 : uncertainty(i);
            wanted.push_back(middle + found_.estimate.corrections[i]);
            weights.push_back(1 / (u * u));
            limits.push_back(numbers_[i].held ? point(middle) : limits_of(i));
        }
        std::vector<double> middles = ordered_within(wanted, weights, limits, subject_.orders);
        for (std::size_t i = 0; i < numbers_.size(); ++i) {
            bounded_.push_back(wanted[i] < limits[i].low || wanted[i] > limits[i].high);
            by_order_.push_back(!bounded_[i] && std::abs(middles[i] - wanted[i]) > noticeable);
        }
        return middles;
    }

    [[nodiscard]] Range<double> limits_of(std::size_t number) const {
        constexpr double anything = 1e3;
        const double middle = numbers_.spreads()[number].log_middle;
        Range<double> limits{middle - anything, middle + anything};
        if (options_.most_change) {
            const double step = std::log1p(*options_.most_change);
            limits = {middle - step, middle + step};
        }
        if (numbers_[number].no_gain) {
            limits.high = std::min(limits.high, 0.0);
        }
        return limits;
    }

    // q, or the half-width of prices.
    void set_ranges(const std::vector<double>& middles) {
        struct Sold {
            double residual = 0;
            double own = 0;
            double by_matrix = 0;
        };
        const double k = subject_.matrix.coverage_factor;
        std::vector<Sold> sold;
        std::vector<double> corrections;
        for (std::size_t i = 0; i < middles.size(); ++i) {
            corrections.push_back(middles[i] - numbers_.spreads()[i].log_middle);
        }
        for (std::size_t i = 0; i < sales_.size(); ++i) {
            if (const std::optional<double>& left_out = found_.estimate.left_out[i]) {
                const double residual = *left_out +
                                        log_change(*sales_[i], found_.estimate.corrections) -
                                        log_change(*sales_[i], corrections);
                const double whole = variance(*sales_[i], numbers_.spreads(), k);
                sold.push_back(
                    {residual, sales_[i]->own_variance, whole - sales_[i]->own_variance});
            }
        }
        if (sold.empty()) {
            return;
        }
        const bool bare = std::all_of(sold.begin(), sold.end(),
                                      [](const Sold& sale) { return sale.by_matrix <= 0; });
        // Of each sale the q at which it is just inside; the stated share of them is.
        std::vector<double> needed;
        needed.reserve(sold.size());
        for (const Sold& sale : sold) {
            const double outside = sale.residual * sale.residual / (k * k) - sale.own;
            const double by_matrix = bare ? 1 / (k * k) : sale.by_matrix;
            needed.push_back(outside <= 0     ? 0
                             : by_matrix <= 0 ? most_widening
                                              : std::sqrt(outside / by_matrix));
        }
        const auto size = static_cast<double>(needed.size());
        const auto rank =
            std::min(static_cast<std::size_t>(std::ceil(subject_.matrix.coverage * size)) - 1,
                     needed.size() - 1);
        std::nth_element(needed.begin(), needed.begin() + static_cast<std::ptrdiff_t>(rank),
                         needed.end());
        if (bare) {
            found_.half_width = needed[rank];
            return;
        }
        const double q = std::clamp(needed[rank], 1 / most_widening, most_widening);
        found_.widening = std::exp(std::log(q) * size / (size + sales_for_half_of_widening));
    }

    [[nodiscard]] double new_half(std::size_t number) const {
        const double before = numbers_.spreads()[number].log_half;
        if (!sold(number)) {
            return before;
        }
        if (found_.half_width) {
            return numbers_[number].price ? *found_.half_width : 0;
        }
        return before * found_.widening.value_or(1);
    }

    // As many digits as mean something.
    [[nodiscard]] int digits(std::size_t number) const {
        constexpr double rough = 0.05;
        return uncertainty(number) < rough ? 4 : 3;
    }

    void move(std::size_t number, double middle) {
        const Spread& before = numbers_.spreads()[number];
        const double half = new_half(number);
        const double low = to_significant(std::exp(middle - half), digits(number));
        double high = to_significant(std::exp(middle + half), digits(number));
        if (numbers_[number].no_gain && before.log_middle + before.log_half <= 0) {
            high = std::min(high, 1.0);
        }
        found_.spreads[number] = Spread::between(low, high);
    }

    // Rounding may have put neighbours out of order by the last digit.
    void restore_order() {
        constexpr int most_passes = 1000;
        bool changed = true;
        for (int pass = 0; changed && pass < most_passes; ++pass) {
            changed = false;
            for (const Chain& chain : subject_.orders) {
                for (std::size_t i = 1; i < chain.size(); ++i) {
                    const std::size_t lesser = chain[i - 1];
                    const std::size_t greater = chain[i];
                    if (found_.spreads[greater].log_middle >= found_.spreads[lesser].log_middle) {
                        continue;
                    }
                    numbers_[greater].held ? nudge(lesser, -1) : nudge(greater, 1);
                    changed = true;
                }
            }
        }
    }

    // By one unit of the last digit: the high end up, or the low end down.
    void nudge(std::size_t number, int sign) {
        Spread& spread = found_.spreads[number];
        const bool single = spread.log_half == 0;
        double low = to_significant(spread.low());
        double high = to_significant(spread.high());
        double& end = sign > 0 ? high : low;
        const double unit =
            std::pow(10, std::floor(std::log10(end)) + 1 - static_cast<double>(digits(number)));
        end = to_significant(end + sign * unit, digits(number));
        spread = single ? Spread::between(end, end) : Spread::between(low, high);
    }

    void list_changes() {
        for (std::size_t i = 0; i < numbers_.size(); ++i) {
            const Spread& before = numbers_.spreads()[i];
            const Spread& now = found_.spreads[i];
            if (std::abs(now.log_middle - before.log_middle) >= noticeable ||
                std::abs(now.log_half - before.log_half) >= noticeable) {
                found_.changes.push_back(
                    {i, found_.estimate.sales[i], found_.estimate.corrections[i], before, now,
                     found_.estimate.standard_errors[i], by_order_[i], bounded_[i]});
            } else if (numbers_[i].held) {
                found_.held.push_back(i);
            } else if (found_.estimate.sales[i] == 0) {
                found_.unsold.push_back(i);
            }
        }
    }

    std::span<const Observation* const> sales_;
    const Subject& subject_;
    const Numbers& numbers_;
    const ProposalOptions& options_;
    std::vector<bool> by_order_;
    std::vector<bool> bounded_;
    Proposal found_;
};

} // namespace

Subject::Subject(const pricing::Matrix& from)
    : matrix(from), numbers(from), orders(orders_of(from, numbers)) {}

Proposal propose(std::span<const Observation* const> sales,
                 const Subject& subject,
                 const ProposalOptions& options,
                 const Estimate* warm) {
    return Proposing(sales, subject, options).run(warm);
}

} // namespace trayworth::fitting
