// List prices are sought in whole minor units: the steps in turn, and in each the nearest below and
// above.
#include "pricing/asking_price.hpp"

#include "core/decimal.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace trayworth::pricing {
namespace {

constexpr std::int64_t whole = 100'000; // thousandths of a per cent
constexpr std::size_t decimals = 3;     // of a rate in per cent

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// amount x part / all, halves up; amount >= 0, and no product is larger than that of the largest
// amount with three decimals and twice `whole`.
std::int64_t portion(std::int64_t amount, std::int64_t part, std::int64_t all) {
    return amount / all * part + (amount % all * part + all / 2) / all;
}

// The prices of a step, in minor units: first, first + step, ... last.
struct Prices {
    std::int64_t first = 0;
    std::int64_t last = 0;
    std::int64_t step = 1;

    [[nodiscard]] std::int64_t nearest_to(std::int64_t amount) const {
        const std::int64_t inside = std::clamp(amount, first, last);
        const std::int64_t below = inside - (inside - first) % step;
        const bool up = 2 * (inside - below) >= step;
        return std::min(up ? below + step : below, last);
    }
};

std::optional<Prices> prices_of(const ListStep& step, const ListStep* next) {
    const std::int64_t every = step.to_nearest.minor;
    const std::int64_t least = std::max<std::int64_t>(step.from.minor, 1); // 0 is no price
    // Well above what is asked, where there is no next step, and well below overflow.
    const std::int64_t end =
        next != nullptr ? next->from.minor : std::numeric_limits<std::int64_t>::max() / 4;
    const std::int64_t rest = (least - step.ending.minor) % every;
    const std::int64_t first = least + (rest > 0 ? every - rest : -rest);
    if (first >= end) {
        return std::nullopt;
    }
    return Prices{first, end - 1 - (end - 1 - first) % every, every};
}

} // namespace

std::optional<TaxRate> tax_rate_from(std::string_view text) {
    if (!text.ends_with('%')) {
        return std::nullopt;
    }
    text.remove_suffix(1);
    const std::size_t point = std::min(text.find('.'), text.size());
    const std::string_view before = text.substr(0, point);
    const std::string_view after = text.substr(std::min(point + 1, text.size()));
    const bool written = !before.empty() && before.size() <= decimals && after.size() <= decimals &&
                         (point == text.size() || !after.empty()) &&
                         std::all_of(before.begin(), before.end(), is_digit) &&
                         std::all_of(after.begin(), after.end(), is_digit);
    if (!written) {
        return std::nullopt;
    }
    std::string digits = std::string(before) + std::string(after);
    digits.append(decimals - after.size(), '0');
    const std::int64_t thousandths = std::stoll(digits);
    return thousandths > 0 && thousandths <= whole ? std::optional(TaxRate{thousandths})
                                                   : std::nullopt;
}

std::string per_cent(TaxRate rate) {
    std::string text = plain(Money{rate.thousandths, static_cast<int>(decimals)});
    text.erase(text.find_last_not_of('0') + 1);
    return text.ends_with('.') ? text.substr(0, text.size() - 1) : text;
}

Money list_price(const Matrix& matrix, Money money) {
    std::optional<std::int64_t> best;
    for (std::size_t i = 0; i < matrix.list_prices.size(); ++i) {
        const bool last = i + 1 == matrix.list_prices.size();
        const std::optional<Prices> prices =
            prices_of(matrix.list_prices[i], last ? nullptr : &matrix.list_prices[i + 1]);
        if (!prices) {
            continue;
        }
        const std::int64_t near = prices->nearest_to(money.minor);
        // They ascend, so the later of two that are equally near is the dearer.
        if (!best || std::abs(near - money.minor) <= std::abs(*best - money.minor)) {
            best = near;
        }
    }
    return {best.value_or(money.minor), money.minor_digits};
}

bool lists_a_price(const ListStep& step, const ListStep* next) {
    return prices_of(step, next).has_value();
}

std::optional<AskingPrice> asking_price(double likely,
                                        const Matrix& matrix,
                                        std::optional<TaxRate> tax,
                                        Diagnostics& diagnostics) {
    const auto refuse = [&diagnostics](std::string message, std::string hint) {
        diagnostics.push_back(
            {Code::not_priced, Severity::error, "", std::move(message), std::move(hint)});
        return std::nullopt;
    };
    if (!(likely <= largest_amount)) {
        return refuse(fmt::format("A price above {} is not exact to the minor unit.",
                                  grouped(static_cast<std::size_t>(largest_amount))),
                      "Correct the record or the matrix.");
    }
    AskingPrice price;
    price.likely = to_money(likely, matrix.currency);
    price.with_tax = price.likely;
    if (tax) {
        price.with_tax.minor = portion(price.likely.minor, whole + tax->thousandths, whole);
    }
    price.total = matrix.list_prices.empty() ? matrix.rounded(price.with_tax)
                                             : list_price(matrix, price.with_tax);
    if (price.total.minor <= 0) {
        return refuse(fmt::format("The price, {}, is rounded to nothing.", plain(price.with_tax)),
                      "State \"list_prices\" in the matrix; the first of them is the least that "
                      "is asked.");
    }
    if (tax) {
        price.tax = Money{portion(price.total.minor, tax->thousandths, whole + tax->thousandths),
                          price.total.minor_digits};
    }
    return price;
}

} // namespace trayworth::pricing
