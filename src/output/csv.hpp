// Valuations as comma-separated values: RFC 4180, UTF-8, a header and then a row a stone, each line
// ended by CR LF. A field is quoted where it holds a comma, a quotation mark or a blank at an end.
//
//   id            as recorded; empty if the record has none
//   name          the stone's name by its grades
//   weight_ct     in full, not rounded to points
//   basis         weighed, estimated
//   low, likely, high, outer_low, outer_high
//                 exact to the currency's minor unit, not rounded for display
//   coverage      of low to high, 0 to 1
//   currency      ISO 4217
//   market_level
//   matrix, as_of name and date of the price matrix
//   invented      yes when its prices are invented, else no
//   purpose
//   warnings      their codes, blanks between
//   error         code of the first error of a stone that was refused; all other fields but the id
//                 and those that follow are empty then, and these are empty otherwise
//   message       in one sentence
//   pointer       JSON Pointer from the record's root
//   line, column  in the input, from 1
//   converted_from, rate, rate_date
//                 the currency of the matrix's prices and the rate that was stated, where the
//                 value is in another
//
// The columns keep their names and their order; new ones come last.
//
// A spreadsheet takes a field that begins with = + - or @ for a formula, and runs it. Texts of a
// record or a matrix that begin so, whatever blanks and quotation marks come first, are given an
// apostrophe in front, and likewise what follows a semicolon in them: where the comma is the
// decimal sign, a spreadsheet parts the fields there. Control characters and characters that one
// cannot see are replaced by U+FFFD, line breaks and tabs among them. Numbers stay numbers.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "pricing/matrix.hpp"
#include "valuation/value.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace trayworth::output {

std::string csv_header();

// `warnings` are the diagnostics of a stone that was valued, none of them an error.
std::string csv_valued(const Stone& stone,
                       const valuation::Valuation& valuation,
                       const pricing::Matrix& matrix,
                       const Diagnostics& warnings);

// At least one of the diagnostics is an error.
std::string csv_refused(const std::optional<std::string>& id, const Diagnostics& diagnostics);

} // namespace trayworth::output
