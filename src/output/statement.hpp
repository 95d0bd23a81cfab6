// The sentences that every valuation carries: what it is, what it is not, and who to ask instead.
#pragma once

#include "core/stone.hpp"
#include "pricing/matrix.hpp"
#include "weight/weigh.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

inline constexpr std::string_view purpose = "pricing a seller's own stock";

// "An estimate, not an appraisal ...", invented prices, an estimated weight, a straddled class.
std::vector<std::string>
cautions(const Stone& stone, const weight::Weight& weight, const pricing::Matrix& matrix);

} // namespace trayworth::output
