// What texts for a terminal have in common: style, money, sentences.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "output/text_style.hpp"
#include "pricing/matrix.hpp"
#include "valuation/value.hpp"
#include "weight/weigh.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/color.h>

namespace trayworth::output {

inline constexpr std::size_t indent = 2;

inline const fmt::text_style strong = fmt::emphasis::bold;
inline const fmt::text_style faint = fmt::emphasis::faint;
inline const fmt::text_style alarm = fmt::emphasis::bold | fmt::fg(fmt::terminal_color::red);
inline const fmt::text_style notice = fmt::emphasis::bold | fmt::fg(fmt::terminal_color::yellow);

// Coloured where the style has colour.
std::string paint(TextStyle style, const fmt::text_style& with, std::string_view text);

// A line that stands above others, with an empty one before it.
std::string heading(TextStyle style, std::string_view text);

// "F-001  black crystal opal", on a line of its own.
std::string title(const Stone& stone, std::string_view name, TextStyle style);

// A safe text, filled up with blanks to `width` characters: after it, before it.
std::string left(std::string_view safe_text, std::size_t width);
std::string right(std::string_view safe_text, std::size_t width);

// "1 stone", "1,200 stones"
std::string counted(std::size_t number, std::string_view what);

// "1,630": to the step at which the matrix rounds for display. An amount beyond the largest that
// is exact has its first six digits: "3.14159e+13".
std::string rounded(double amount, const pricing::Matrix& matrix);
// "1,630.50"
std::string exact_money(double amount, const pricing::Matrix& matrix);

// " in house.json"; nothing where all numbers are from one file.
std::string in_file(const std::string& file);

// "+4.2 %", by how much a factor of that logarithm changes a price.
std::string per_cent_text(double log_change);

// "1.86 ct, weighed"; with its standard uncertainty where it is estimated.
std::string weight_text(const weight::Weight& weight);

// "0.25 of [170, 290], N3 at brightness 2"; one number where low is high.
std::string cell_text(const valuation::CellUsed& cell);

// "10.24 x 8.12 x 3.68 mm": what is known of length, width and depth.
std::string size_text(const Dimensions& mm);

// "AUD 140.00: the likely value is 3.27 times that"; nothing without a cost in the matrix's
// currency.
std::string
cost_text(const Stone& stone, const valuation::Valuation& valuation, const pricing::Matrix& matrix);

// What and when the values are for, and by which matrix; one line or more.
std::string basis_line(const pricing::Matrix& matrix, std::string_view level, TextStyle style);

// A heading and then each warning on lines of its own; nothing where there is none.
std::string warning_lines(const Diagnostics& warnings, TextStyle style);

// An empty line and then each sentence on lines of its own.
std::string caution_lines(const std::vector<std::string>& sentences, TextStyle style);

} // namespace trayworth::output
