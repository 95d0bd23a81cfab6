#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "output/safe_text.hpp"

#include <memory>
#include <string>

#include <CLI/CLI.hpp>

namespace trayworth::cli {
namespace {

struct ShowOptions {
    MatrixChoice matrix;
    std::string format = "json";
};

int show(Session& session, const ShowOptions& options) {
    session.around.out.write(output::safe_json(matrix_text(session, options.matrix)));
    return all_done;
}

} // namespace

void add_matrix(CLI::App& app, Session& session) {
    CLI::App& matrix = *app.add_subcommand("matrix", "Work with a price matrix");
    matrix.require_subcommand(1);
    const auto options = std::make_shared<ShowOptions>();
    CLI::App& sub = add_command(matrix, session, "show", "Print a matrix, comments and all",
                                [&session, options] { return show(session, *options); });
    add_matrix_choice(sub, options->matrix);
    sub.add_option("--format", options->format, "Form of the output")
        ->check(CLI::IsMember({"json"}));
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
