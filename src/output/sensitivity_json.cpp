#include "core/decimal.hpp"
#include "output/json.hpp"
#include "output/json_parts.hpp"
#include "output/sensitivity.hpp"
#include "output/sensitivity_parts.hpp"
#include "output/statement.hpp"

#include <string_view>
#include <variant>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

void write_words(JsonWriter& json, std::string_view low, std::string_view high) {
    if (low == high) {
        json.text(low);
        return;
    }
    json.begin_array();
    json.text(low);
    json.text(high);
    json.end_array();
}

void write_range(JsonWriter& json, Range<double> range) {
    if (range.is_point()) {
        json.number(range.low);
        return;
    }
    json.begin_array();
    json.number(range.low);
    json.number(range.high);
    json.end_array();
}

// As the record writes it.
struct ValueWriter {
    JsonWriter& json;

    void operator()(Range<int> tone) const {
        write_words(json, tone_name(tone.low), tone_name(tone.high));
    }
    void operator()(Range<double> range) const { write_range(json, range); }
    void operator()(Range<Transparency> range) const {
        write_words(json, name_of(range.low), name_of(range.high));
    }
    void operator()(const std::string& word) const { json.text(word); }
    void operator()(bool yes) const { json.boolean(yes); }
    void operator()(const Reading& reading) const {
        if (reading.low != reading.high || !reading.standard_uncertainty) {
            write_range(json, {reading.low, reading.high});
            return;
        }
        json.begin_object();
        json.member("value", reading.low);
        json.member("uncertainty", *reading.standard_uncertainty);
        json.end_object();
    }
    void operator()(const std::vector<ColourShare>& colours) const {
        json.begin_array();
        for (const ColourShare& colour : colours) {
            json.begin_object();
            json.member("colour", colour.colour);
            json.key("share");
            write_range(json, *colour.share);
            json.end_object();
        }
        json.end_array();
    }
    void operator()(const std::vector<Fault>& faults) const {
        json.begin_array();
        for (const Fault& fault : faults) {
            json.begin_object();
            json.member("kind", fault.kind);
            json.member("place", fault.place);
            json.key("severity");
            write_words(json, fault.severity.first, fault.severity.second);
            json.end_object();
        }
        json.end_array();
    }
};

// {"cut": {"polish": "good"}} for /cut/polish.
void write_edit(JsonWriter& json, std::string_view field, const valuation::NewValue& value) {
    json.key("edit");
    std::size_t depth = 0;
    while (!field.empty()) {
        field.remove_prefix(1);
        const std::string_view token = field.substr(0, field.find('/'));
        json.begin_object();
        json.any_key(token);
        ++depth;
        field.remove_prefix(token.size());
    }
    std::visit(ValueWriter{json}, value);
    for (; depth > 0; --depth) {
        json.end_object();
    }
}

void write_step(JsonWriter& json,
                const valuation::Axis& axis,
                const valuation::Step& step,
                const valuation::Sensitivity& sensitivity,
                const pricing::Matrix& matrix) {
    json.begin_object();
    json.member("to", step.to);
    if (step.likely) {
        json.member("likely", to_money(*step.likely, matrix.currency));
        json.member("change", change_of(step, sensitivity, matrix));
        json.member("per_cent", to_significant(per_cent_of(step, sensitivity)));
    } else {
        json.key("error");
        json.begin_object();
        json.member("code", name_of(step.refused->code));
        json.member("message", step.refused->message);
        json.member("pointer", step.refused->pointer);
        json.member("hint", step.refused->hint);
        json.end_object();
    }
    write_edit(json, axis.field, step.value);
    json.end_object();
}

} // namespace

void write_sensitivity(JsonWriter& json,
                       const Stone& stone,
                       const valuation::Sensitivity& sensitivity,
                       const pricing::Matrix& matrix,
                       const Diagnostics& warnings) {
    const valuation::Valuation& valuation = sensitivity.valuation;
    json.begin_object();
    write_text_or_null(json, "id", stone.id);
    json.member("name", valuation.nomenclature.name);
    json.member("likely", to_money(valuation.likely, matrix.currency));
    json.member("currency", matrix.currency.code);
    write_conversion(json, matrix);
    json.member("market_level", valuation.market_level);
    json.key("axes");
    json.begin_array();
    for (const valuation::Axis& axis : sensitivity.axes) {
        json.begin_object();
        json.member("axis", axis.name);
        json.member("field", axis.field);
        json.member("read", axis.read);
        json.key("steps");
        json.begin_array();
        for (const valuation::Step& step : axis.steps) {
            write_step(json, axis, step, sensitivity, matrix);
        }
        json.end_array();
        json.end_object();
    }
    json.end_array();
    write_matrix(json, matrix);
    json.member("purpose", purpose);
    write_texts(json, "cautions", cautions(stone, valuation.weight, matrix));
    write_diagnostics(json, "warnings", warnings);
    json.end_object();
}

} // namespace trayworth::output
