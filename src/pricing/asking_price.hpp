// What is asked for a stone: its likely value, tax where it is to be added, and the nearest price
// that the matrix lists.
//
// Symbols
//   V       likely value, to the minor unit of the currency
//   r       rate of the tax, in thousandths of a per cent
//   T       V (1 + r / 100000), to the minor unit, halves away from zero; V without a tax
//   total   the list price nearest to T, the dearer of two that are equally near; where the matrix
//           lists none, T rounded as all its prices are
//   tax     total r / (100000 + r), to the minor unit: what the total holds of it
#pragma once

#include "core/diagnostic.hpp"
#include "core/money.hpp"
#include "pricing/matrix.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace trayworth::pricing {

// Above 0 and at most 100 %.
struct TaxRate {
    std::int64_t thousandths = 0; // of a per cent
};

// "10%", "8.875%"; nothing when it is not such a rate.
std::optional<TaxRate> tax_rate_from(std::string_view text);
// "10", "8.875": in per cent.
std::string per_cent(TaxRate rate);

struct AskingPrice {
    Money likely;               // V
    Money with_tax;             // T
    Money total;                // the one price that is asked
    std::optional<Money> tax{}; // what it holds of the tax that was added
};

// `likely` in the matrix's currency. A price that no list can show is an error: one that comes to
// nothing, or is beyond largest_amount.
std::optional<AskingPrice> asking_price(double likely,
                                        const Matrix& matrix,
                                        std::optional<TaxRate> tax,
                                        Diagnostics& diagnostics);

// The price nearest to `money` that the matrix lists. It lists some.
Money list_price(const Matrix& matrix, Money money);

// Whether a step that ends where the next begins, where there is one, has a price.
bool lists_a_price(const ListStep& step, const ListStep* next);

} // namespace trayworth::pricing
