#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/records.hpp"
#include "core/bounds.hpp"
#include "io/extended_matrix.hpp"
#include "io/files.hpp"
#include "io/matrix_tables.hpp"
#include "io/output_file.hpp"
#include "output/matrix_csv.hpp"
#include "output/matrix_html.hpp"
#include "output/matrix_text.hpp"
#include "output/safe_text.hpp"

#include <algorithm>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

struct ShowOptions {
    MatrixChoice matrix;
    std::string format = "text";
};

io::WholeMatrix read_or_refuse(Session& session,
                               const io::MatrixDocument& document,
                               const std::string& what_was_not_done) {
    Diagnostics diagnostics;
    std::optional<io::WholeMatrix> whole =
        io::read_whole_matrix(document, session.matrices, diagnostics);
    if (!whole) {
        session.report(diagnostics);
        throw Reported("the matrix was refused, so " + what_was_not_done + ".");
    }
    return std::move(*whole);
}

int show(Session& session, const ShowOptions& options) {
    const io::MatrixDocument document = document_of(session, options.matrix);
    io::ByteSink& out = session.around.out;
    if (options.format == "json" && !io::extends_another(document)) { // sound or not
        out.write(output::safe_json(document.text));
        return all_done;
    }
    const io::WholeMatrix whole = read_or_refuse(session, document, "there is nothing to lay out");
    const pricing::Matrix& matrix = whole.matrix;
    if (options.format == "json") {
        out.write(output::safe_json(whole.text));
        return all_done;
    }
    if (options.format == "csv") {
        out.write(output::matrix_csv(matrix));
    } else if (options.format == "html") {
        out.write(output::matrix_html(matrix));
    } else {
        out.write(output::matrix_text(matrix, {session.around.columns, session.around.colour_out}));
    }
    return all_done;
}

// ---- to a spreadsheet and back

namespace fs = std::filesystem;

struct ExportOptions {
    MatrixChoice matrix;
    std::string folder;
    bool replace = false;
};

std::string in_folder(const std::string& folder, const std::string& name) {
    return (fs::path(folder) / name).string();
}

int export_tables(Session& session, const ExportOptions& options) {
    const io::MatrixDocument document = document_of(session, options.matrix);
    const io::WholeMatrix whole = read_or_refuse(session, document, "nothing was exported");
    Diagnostics diagnostics;
    const std::optional<std::vector<io::NamedText>> files =
        io::export_matrix(whole.text, document.file, diagnostics);
    if (!files) {
        session.report(diagnostics);
        throw Reported("the matrix does not go into tables, so nothing was exported.");
    }
    std::error_code failed;
    fs::create_directories(options.folder, failed);
    if (failed) {
        throw io::FileError(
            fmt::format("cannot make the folder {}: {}", options.folder, failed.message()));
    }
    for (const io::NamedText& file : *files) {
        const std::string path = in_folder(options.folder, file.name);
        if (!options.replace && fs::exists(fs::symlink_status(path, failed))) {
            throw Refusal(fmt::format("{} is there already, so nothing was written.", path),
                          "With --replace it is written over.");
        }
    }
    for (const io::NamedText& file : *files) {
        io::OutputFile out(in_folder(options.folder, file.name));
        out.write(file.text);
        out.finish();
    }
    session.around.err.write(fmt::format("{} written to {}\n", counted(files->size(), "file"),
                                         output::safe(options.folder)));
    return all_done;
}

// CSVs of the folder that the head does not name: a table that was meant to be read, perhaps.
void report_left_out(Session& session,
                     const std::string& folder,
                     const std::vector<std::string>& read) {
    std::vector<std::string> left_out;
    std::error_code failed;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, failed)) {
        const std::string name = entry.path().filename().string();
        if (name.ends_with(".csv") && std::find(read.begin(), read.end(), name) == read.end()) {
            left_out.push_back(name);
        }
    }
    std::sort(left_out.begin(), left_out.end());
    Diagnostics warnings;
    for (const std::string& name : left_out) {
        report(
            warnings, Code::table_left_out, "",
            fmt::format("{} does not name this table, so it was left out.", io::matrix_head_name),
            "Name it where its numbers belong, or take it out of the folder.");
        warnings.back().file = in_folder(folder, name);
    }
    session.report(warnings);
}

int import_tables(Session& session, const std::string& folder) {
    Diagnostics diagnostics;
    const auto read = [&folder](const std::string& name) {
        io::FileSource source(in_folder(folder, name));
        return io::read_all(source, bounds::csv_bytes);
    };
    const std::optional<io::ImportedMatrix> matrix =
        io::import_matrix(read, in_folder(folder, ""), diagnostics);
    if (!matrix) {
        session.report(diagnostics);
        throw Reported(
            fmt::format("{} holds no matrix that is sound, so nothing was written.", folder));
    }
    report_left_out(session, folder, matrix->files);
    session.around.out.write(output::safe_json(matrix->json));
    return all_done;
}

void add_show(CLI::App& matrix, Session& session) {
    const auto options = std::make_shared<ShowOptions>();
    CLI::App& sub =
        add_command(matrix, session, "show", "Show a matrix: laid out, or as it is written",
                    [&session, options] { return show(session, *options); });
    add_matrix_choice(sub, options->matrix);
    add_format(sub, options->format, {"text", "json", "csv", "html"});
    add_errors_as(sub, session);
}

void add_export(CLI::App& matrix, Session& session) {
    const auto options = std::make_shared<ExportOptions>();
    CLI::App& sub =
        add_command(matrix, session, "export", "Write a matrix as CSV files, for a spreadsheet",
                    [&session, options] { return export_tables(session, *options); });
    sub.add_option("folder", options->folder, "Where the files go; made if it is not there")
        ->required();
    add_matrix_choice(sub, options->matrix);
    sub.add_flag("--replace", options->replace, "Write over files that are there");
    add_errors_as(sub, session);
}

void add_import(CLI::App& matrix, Session& session) {
    const auto folder = std::make_shared<std::string>();
    CLI::App& sub =
        add_command(matrix, session, "import", "Read such files back, and print the matrix as JSON",
                    [&session, folder] { return import_tables(session, *folder); });
    sub.add_option("folder", *folder, "Where the files are")->required();
    add_errors_as(sub, session);
}

} // namespace

void add_matrix(CLI::App& app, Session& session) {
    CLI::App& matrix = *app.add_subcommand("matrix", "Work with a price matrix");
    matrix.require_subcommand(1);
    add_show(matrix, session);
    add_export(matrix, session);
    add_import(matrix, session);
    add_matrix_list(matrix, session);
}

} // namespace trayworth::cli
