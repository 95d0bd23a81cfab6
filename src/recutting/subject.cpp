#include "recutting/subject.hpp"

#include <utility>

namespace trayworth::recutting {

std::optional<Subject> subject_of(Stone stone, const Terms& terms, Diagnostics& diagnostics) {
    std::optional<valuation::Modelled> found =
        valuation::value_and_model(stone, terms.request(), valuation::Explain::yes, diagnostics);
    if (!found) {
        return std::nullopt;
    }
    return Subject{std::move(stone), std::move(found->valuation), std::move(found->model)};
}

} // namespace trayworth::recutting
