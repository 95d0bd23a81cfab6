// Answers and diagnostics as JSON: each has a definition in data/valuation.schema.json.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "output/json_writer.hpp"
#include "pricing/matrix.hpp"
#include "valuation/total.hpp"
#include "valuation/value.hpp"
#include "weight/weigh.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace trayworth::output {

void write_diagnostic(JsonWriter& json, const Diagnostic& diagnostic);
// A member that holds an array of them.
void write_diagnostics(JsonWriter& json, const Key& name, const Diagnostics& diagnostics);
// An object a line (NDJSON).
std::string diagnostic_lines(const Diagnostics& diagnostics);

// `warnings` are the diagnostics of a stone that was valued, none of them an error.
void write_valued(JsonWriter& json,
                  const Stone& stone,
                  const valuation::Valuation& valuation,
                  const pricing::Matrix& matrix,
                  const Diagnostics& warnings);

// Id, name, weight and value alone, and whether the prices are invented.
void write_valued_briefly(JsonWriter& json,
                          const Stone& stone,
                          const valuation::Valuation& valuation,
                          const pricing::Matrix& matrix);

// What a tray is worth together.
void write_total(JsonWriter& json,
                 const valuation::Total& total,
                 std::size_t refused,
                 const pricing::Matrix& matrix,
                 const pricing::Entry& level);

void write_weighed(JsonWriter& json,
                   const Stone& stone,
                   const weight::Weight& weight,
                   const Diagnostics& warnings);

// A record that was checked and found sound, without a value.
void write_sound(JsonWriter& json, const Stone& stone, const Diagnostics& warnings);

// The first error is the record's `error`; all of them are its `errors`.
void write_refused(JsonWriter& json,
                   const std::optional<std::string>& id,
                   const Diagnostics& diagnostics);

} // namespace trayworth::output
