#include "recutting/subject.hpp"

#include <utility>

namespace trayworth::recutting {

std::optional<Subject> subject_of(Stone stone, const Terms& terms, Diagnostics& diagnostics) {
    std::optional<valuation::Valuation> valuation =
        valuation::value(stone, terms.request(), diagnostics);
    if (!valuation) {
        return std::nullopt;
    }
    Diagnostics said_already;
    std::optional<valuation::Model> model = valuation::build(
        stone, valuation->weight, terms.matrix, terms.level, valuation::Explain::yes, said_already);
    return Subject{std::move(stone), std::move(*valuation), std::move(*model)};
}

} // namespace trayworth::recutting
