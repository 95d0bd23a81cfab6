// Dates of the Gregorian calendar as ISO 8601 writes them.
#pragma once

#include <chrono>
#include <optional>
#include <string_view>

namespace trayworth {

// "2026-11-01"; nothing when it is not such a date.
std::optional<std::chrono::year_month_day> date_from(std::string_view text);

} // namespace trayworth
