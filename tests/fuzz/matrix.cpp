// A price matrix through the reader: what it accepts values the stones of examples/ to finite
// amounts, or says why it does not.
#include "io/matrix_reader.hpp"
#include "output/csv.hpp"
#include "output/json.hpp"
#include "output/text.hpp"
#include "pricing/asking_price.hpp"
#include "support.hpp"
#include "valued.hpp"

#include <cmath>

namespace {

using namespace trayworth;

void expect_spread(const pricing::Spread& spread) {
    fuzz::expect(std::isfinite(spread.low()) && std::isfinite(spread.high()) && spread.low() > 0 &&
                     spread.low() <= spread.high(),
                 "a price or factor that is none");
}

void expect_well_formed(const pricing::Matrix& matrix) {
    fuzz::expect(matrix.coverage > 0 && matrix.coverage < 1 && matrix.coverage_factor > 0,
                 "a coverage that is none");
    fuzz::expect(pricing::find(matrix.market_levels, matrix.market_level) != nullptr,
                 "a matrix without its own level");
    fuzz::expect(!matrix.rounding.empty() && matrix.rounding.front().from == 0,
                 "a matrix that does not round from 0");
    for (const pricing::Entry& level : matrix.market_levels) {
        expect_spread(level.spread);
    }
    for (const pricing::Grid& grid : matrix.grids) {
        fuzz::expect(grid.cells.size() == grid.tones.size() * grid.brightness.size(),
                     "a grid with a gap", grid.name);
        for (const std::optional<pricing::Spread>& cell : grid.cells) {
            if (cell) {
                expect_spread(*cell);
            }
        }
    }
}

void expect_price(double likely, const pricing::Matrix& matrix) {
    Diagnostics diagnostics;
    const auto price =
        pricing::asking_price(likely, matrix, pricing::tax_rate_from("100%"), diagnostics);
    fuzz::expect(price.has_value() == diagnostics.empty(), "priced and refused");
    fuzz::expect(!price || (price->total.minor > 0 && price->likely.minor >= 0 &&
                            price->with_tax.minor == 2 * price->likely.minor &&
                            price->tax->minor <= price->total.minor),
                 "a price that is none");
    for (const pricing::ListStep& step : matrix.list_prices) {
        fuzz::expect(step.ending.minor >= 0 && step.ending.minor < step.to_nearest.minor,
                     "a list price that is none");
    }
}

void expect_values(const Stone& stone, const pricing::Matrix& matrix, const pricing::Entry& level) {
    Diagnostics diagnostics;
    const auto valuation = valuation::value(stone, {matrix, level}, diagnostics);
    fuzz::expect(valuation.has_value() == !has_errors(diagnostics), "valued and refused");
    for (const Diagnostic& diagnostic : diagnostics) {
        fuzz::expect(!diagnostic.message.empty() && !diagnostic.hint.empty(),
                     "a diagnostic without its sentences", diagnostic.message);
    }
    if (!valuation) {
        return;
    }
    fuzz::expect_consistent(*valuation, matrix);
    fuzz::expect_agreement(stone, matrix, level, *valuation);
    std::string text;
    output::JsonWriter writer(text, output::Layout::compact);
    output::write_valued(writer, stone, *valuation, matrix, {});
    fuzz::expect_printed(fuzz::parsed(text), *valuation, matrix);
    fuzz::expect_plain(output::valued_text(stone, *valuation, matrix, {}, {}));
    expect_price(valuation->likely, matrix);
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of(data, size);
    Diagnostics diagnostics;
    const auto matrix = io::read_matrix(text, fuzz::file_name, diagnostics);
    fuzz::expect(matrix.has_value() == !has_errors(diagnostics), "accepted and refused");
    fuzz::expect_sound(diagnostics, text);
    if (!matrix) {
        return 0;
    }
    expect_well_formed(*matrix);
    for (const Stone& stone : fuzz::known_stones()) {
        expect_values(stone, *matrix, matrix->market_levels.front());
        expect_values(stone, *matrix, matrix->market_levels.back());
    }
    return 0;
}
