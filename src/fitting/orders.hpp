// The orders that a matrix keeps, as far as the trade ranks its numbers: a darker tone is not
// cheaper, a brighter stone is not cheaper, more of the face covered is not worth less, and words
// of pricing/ranked_words.hpp by their rank. Where the matrix itself goes against one of these, its
// owner means it, and no order is taken there.
#pragma once

#include "fitting/isotonic.hpp"
#include "fitting/numbers.hpp"
#include "pricing/matrix.hpp"

#include <vector>

namespace trayworth::fitting {

// By index of Numbers, in ascending order of value; each of two at least.
std::vector<Chain> orders_of(const pricing::Matrix& matrix, const Numbers& numbers);

} // namespace trayworth::fitting
