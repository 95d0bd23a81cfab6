#include "output/statement.hpp"

namespace trayworth::output {

std::vector<std::string> cautions(const pricing::Matrix& matrix) {
    std::vector<std::string> sentences;
    if (matrix.invented) {
        sentences.emplace_back("The matrix's prices are invented for the demonstration: this is "
                               "not what a stone is worth. Use a matrix of your own.");
    }
    sentences.emplace_back("An estimate for pricing stock, not an appraisal: it does not promise "
                           "what a sale will bring. For insurance, tax, estate or lending, ask a "
                           "registered valuer; local rules come first.");
    return sentences;
}

std::vector<std::string>
cautions(const Stone& stone, const weight::Weight& weight, const pricing::Matrix& matrix) {
    std::vector<std::string> sentences = cautions(matrix);
    if (weight.basis == weight::Basis::estimated) {
        sentences.emplace_back("The weight is estimated from dimensions and density; weigh the "
                               "stone when it can be weighed loose.");
    }
    if (stone.hydrophane.value_or(false)) {
        sentences.emplace_back("Hydrophane opal takes up water: weigh it dry, and say that it is "
                               "hydrophane when selling it.");
    }
    return sentences;
}

} // namespace trayworth::output
