#include "output/json_parts.hpp"

#include "core/decimal.hpp"

namespace trayworth::output {

void write_text_or_null(JsonWriter& json,
                        const Key& name,
                        const std::optional<std::string>& value) {
    json.key(name);
    if (value) {
        json.text(*value);
    } else {
        json.null();
    }
}

void write_texts(JsonWriter& json, const Key& name, const std::vector<std::string>& texts) {
    json.key(name);
    json.begin_array();
    for (const std::string& text : texts) {
        json.text(text);
    }
    json.end_array();
}

void write_cells(JsonWriter& json, const std::vector<valuation::CellUsed>& cells) {
    if (cells.empty()) {
        return;
    }
    json.key("cells");
    json.begin_array();
    for (const valuation::CellUsed& cell : cells) {
        json.begin_object();
        json.member("pointer", cell.pointer);
        json.member("at", cell.at);
        json.member("weight", to_significant(cell.weight));
        json.member("low", to_significant(cell.low));
        json.member("high", to_significant(cell.high));
        if (!cell.file.empty()) {
            json.member("file", cell.file);
        }
        json.end_object();
    }
    json.end_array();
}

void write_conversion(JsonWriter& json, const pricing::Matrix& matrix) {
    if (!matrix.conversion) {
        return;
    }
    json.key("converted");
    json.begin_object();
    json.member("from", matrix.conversion->from.code);
    json.member("rate", matrix.conversion->rate.figures.likely);
    json.member("date", matrix.conversion->date);
    json.end_object();
}

void write_matrix(JsonWriter& json, const pricing::Matrix& matrix) {
    json.key("matrix");
    json.begin_object();
    json.member("name", matrix.name);
    json.member("as_of", matrix.as_of);
    json.member("provenance", matrix.provenance);
    json.key("invented");
    json.boolean(matrix.invented);
    json.end_object();
}

} // namespace trayworth::output
