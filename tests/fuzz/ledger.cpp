// Past sales as a table: each row is a record that is read or refused in its cells, and what a sale
// says of a matrix is finite and adds up.
#include "fitting/evidence.hpp"
#include "io/record_reader.hpp"
#include "support.hpp"
#include "valued.hpp"

#include <cmath>

namespace {

using namespace trayworth;

const fitting::Numbers& numbers() {
    static const fitting::Numbers all(fuzz::demonstration());
    return all;
}

void expect_evidence(const Stone& stone, const io::Frame& frame, std::string_view text) {
    const pricing::Matrix& matrix = fuzz::demonstration();
    Diagnostics diagnostics;
    const auto sale = fitting::observe(stone, matrix, numbers(), diagnostics);
    fuzz::expect(sale.has_value() != has_errors(diagnostics), "observed and refused", frame.text);
    io::place_in_frame(diagnostics, 0, frame, fuzz::file_name);
    fuzz::expect_sound(diagnostics, text);
    if (!sale) {
        return;
    }
    fuzz::expect(std::isfinite(sale->log_ratio()), "a ratio that is no number", frame.text);
    fuzz::expect(sale->own_variance >= 0, "a negative variance", frame.text);
    double prices = 0;
    double change = 0; // if every number were e times what it is
    std::vector<double> corrections(numbers().size(), 1);
    std::vector<double> weights;
    fitting::gradient(*sale, corrections, weights);
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const fitting::Use& use = sale->uses[i];
        fuzz::expect(weights[i] >= 0 && weights[i] <= 1 + 1e-9, "a weight beyond one", frame.text);
        prices += numbers()[use.number].price ? weights[i] : 0;
        change += weights[i];
    }
    fuzz::expect(std::abs(prices - 1) < 1e-9, "prices that do not weigh one", frame.text);
    fuzz::expect(std::abs(fitting::log_change(*sale, corrections) - change) < 1e-6,
                 "a change that its weights do not add up to", frame.text);
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of(data, size);
    fuzz::PiecewiseSource source(text);
    try {
        io::Framer framer(source, io::Form::table);
        while (const std::optional<io::Frame> frame = framer.next()) {
            Diagnostics diagnostics;
            const io::ReadRecord record =
                io::read_record(*frame, nullptr, fuzz::file_name, diagnostics);
            fuzz::expect(record.accepted == diagnostics.empty(), "accepted and refused");
            fuzz::expect_sound(diagnostics, text);
            if (!frame->broken) {
                fuzz::expect(fuzz::parsed(frame->text).is_object(), "a row that is no object",
                             frame->text);
            }
            if (record.accepted) {
                expect_evidence(record.stone, *frame, text);
            }
        }
    } catch (const io::FileError& error) {
        fuzz::expect(error.what() != std::string_view(), "refused without a sentence");
    }
    return 0;
}
