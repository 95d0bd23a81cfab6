// Decimal rounding of binary numbers.
#pragma once

namespace trayworth {

// The number of `digits` significant decimal digits (1 to 15) that is nearest to x, as the double
// nearest to it. x is finite.
double to_significant(double x, int digits = 7);

} // namespace trayworth
