#include "output/json.hpp"

#include "core/decimal.hpp"
#include "core/nomenclature.hpp"
#include "output/json_parts.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"
#include "weight/calibrated.hpp"
#include "weight/carats.hpp"

#include <fmt/format.h>

namespace trayworth::output {
namespace {

void write_name(JsonWriter& json, const Stone& stone, const Nomenclature& nomenclature) {
    write_text_or_null(json, "id", stone.id);
    json.member("name", nomenclature.name);
    json.key("classification");
    json.begin_object();
    write_texts(json, "tone_classes", nomenclature.tone_classes);
    write_texts(json, "straddles", nomenclature.straddles);
    json.end_object();
}

void write_weight(JsonWriter& json,
                  const weight::Weight& weight,
                  std::optional<valuation::Interval> limits) {
    json.key("weight_ct");
    json.begin_object();
    json.member("value", weight.ct.value);
    json.member("standard_uncertainty", to_significant(weight.ct.u));
    if (limits) {
        json.member("low", limits->low);
        json.member("high", limits->high);
    }
    json.member("basis", name_of(weight.basis));
    json.member("printed", weight::carats_text(Carat{weight.ct.value}));
    json.end_object();
}

void write_value(JsonWriter& json,
                 const valuation::Valuation& valuation,
                 const pricing::Matrix& matrix) {
    const auto money = [&matrix](double amount) { return to_money(amount, matrix.currency); };
    json.key("value");
    json.begin_object();
    json.member("likely", money(valuation.likely));
    json.member("low", money(valuation.range.low));
    json.member("high", money(valuation.range.high));
    json.member("outer_low", money(valuation.outer.low));
    json.member("outer_high", money(valuation.outer.high));
    json.member("coverage", matrix.coverage);
    json.member("coverage_factor", to_significant(matrix.coverage_factor));
    json.member("log_standard_uncertainty", to_significant(valuation.u));
    json.member("currency", matrix.currency.code);
    write_conversion(json, matrix);
    json.member("market_level", valuation.market_level);
    json.key("rounded");
    json.begin_object();
    json.member("likely", matrix.rounded(money(valuation.likely)));
    json.member("low", matrix.rounded(money(valuation.range.low)));
    json.member("high", matrix.rounded(money(valuation.range.high)));
    json.end_object();
    json.end_object();
}

void write_simulation(JsonWriter& json,
                      const valuation::Simulation& simulation,
                      const pricing::Matrix& matrix) {
    const auto money = [&matrix](double amount) { return to_money(amount, matrix.currency); };
    json.key("simulation");
    json.begin_object();
    json.member("trials", simulation.trials);
    json.member("seed", simulation.seed);
    json.member("likely", money(simulation.likely));
    json.member("low", money(simulation.range.low));
    json.member("high", money(simulation.range.high));
    json.member("log_standard_uncertainty", to_significant(simulation.u));
    json.end_object();
}

void write_reason(JsonWriter& json, const valuation::Reason& reason) {
    const valuation::Row& row = reason.row;
    json.begin_object();
    json.member("step", row.step);
    write_text_or_null(json, "field", row.field.empty() ? std::nullopt : std::optional(row.field));
    json.member("matrix_pointer", row.matrix_pointer);
    if (!row.file.empty()) {
        json.member("matrix_file", row.file);
    }
    json.member("read", row.read);
    json.member("low", reason.low);
    json.member("likely", reason.likely);
    json.member("high", reason.high);
    json.member("running", to_money(reason.running, reason.currency));
    if (!row.note.empty()) {
        json.member("note", row.note);
    }
    write_cells(json, row.cells);
    json.end_object();
}

void write_budget(JsonWriter& json, const std::vector<valuation::BudgetShare>& budget) {
    json.key("budget");
    json.begin_array();
    for (const valuation::BudgetShare& line : budget) {
        json.begin_object();
        json.member("source", line.source);
        json.member("share", to_significant(line.share));
        json.member("log_standard_uncertainty", to_significant(line.u));
        json.end_object();
    }
    json.end_array();
}

void write_cost(JsonWriter& json,
                const Stone& stone,
                const valuation::Valuation& valuation,
                const pricing::Matrix& matrix) {
    if (!stone.cost || !stone.cost->amount || !stone.cost->currency) {
        return;
    }
    json.key("cost");
    json.begin_object();
    json.member("amount", *stone.cost->amount);
    json.member("currency", *stone.cost->currency);
    if (*stone.cost->currency == matrix.currency.code && *stone.cost->amount > 0) {
        json.member("likely_over_cost", to_significant(valuation.likely / *stone.cost->amount));
    }
    json.end_object();
}

// A JSON text on one line: without the blanks between its tokens.
std::string on_one_line(std::string_view text) {
    std::string line;
    bool in_string = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (in_string && c == '\\') {
            line += c;
            line += text[++i];
            continue;
        }
        in_string = in_string != (c == '"');
        if (in_string || (c != ' ' && c != '\t' && c != '\n' && c != '\r')) {
            line += c;
        }
    }
    return line;
}

void write_extensions(JsonWriter& json, const Stone& stone) {
    for (const Extension& extension : stone.extensions) {
        json.any_key(extension.name);
        json.raw(safe_json(on_one_line(extension.json)));
    }
}

void write_estimate(JsonWriter& json, const weight::Estimate& estimate) {
    json.key("estimate");
    json.begin_object();
    json.member("weight_ct", to_significant(estimate.ct.value));
    json.member("standard_uncertainty", to_significant(estimate.ct.u));
    json.member("volume_mm3", to_significant(estimate.volume.value));
    json.member("density", estimate.density.value);
    json.member("density_source", estimate.density_source);
    json.key("budget");
    json.begin_array();
    for (const weight::BudgetLine& line : estimate.budget) {
        json.begin_object();
        json.member("source", line.source);
        json.member("value", to_significant(line.value));
        json.member("standard_uncertainty", to_significant(line.u));
        json.member("contribution_ct", to_significant(line.contribution));
        json.member("share", to_significant(line.share));
        json.end_object();
    }
    json.end_array();
    json.end_object();
}

void write_calibrated(JsonWriter& json, const Stone& stone, const weight::Weight& weight) {
    const std::optional<weight::CalibratedFit> fit =
        weight::nearest_calibrated(stone, Carat{weight.ct.value});
    if (!fit) {
        return;
    }
    json.key("calibrated_size");
    json.begin_object();
    json.member("length_mm", fit->length.value);
    json.member("width_mm", fit->width.value);
    json.member("length_off_mm", to_significant(fit->length_off.value));
    json.member("width_off_mm", to_significant(fit->width_off.value));
    json.member("tolerance_mm", fit->tolerance.value);
    json.key("fits");
    json.boolean(fit->fits);
    json.end_object();
}

} // namespace

void write_diagnostic(JsonWriter& json, const Diagnostic& diagnostic) {
    json.begin_object();
    json.member("code", name_of(diagnostic.code));
    json.member("severity", name_of(diagnostic.severity));
    json.member("message", diagnostic.message);
    json.member("pointer", diagnostic.pointer);
    if (!diagnostic.file.empty()) {
        json.member("file", diagnostic.file);
    }
    json.key("line");
    diagnostic.position ? json.number(diagnostic.position->line) : json.null();
    json.key("column");
    diagnostic.position ? json.number(diagnostic.position->column) : json.null();
    json.member("hint", diagnostic.hint);
    json.end_object();
}

void write_diagnostics(JsonWriter& json, const Key& name, const Diagnostics& diagnostics) {
    json.key(name);
    json.begin_array();
    for (const Diagnostic& diagnostic : diagnostics) {
        write_diagnostic(json, diagnostic);
    }
    json.end_array();
}

std::string diagnostic_lines(const Diagnostics& diagnostics) {
    std::string lines;
    for (const Diagnostic& diagnostic : diagnostics) {
        JsonWriter json(lines, Layout::compact);
        write_diagnostic(json, diagnostic);
        lines += "\n";
    }
    return lines;
}

void write_valued(JsonWriter& json,
                  const Stone& stone,
                  const valuation::Valuation& valuation,
                  const pricing::Matrix& matrix,
                  const Diagnostics& warnings) {
    json.begin_object();
    write_name(json, stone, valuation.nomenclature);
    write_weight(json, valuation.weight, valuation.weight_limits);
    write_value(json, valuation, matrix);
    if (valuation.simulation) {
        write_simulation(json, *valuation.simulation, matrix);
    }
    json.key("reasons");
    json.begin_array();
    for (const valuation::Reason& reason : valuation.reasons) {
        write_reason(json, reason);
    }
    json.end_array();
    write_budget(json, valuation.budget);
    write_matrix(json, matrix);
    write_cost(json, stone, valuation, matrix);
    json.member("purpose", purpose);
    write_texts(json, "cautions", cautions(stone, valuation.weight, matrix));
    write_diagnostics(json, "warnings", warnings);
    write_extensions(json, stone);
    json.end_object();
}

void write_valued_briefly(JsonWriter& json,
                          const Stone& stone,
                          const valuation::Valuation& valuation,
                          const pricing::Matrix& matrix) {
    json.begin_object();
    write_text_or_null(json, "id", stone.id);
    json.member("name", valuation.nomenclature.name);
    write_weight(json, valuation.weight, std::nullopt);
    write_value(json, valuation, matrix);
    json.key("invented");
    json.boolean(matrix.invented);
    json.end_object();
}

void write_total(JsonWriter& json,
                 const valuation::Total& total,
                 std::size_t refused,
                 const pricing::Matrix& matrix,
                 const pricing::Entry& level) {
    const auto money = [&matrix](double amount) { return to_money(amount, matrix.currency); };
    json.begin_object();
    json.member("stones", total.stones);
    json.member("refused", refused);
    json.key("total");
    json.begin_object();
    json.member("likely", money(total.likely));
    json.member("low", money(total.low));
    json.member("high", money(total.high));
    json.member("coverage", matrix.coverage);
    json.member("log_standard_uncertainty", to_significant(total.u));
    json.member("common_share", to_significant(total.common_share));
    json.member("currency", matrix.currency.code);
    write_conversion(json, matrix);
    json.member("market_level", level.name);
    json.end_object();
    json.key("budget");
    json.begin_array();
    for (const valuation::SourceShare& source : total.sources) {
        json.begin_object();
        json.member("source", source.source);
        json.member("share", to_significant(source.share));
        json.member("common", to_significant(source.common));
        json.end_object();
    }
    json.end_array();
    write_matrix(json, matrix);
    json.member("purpose", purpose);
    json.end_object();
}

void write_weighed(JsonWriter& json,
                   const Stone& stone,
                   const weight::Weight& weight,
                   const Diagnostics& warnings) {
    json.begin_object();
    write_name(json, stone, name_stone(stone));
    write_weight(json, weight, std::nullopt);
    if (weight.estimate) {
        write_estimate(json, *weight.estimate);
    }
    write_calibrated(json, stone, weight);
    write_diagnostics(json, "warnings", warnings);
    write_extensions(json, stone);
    json.end_object();
}

void write_sound(JsonWriter& json, const Stone& stone, const Diagnostics& warnings) {
    json.begin_object();
    write_name(json, stone, name_stone(stone));
    write_diagnostics(json, "warnings", warnings);
    json.end_object();
}

void write_refused(JsonWriter& json,
                   const std::optional<std::string>& id,
                   const Diagnostics& diagnostics) {
    json.begin_object();
    write_text_or_null(json, "id", id);
    Diagnostics errors;
    for (const Diagnostic& diagnostic : diagnostics) {
        if (diagnostic.severity == Severity::error) {
            errors.push_back(diagnostic);
        }
    }
    json.key("error");
    write_diagnostic(json, errors.front());
    write_diagnostics(json, "errors", errors);
    json.end_object();
}

} // namespace trayworth::output
