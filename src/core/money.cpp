// Alphabetic codes and minor units: ISO 4217, list of active currency codes (from memory).
#include "core/money.hpp"

#include "core/decimal.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

namespace trayworth {
namespace {

constexpr std::array<std::string_view, 16> without_minor{"BIF", "CLP", "DJF", "GNF", "ISK", "JPY",
                                                         "KMF", "KRW", "PYG", "RWF", "UGX", "VND",
                                                         "VUV", "XAF", "XOF", "XPF"};
constexpr std::array<std::string_view, 7> with_mils{"BHD", "IQD", "JOD", "KWD",
                                                    "LYD", "OMR", "TND"};
constexpr std::array<std::string_view, 131> with_cents{
    "AED", "AFN", "ALL", "AMD", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT",
    "BMD", "BND", "BOB", "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHF",
    "CNY", "COP", "CRC", "CUP", "CVE", "CZK", "DKK", "DOP", "DZD", "EGP", "ERN", "ETB",
    "EUR", "FJD", "FKP", "GBP", "GEL", "GHS", "GIP", "GMD", "GTQ", "GYD", "HKD", "HNL",
    "HTG", "HUF", "IDR", "ILS", "INR", "IRR", "JMD", "KES", "KGS", "KHR", "KPW", "KYD",
    "KZT", "LAK", "LBP", "LKR", "LRD", "LSL", "MAD", "MDL", "MGA", "MKD", "MMK", "MNT",
    "MOP", "MRU", "MUR", "MVR", "MWK", "MXN", "MYR", "MZN", "NAD", "NGN", "NIO", "NOK",
    "NPR", "NZD", "PAB", "PEN", "PGK", "PHP", "PKR", "PLN", "QAR", "RON", "RSD", "RUB",
    "SAR", "SBD", "SCR", "SDG", "SEK", "SGD", "SHP", "SLE", "SOS", "SRD", "SSP", "STN",
    "SVC", "SYP", "SZL", "THB", "TJS", "TMT", "TOP", "TRY", "TTD", "TWD", "TZS", "UAH",
    "USD", "UYU", "UZS", "VES", "WST", "XCD", "XCG", "YER", "ZAR", "ZMW", "ZWG"};

static_assert(std::is_sorted(without_minor.begin(), without_minor.end()) &&
              std::is_sorted(with_mils.begin(), with_mils.end()) &&
              std::is_sorted(with_cents.begin(), with_cents.end()));

template<std::size_t N>
bool holds(const std::array<std::string_view, N>& codes, std::string_view code) {
    return std::binary_search(codes.begin(), codes.end(), code);
}

} // namespace

std::optional<Currency> currency_from(std::string_view code) {
    if (holds(with_cents, code)) {
        return Currency{std::string(code), 2};
    }
    if (holds(without_minor, code)) {
        return Currency{std::string(code), 0};
    }
    if (holds(with_mils, code)) {
        return Currency{std::string(code), 3};
    }
    return std::nullopt;
}

Money to_money(double amount, const Currency& currency) {
    // 2.675 has no exact binary form and times 100 falls just short of the half: its error and that
    // of the product are two units in the last place at most.
    constexpr double most =
        9.2e18; // below the largest std::int64_t by more than a step of rounding
    const double minor = std::clamp(amount * power_of_ten(currency.minor_digits), -most, most);
    const auto two_further = std::bit_cast<double>(std::bit_cast<std::uint64_t>(minor) + 2);
    return {std::llround(two_further), currency.minor_digits};
}

Money to_nearest(Money money, double step) {
    const auto unit =
        std::max<std::int64_t>(1, std::llround(step * power_of_ten(money.minor_digits)));
    const std::int64_t half = money.minor < 0 ? -(unit / 2) : unit / 2;
    return {(money.minor + half) / unit * unit, money.minor_digits};
}

std::string plain(Money money) {
    std::string digits = std::to_string(std::abs(money.minor));
    const auto minor = static_cast<std::size_t>(money.minor_digits);
    if (digits.size() <= minor) {
        digits.insert(0, minor + 1 - digits.size(), '0');
    }
    if (minor > 0) {
        digits.insert(digits.size() - minor, ".");
    }
    return money.minor < 0 ? "-" + digits : digits;
}

std::string grouped(Money money, bool whole) {
    std::string text = plain(money);
    const std::size_t point = std::min(text.find('.'), text.size());
    const bool no_minor = text.find_first_not_of('0', point + 1) == std::string::npos;
    if (whole && no_minor) {
        text.resize(point);
    }
    const std::size_t first = text.front() == '-' ? 1 : 0;
    for (std::size_t at = point; at > first + 3; at -= 3) {
        text.insert(at - 3, ",");
    }
    return text;
}

} // namespace trayworth
