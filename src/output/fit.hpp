// What past sales say of a price matrix: text, JSON and HTML.
#pragma once

#include "fitting/assessment.hpp"
#include "fitting/numbers.hpp"
#include "fitting/proposal.hpp"
#include "output/json_writer.hpp"
#include "output/text_style.hpp"
#include "pricing/matrix.hpp"

#include <chrono>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

struct FitReport {
    const pricing::Matrix& matrix; // as it was
    const fitting::Numbers& numbers;
    const fitting::Assessment& assessment;
    const fitting::Proposal& proposal;
    bool with_changes = false; // else how good the matrix is, and no more
    std::size_t refused = 0;   // records that could not be used
    std::chrono::sys_days first;
    std::chrono::sys_days last;
};

std::string fit_text(const FitReport& report, TextStyle style);
void write_fit(JsonWriter& json, const FitReport& report);
// One file that needs no other, for light and dark surroundings.
std::string fit_html(const FitReport& report);

// A few lines for a terminal: how many sales, how good both matrices are, how much has changed.
std::string fit_summary(const FitReport& report);

// The provenance of the new matrix.
std::string provenance_of(const FitReport& report);

// ---- what the forms have in common

// "2026-11-28"
std::string day_text(std::chrono::sys_days day);
// "12.3 %", of a share.
std::string share_text(double share);

// ""slight" (directionality) and "moss" (pattern)"
std::string both_names(const fitting::Numbers& numbers, std::size_t a, std::size_t b);

// Numbers of one table: "pattern: straw, flagstone".
struct NamedTable {
    std::string table;
    std::vector<std::string> names;
};
std::vector<NamedTable> by_table(const fitting::Numbers& numbers,
                                 const std::vector<std::size_t>& indices);

// What a reader has to know of the result, a sentence each.
std::vector<std::string> remarks_of(const FitReport& report);

} // namespace trayworth::output
