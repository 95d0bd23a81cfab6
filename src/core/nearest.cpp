// The recurrence is that of the optimal string alignment distance: L. Boytsov, "Indexing methods
// for approximate dictionary searching", ACM J. Exp. Algorithmics 16 (2011), section 2 (from
// memory).
#include "core/nearest.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace trayworth {
namespace {

constexpr std::size_t longest_compared = 64;

std::size_t alignment_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1);
    std::vector<std::size_t> last(b.size() + 1);
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) {
        last[j] = j;
    }
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t substitution = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, substitution});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                row[j] = std::min(row[j], before[j - 2] + 1);
            }
        }
        std::swap(before, last);
        std::swap(last, row);
    }
    return last[b.size()];
}

} // namespace

std::optional<std::string_view> nearest(std::string_view name,
                                        std::span<const std::string_view> known) {
    if (name.size() > longest_compared) {
        return std::nullopt;
    }
    std::optional<std::string_view> best;
    std::size_t best_distance = 0;
    for (const std::string_view candidate : known) {
        const std::size_t distance = alignment_distance(name, candidate);
        if (distance * 3 <= std::max(name.size(), candidate.size()) + 1 &&
            (!best || distance < best_distance)) {
            best = candidate;
            best_distance = distance;
        }
    }
    return best;
}

} // namespace trayworth
