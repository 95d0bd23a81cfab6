// The files of data/ as they were when the program was built.
#pragma once

#include <string_view>

namespace trayworth::io {

std::string_view demonstration_matrix(); // trayworth/price-matrix/1, comments and all
std::string_view record_schema();        // JSON Schema 2020-12
std::string_view matrix_schema();
std::string_view valuation_schema();
std::string_view plan_schema();
std::string_view recut_schema();
std::string_view offer_schema();
std::string_view bash_completions(); // a script for the shell
std::string_view zsh_completions();
std::string_view fish_completions();
std::string_view compare_schema();
std::string_view fit_schema();

} // namespace trayworth::io
