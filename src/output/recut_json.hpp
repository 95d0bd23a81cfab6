// What recutting would bring, as JSON: the form of data/recut.schema.json.
#pragma once

#include "output/json_writer.hpp"
#include "recutting/answer.hpp"
#include "recutting/subject.hpp"

namespace trayworth::output {

// `warnings` are those of the stone as it is, none of them an error.
void write_recut(JsonWriter& json,
                 const recutting::Answer& answer,
                 const recutting::Terms& terms,
                 const Diagnostics& warnings);

} // namespace trayworth::output
