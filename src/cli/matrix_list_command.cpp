#include "cli/commands.hpp"
#include "cli/records.hpp"
#include "output/json_writer.hpp"
#include "output/safe_text.hpp"
#include "output/text_parts.hpp"

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

std::string as_json(const std::vector<io::NamedMatrix>& matrices) {
    std::string text;
    output::JsonWriter json(text, output::Layout::pretty);
    json.begin_array();
    for (const io::NamedMatrix& matrix : matrices) {
        json.begin_object();
        json.member("name", matrix.name);
        json.key("file");
        matrix.path.empty() ? json.null() : json.text(matrix.path);
        json.key("hidden");
        json.boolean(matrix.hidden);
        json.end_object();
    }
    json.end_array();
    return text + "\n";
}

std::string as_text(const std::vector<io::NamedMatrix>& matrices,
                    const std::vector<std::string>& folders) {
    std::size_t width = 0;
    for (const io::NamedMatrix& matrix : matrices) {
        width = std::max(width, output::length_of(output::safe(matrix.name)));
    }
    std::string text;
    for (const io::NamedMatrix& matrix : matrices) {
        text += fmt::format("{}  {}{}\n", output::left(output::safe(matrix.name), width),
                            matrix.path.empty() ? "built in" : output::safe(matrix.path),
                            matrix.hidden ? "  (hidden: the name is taken above)" : "");
    }
    text += "\nA matrix of yours has a name once its file, NAME.json, is in one of:\n";
    for (const std::string& folder : folders) {
        text += "  " + output::safe(folder) + "\n";
    }
    return text;
}

} // namespace

void add_matrix_list(CLI::App& matrix, Session& session) {
    const auto format = std::make_shared<std::string>("text");
    CLI::App& sub = add_command(
        matrix, session, "list", "List the matrices that have a name", [&session, format] {
            const std::vector<io::NamedMatrix> matrices = session.matrices.list();
            session.around.out.write(*format == "json"
                                         ? as_json(matrices)
                                         : as_text(matrices, session.matrices.folders()));
            return all_done;
        });
    add_format(sub, *format, {"text", "json"});
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
