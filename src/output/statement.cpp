#include "output/statement.hpp"

#include <fmt/format.h>

namespace trayworth::output {

std::string limit(double number) {
    return fmt::format("{:.4g}", number);
}

std::string basis_sentence(const pricing::Matrix& matrix, std::string_view level) {
    std::string sentence =
        fmt::format("For {}, at the {} level, by \"{}\" as of {}{}.", purpose, level, matrix.name,
                    matrix.as_of, matrix.invented ? ", with INVENTED prices" : "");
    if (matrix.conversion) {
        sentence += fmt::format(" Converted from {0} at the rate of {1}: {2} {3} for 1 {0}.",
                                matrix.conversion->from.code, matrix.conversion->date,
                                matrix.conversion->rate.figures.likely, matrix.currency.code);
    }
    return sentence;
}

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

std::vector<std::string> cautions_at_the_wheel() {
    return {"A stone that is not yet cut is reckoned here, not promised: a colour bar may thin out "
            "and a crack run further than it looks. Look, and reckon again.",
            "Cutting and polishing raise dust and mist that hold crystalline silica from the host "
            "rock: work wet, extract the mist, wear a P2 or N95 respirator or better and eye "
            "protection; dop wax and its flame burn; heat cracks opal. Local rules and licensed "
            "practice come first."};
}

} // namespace trayworth::output
