#include "cli/matrix_choice.hpp"

#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "output/safe_text.hpp"

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

std::string matrix_text(Session& session, const MatrixChoice& choice) {
    if (choice.file.empty()) {
        return std::string(io::demonstration_matrix());
    }
    return io::read_all(*session.open(choice.file));
}

pricing::Matrix
load_matrix(Session& session, const MatrixChoice& choice, const std::string& records) {
    if (choice.file == "-" && records == "-") {
        throw Refusal("the matrix and the records cannot both come from standard input.");
    }
    Diagnostics diagnostics;
    std::optional<pricing::Matrix> matrix = io::read_matrix(
        matrix_text(session, choice),
        choice.file.empty() ? "the built-in matrix" : label(choice.file), diagnostics);
    if (!matrix) {
        session.report(diagnostics);
        throw Refusal("the matrix was refused, so nothing was valued.");
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
    throw Refusal(fmt::format("the matrix has no market level \"{}\"; it has: {}.",
                              output::safe(wanted), fmt::join(names, ", ")));
}

} // namespace trayworth::cli
