// Money carries its currency and is rounded once, when a computed amount becomes money.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace trayworth {

// A currency of ISO 4217: three capital letters and the decimals of its minor unit.
struct Currency {
    std::string code;
    int minor_digits = 2;

    friend bool operator==(const Currency&, const Currency&) = default;
};

// The active currency with that alphabetic code, or nothing.
std::optional<Currency> currency_from(std::string_view code);

struct Money {
    std::int64_t minor = 0; // in minor units: cents where minor_digits is 2
    int minor_digits = 2;
};

// The largest amount that keeps exact minor units as a double.
inline constexpr double largest_amount = 1e12;

// To the nearest minor unit, halves away from zero; exact up to largest_amount. Amounts that no
// Money holds become the largest that one does, about 9e15 where there are three decimals.
Money to_money(double amount, const Currency& currency);

// To the nearest multiple of `step` (> 0, in major units), halves away from zero.
Money to_nearest(Money money, double step);

// "1630.50": digits and a point, as JSON numbers are written.
std::string plain(Money money);
// "1,630.50"; without the minor units when `whole` and they are zero: "1,630".
std::string grouped(Money money, bool whole = false);

} // namespace trayworth
