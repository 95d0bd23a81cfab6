#include "cli/matrix_choice.hpp"

#include "core/bounds.hpp"
#include "core/date.hpp"
#include "core/decimal.hpp"
#include "core/nearest.hpp"
#include "io/document.hpp"
#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "output/safe_text.hpp"
#include "pricing/dated.hpp"

#include <chrono>
#include <memory>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {

void add_matrix_choice(CLI::App& sub, MatrixChoice& choice) {
    sub.add_option("--matrix", choice.file,
                   "The price matrix; without it, the built-in demonstration")
        ->type_name("FILE");
}

void add_day(CLI::App& sub, std::string& on) {
    sub.add_option(
           "--on", on,
           "Day that the values are for: warns of a matrix more than a year older, or later")
        ->type_name("DATE");
}

std::string name_of(const MatrixChoice& choice) {
    return choice.file.empty() ? "the built-in matrix" : label(choice.file);
}

void add_level(CLI::App& sub, std::string& level) {
    sub.add_option("--level", level, "Market level, one that the matrix has")->type_name("NAME");
}

std::string matrix_text(Session& session, const MatrixChoice& choice) {
    if (choice.file.empty()) {
        return std::string(io::demonstration_matrix());
    }
    std::string text = io::read_all(*session.open(choice.file), bounds::document_bytes);
    if (text.size() > bounds::document_bytes) {
        throw Refusal(fmt::format("{} is larger than {} bytes, the most that a price matrix has.",
                                  label(choice.file), grouped(bounds::document_bytes)),
                      "Is it the right file?");
    }
    return text;
}

std::optional<pricing::Matrix> matrix_of(const Session& session,
                                         std::string_view text,
                                         const std::string& file,
                                         const std::string& on,
                                         Diagnostics& diagnostics) {
    const std::optional<std::chrono::year_month_day> day = date_from(on);
    if (!day && !on.empty()) {
        throw Refusal(fmt::format("\"{}\" is not a date.", output::safe(on)),
                      "Write year, month and day, as --on 2026-11-01.");
    }
    std::optional<pricing::Matrix> matrix = io::read_matrix(text, file, diagnostics);
    if (!matrix || !day) {
        return matrix;
    }
    pricing::check_date(*matrix, *day, diagnostics);
    io::place_in_document(diagnostics, text, file);
    if (session.strict && !diagnostics.empty()) {
        make_errors(diagnostics);
        matrix.reset();
    }
    return matrix;
}

pricing::Matrix
load_matrix(Session& session, const MatrixChoice& choice, const std::string& records) {
    if (choice.file == "-" && records == "-") {
        throw Refusal("the matrix and the records cannot both come from standard input.",
                      "Name a file for one of them.");
    }
    Diagnostics diagnostics;
    std::optional<pricing::Matrix> matrix =
        matrix_of(session, matrix_text(session, choice), name_of(choice), choice.on, diagnostics);
    session.report(diagnostics);
    if (!matrix) {
        throw Reported("the matrix was refused, so nothing was valued.");
    }
    return std::move(*matrix);
}

const pricing::Entry& level_of(const pricing::Matrix& matrix, const std::string& name) {
    const std::string& wanted = name.empty() ? matrix.market_level : name;
    if (const pricing::Entry* level = pricing::find(matrix.market_levels, wanted)) {
        return *level;
    }
    std::vector<std::string_view> names;
    for (const pricing::Entry& entry : matrix.market_levels) {
        names.emplace_back(entry.name);
    }
    const std::optional<std::string_view> near = nearest(wanted, names);
    throw Refusal(fmt::format("the matrix has no market level \"{}\".", output::safe(wanted)),
                  fmt::format("{}It has: {}.",
                              near ? fmt::format("Did you mean \"{}\"? ", *near) : "",
                              fmt::join(names, ", ")));
}

} // namespace trayworth::cli
