#include "io/embedded.hpp"

namespace trayworth::io {
namespace {

constexpr std::string_view demonstration_matrix_text =
#include "demonstration_matrix.inc"
    ;
constexpr std::string_view record_schema_text =
#include "record_schema.inc"
    ;
constexpr std::string_view matrix_schema_text =
#include "matrix_schema.inc"
    ;
constexpr std::string_view valuation_schema_text =
#include "valuation_schema.inc"
    ;
constexpr std::string_view plan_schema_text =
#include "plan_schema.inc"
    ;
constexpr std::string_view compare_schema_text =
#include "compare_schema.inc"
    ;
constexpr std::string_view fit_schema_text =
#include "fit_schema.inc"
    ;
constexpr std::string_view recut_schema_text =
#include "recut_schema.inc"
    ;
constexpr std::string_view offer_schema_text =
#include "offer_schema.inc"
    ;
constexpr std::string_view bash_completions_text =
#include "bash_completions.inc"
    ;
constexpr std::string_view zsh_completions_text =
#include "zsh_completions.inc"
    ;
constexpr std::string_view fish_completions_text =
#include "fish_completions.inc"
    ;

} // namespace

std::string_view demonstration_matrix() {
    return demonstration_matrix_text;
}
std::string_view record_schema() {
    return record_schema_text;
}
std::string_view matrix_schema() {
    return matrix_schema_text;
}
std::string_view valuation_schema() {
    return valuation_schema_text;
}
std::string_view plan_schema() {
    return plan_schema_text;
}
std::string_view compare_schema() {
    return compare_schema_text;
}
std::string_view fit_schema() {
    return fit_schema_text;
}
std::string_view recut_schema() {
    return recut_schema_text;
}
std::string_view offer_schema() {
    return offer_schema_text;
}
std::string_view bash_completions() {
    return bash_completions_text;
}
std::string_view zsh_completions() {
    return zsh_completions_text;
}
std::string_view fish_completions() {
    return fish_completions_text;
}

} // namespace trayworth::io
