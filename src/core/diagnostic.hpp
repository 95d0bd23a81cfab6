// A diagnostic is data: what is wrong, where, and how to mend it. Text and JSON are renderings.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth {

enum class Severity : std::uint8_t { warning, error };

enum class Code : std::uint8_t {
    // errors of the text
    json_syntax,
    json_encoding,
    json_key_repeated,
    json_too_deep,
    record_size,
    text_size,
    list_size,
    number_size,
    errors_too_many,
    csv_syntax,
    csv_encoding,
    csv_too_large,
    // errors of the record or the matrix as a form
    field_unknown,
    field_missing,
    value_type,
    value_range,
    value_unknown,
    range_reversed,
    brightness_scale,
    format_version,
    extends_unknown,
    extends_cycle,
    // errors of one against the other
    not_priced,
    not_estimable,
    weight_missing,
    // errors of a description
    word_barred,
    template_field,
    // errors of the command line and of files
    usage,
    file_access,
    // warnings
    not_stated,
    shares_sum,
    grades_contradict,
    fault_place,
    dimensions_order,
    dimensions_unit,
    depth_above_width,
    density_implausible,
    dome_contradicts,
    setting_weighed,
    currency_differs,
    matrix_dated,
    // warnings of a matrix that does not hang together
    grid_gap,
    curve_gap,
    factor_gap,
    tone_order,
    brightness_order,
    curve_order,
    word_order,
    level_order,
    price_jump,
    curve_jump,
    spread_odd,
    unreachable,
    counted_twice,
    absent_pays,
    fault_pays,
    rounding_order,
    rounding_coarse,
    rounding_fine,
    acceptance_unused,
    table_left_out,
    // warnings of a fit
    fit_no_better,
    sold_together,
    count_,
};

// The stable name of a code as users see it, for example "field-unknown".
std::string_view name_of(Code code);
std::optional<Code> code_from(std::string_view name);
// Of its diagnostics, unless warnings are asked to be errors.
Severity severity_of(Code code);
std::string_view name_of(Severity severity);

// A place in a file, as an editor shows it.
struct Position {
    std::size_t line = 1;   // from 1
    std::size_t column = 1; // from 1, in characters
};

// Which token of the field the diagnostic is about.
enum class Target : std::uint8_t { value, key, second_key };

struct Diagnostic {
    Code code = Code::json_syntax;
    Severity severity = Severity::error;
    std::string pointer; // JSON Pointer (RFC 6901) from the root of the input; "" is the root
    std::string message; // what is wrong, one sentence
    std::string hint;    // how to mend it, one sentence
    Target target = Target::value;
    std::string file{};
    std::optional<Position> position{};
    std::string source_line{}; // what stands on that line, near the position
    std::size_t caret = 0;     // byte index of the position within source_line
};

using Diagnostics = std::vector<Diagnostic>;

// Appends one of the code's own severity, about the value at `pointer`.
void report(Diagnostics& diagnostics,
            Code code,
            std::string_view pointer,
            std::string message,
            std::string hint);

bool has_errors(const Diagnostics& diagnostics);
// Makes every warning an error.
void make_errors(Diagnostics& diagnostics);

// What there is to say when there are more errors than are told.
std::string errors_too_many();

// One reference token of a JSON Pointer, escaped by RFC 6901: "~" as "~0", "/" as "~1".
std::string pointer_token(std::string_view name);
// Whether a text is a JSON Pointer to something within a document.
bool is_pointer(std::string_view text);
// The reference tokens of a pointer, unescaped.
std::vector<std::string> pointer_tokens(std::string_view pointer);

} // namespace trayworth
