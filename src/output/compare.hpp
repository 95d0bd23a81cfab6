// A tray under two matrices: text, JSON, CSV and HTML.
#pragma once

#include "core/diagnostic.hpp"
#include "output/json_writer.hpp"
#include "output/text_parts.hpp"
#include "pricing/matrix.hpp"
#include "valuation/compare.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

// A record of the tray, or what is left of it.
struct ComparedStone {
    std::optional<std::string> id;
    std::string name; // of a stone that is valued under one of them at least
    valuation::Compared comparison{};
    Diagnostics refused{}; // why the record could not be read
};

struct CompareSide {
    const pricing::Matrix& matrix;
    const pricing::Entry& level;
};

// The stones that move most, in money, come first; then those that one matrix does not value, then
// those that neither does.
struct CompareReport {
    CompareSide a;
    CompareSide b;
    std::vector<ComparedStone> stones;
    valuation::ComparedTotal total;
};

void sort_by_change(std::vector<ComparedStone>& stones);

// `in_full`: every cause of every stone, with its place in both matrices.
std::string compare_text(const CompareReport& report, bool in_full, TextStyle style);

void write_compare(JsonWriter& json, const CompareReport& report);

// RFC 4180 with a header. A row for each stone ("stone"), after it one for each of its causes
// ("cause"), and at the end one for each step in total ("step") and the sum ("total"). Amounts to
// the minor unit; the logarithms in full, so that those of a stone's causes add up to its own.
std::string compare_csv(const CompareReport& report);

// One file that needs no other, for light and dark surroundings.
std::string compare_html(const CompareReport& report);

// ---- what the forms have in common

enum class Standing : std::uint8_t { both, only_a, only_b, neither };
Standing standing(const ComparedStone& stone);
// The first error under that matrix, or of the record.
const Diagnostic* why_refused(const ComparedStone& stone, const Diagnostics& under);
// What holds for values by either matrix.
std::vector<std::string> cautions_of(const CompareReport& report);
// "pattern: rolling flash"
std::string cause_text(const valuation::Cause& cause);
// "+12.30", "-0.50"
std::string signed_amount(double change, const pricing::Matrix& matrix);

} // namespace trayworth::output
