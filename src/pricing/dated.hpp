// Whether a matrix is of the time that values are wanted for. There is no clock in it: the day is
// the user's to say.
#pragma once

#include "core/diagnostic.hpp"
#include "pricing/matrix.hpp"

#include <chrono>

namespace trayworth::pricing {

// Appends a warning, with a pointer from the matrix's root, when the matrix is as of a day more
// than a year before `on`, or after it.
void check_date(const Matrix& matrix, std::chrono::year_month_day on, Diagnostics& diagnostics);

} // namespace trayworth::pricing
