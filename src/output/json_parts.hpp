// Members that several of the program's JSON documents have in common.
#pragma once

#include "output/json_writer.hpp"
#include "pricing/matrix.hpp"
#include "valuation/model.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

void write_text_or_null(JsonWriter& json, const Key& name, const std::optional<std::string>& value);
void write_texts(JsonWriter& json, const Key& name, const std::vector<std::string>& texts);

// "cells": what went into a mean; nothing where there are none.
void write_cells(JsonWriter& json, const std::vector<valuation::CellUsed>& cells);

// "converted", where the values are not in the currency of the prices.
void write_conversion(JsonWriter& json, const pricing::Matrix& matrix);
// "matrix": its name, date and provenance, and whether its prices are invented.
void write_matrix(JsonWriter& json, const pricing::Matrix& matrix);

} // namespace trayworth::output
