// NDJSON: the same frames however the bytes come, a record a line, and the same answers as the same
// records in an array.
#include "io/record_reader.hpp"
#include "output/json.hpp"
#include "support.hpp"
#include "valued.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace {

using namespace trayworth;

constexpr std::size_t most_pieces = 12;

// What a record comes to, without where it stands: its value, or the codes and sentences of its
// faults.
std::string outcome(const io::Frame& frame) {
    const pricing::Matrix& matrix = fuzz::demonstration();
    Diagnostics diagnostics;
    const io::ReadRecord record = io::read_record(frame, nullptr, fuzz::file_name, diagnostics);
    std::optional<valuation::Valuation> valuation;
    if (record.accepted) {
        const pricing::Entry& level = *pricing::find(matrix.market_levels, matrix.market_level);
        valuation = valuation::value(record.stone, {matrix, level}, diagnostics);
    }
    std::string text;
    output::JsonWriter json(text, output::Layout::compact);
    json.begin_array();
    for (const Diagnostic& diagnostic : diagnostics) {
        json.text(name_of(diagnostic.code));
        json.text(diagnostic.message);
        json.text(diagnostic.hint);
    }
    if (valuation) {
        output::write_valued(json, record.stone, *valuation, matrix, {});
    }
    json.end_array();
    return text;
}

void expect_lines(const fuzz::Framed& found, std::string_view text) {
    std::size_t line = 0;
    auto frame = found.frames.begin();
    if (text.substr(0, 3) == "\xEF\xBB\xBF") {
        text.remove_prefix(3);
    }
    while (!text.empty()) {
        ++line;
        const std::string_view all = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), all.size() + 1));
        if (all.find_first_not_of(" \t\r") == std::string_view::npos) {
            continue;
        }
        fuzz::expect(frame != found.frames.end(), "a line is lost", all);
        fuzz::expect(frame->text == (all.ends_with('\r') ? all.substr(0, all.size() - 1) : all),
                     "another line", frame->text);
        fuzz::expect(frame->origin.line == line && frame->origin.column == 1,
                     "a line out of its place", all);
        ++frame;
    }
    fuzz::expect(frame == found.frames.end(), "a line too many");
}

void expect_same_in_array(const fuzz::Framed& found) {
    std::string array = "[";
    std::vector<std::string> outcomes;
    for (const fuzz::KeptFrame& frame : found.frames) {
        // A NUL ends the text for the parser, so that it says nothing of what follows.
        const bool whole = frame.text.find('\0') == std::string::npos &&
                           frame.text.find("\xEF\xBB\xBF") == std::string::npos &&
                           nlohmann::json::accept(frame.text);
        if (whole) {
            array += outcomes.empty() ? "" : ",\n";
            array += frame.text;
            outcomes.push_back(outcome(frame.frame()));
        }
    }
    array += "]";
    const fuzz::Framed again = fuzz::framed(array, false);
    fuzz::expect(again.shape == io::Shape::array, "an array that is none", array);
    fuzz::expect(again.frames.size() == outcomes.size(), "another number of records in an array",
                 array);
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        fuzz::expect(outcome(again.frames[i].frame()) == outcomes[i],
                     "another answer in an array than in NDJSON", outcomes[i]);
        fuzz::expect(again.frames[i].pointer == fmt::format("/{}", i), "another pointer",
                     again.frames[i].pointer);
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of(data, size);
    const fuzz::Framed whole = fuzz::framed(text, true);
    fuzz::expect_same(whole, fuzz::framed(text, true, std::min(most_pieces, size + 1)));
    if (!whole.refused.empty()) {
        return 0;
    }
    expect_lines(whole, text);
    Diagnostics diagnostics;
    for (const fuzz::KeptFrame& frame : whole.frames) {
        io::read_record(frame.frame(), nullptr, fuzz::file_name, diagnostics);
    }
    fuzz::expect_sound(diagnostics, text);
    expect_same_in_array(whole);
    return 0;
}
