// Sales for the tests of a fit: of a small matrix of invented numbers.
#pragma once

#include "fitting/evidence.hpp"
#include "fitting/proposal.hpp"
#include "valuation/support.hpp"

#include <chrono>
#include <cmath>
#include <string>
#include <vector>

namespace trayworth::test {

// Two tones by two grades, a pattern of three words, and faults.
inline const pricing::Matrix& small_matrix() {
    static const pricing::Matrix matrix =
        Tiny{.coverage = "0.8",
             .grids = R"([{"name": "solid", "type": ["solid"], "transparency": ["opaque"],
                           "body_tone": ["N1", "N2"], "brightness": [2, 3],
                           "per_carat": [[[200, 300], [400, 600]], [[100, 150], [300, 450]]]}])",
             .factors = R"([{"name": "pattern", "kind": "category",
                             "field": "/play_of_colour/pattern",
                             "values": {"flash": 1, "straw": [1.2, 1.8], "moss": [0.6, 0.9]}},
                            {"name": "faults", "kind": "fault", "field": "/faults",
                             "values": {"crack": {"face": {"minor": [0.7, 0.9],
                                                           "severe": [0.2, 0.4]}}}}])"}
            .read();
    return matrix;
}

struct Sold {
    double ratio = 1; // price over the matrix's likely value
    int tone = 1;
    double grade = 3;
    std::string pattern = "flash";
    std::string fault{}; // severity of a crack
    bool unsold = false;
    int days = 0; // before the last
};

inline Stone stone_of(const Sold& sold) {
    Stone stone = plain_stone();
    stone.body_tone = Range{sold.tone, sold.tone};
    stone.brightness->grade = Range{sold.grade, sold.grade};
    stone.play_of_colour->pattern = word(sold.pattern);
    if (!sold.fault.empty()) {
        stone.faults->push_back({"crack", "face", word(sold.fault)});
    }
    return stone;
}

// The matrix must be that of the numbers.
inline fitting::Observation
observed(const Sold& sold, const pricing::Matrix& matrix, const fitting::Numbers& numbers) {
    Stone stone = stone_of(sold);
    const double price = sold.ratio * value_of(stone, matrix)->likely;
    stone.sale = Sale{};
    (sold.unsold ? stone.sale->unsold_at : stone.sale->price) = price;
    stone.sale->currency = "AUD";
    stone.sale->market_level = "trade";
    stone.sale->date = "2026-10-01";
    Diagnostics diagnostics;
    std::optional<fitting::Observation> found =
        fitting::observe(stone, matrix, numbers, diagnostics);
    REQUIRE(found);
    found->day -= std::chrono::days{sold.days};
    return *found;
}

class Ledger {
public:
    explicit Ledger(const pricing::Matrix& matrix = small_matrix()) : subject(matrix) {}

    void add(const Sold& sold, int times = 1) {
        for (int i = 0; i < times; ++i) {
            sales.push_back(observed(sold, subject.matrix, subject.numbers));
        }
    }
    [[nodiscard]] std::vector<const fitting::Observation*> all() const {
        std::vector<const fitting::Observation*> found;
        for (const fitting::Observation& sale : sales) {
            found.push_back(&sale);
        }
        return found;
    }
    [[nodiscard]] fitting::Proposal propose(const fitting::ProposalOptions& options = {}) const {
        return fitting::propose(all(), subject, options);
    }
    [[nodiscard]] std::size_t index(std::string_view pointer) const {
        for (std::size_t i = 0; i < subject.numbers.size(); ++i) {
            if (subject.numbers[i].pointer == pointer) {
                return i;
            }
        }
        FAIL("no such number: " << pointer);
        return 0;
    }

    fitting::Subject subject;
    std::vector<fitting::Observation> sales;
};

} // namespace trayworth::test
