#include "io/matrix_library.hpp"

#include "core/nearest.hpp"
#include "io/embedded.hpp"
#include "io/files.hpp"

#include <algorithm>
#include <filesystem>
#include <optional>
#include <system_error>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view ending = ".json";
constexpr std::string_view default_data_dirs = "/usr/local/share:/usr/share";

void add_folder(std::vector<std::string>& folders, std::string_view data) {
    if (data.starts_with('/')) {
        folders.push_back((fs::path(data) / "trayworth" / "matrices").string());
    }
}

std::string identity_of(const std::string& path) {
    std::error_code failed;
    const fs::path canonical = fs::weakly_canonical(path, failed);
    return failed ? path : canonical.string();
}

} // namespace

std::vector<std::string>
matrix_folders(std::string_view home, std::string_view data_home, std::string_view data_dirs) {
    std::vector<std::string> folders;
    if (!data_home.empty()) {
        add_folder(folders, data_home);
    } else if (!home.empty()) {
        add_folder(folders, (fs::path(home) / ".local" / "share").string());
    }
    std::string_view rest = data_dirs.empty() ? default_data_dirs : data_dirs;
    while (!rest.empty()) {
        const std::size_t end = std::min(rest.find(':'), rest.size());
        add_folder(folders, rest.substr(0, end));
        rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    return folders;
}

bool MatrixLibrary::is_path(std::string_view reference) {
    return reference.find('/') != std::string_view::npos || reference.ends_with(ending);
}

std::string MatrixLibrary::path_of(const std::string& name) const {
    for (const std::string& folder : folders_) {
        std::string path = (fs::path(folder) / (name + std::string(ending))).string();
        std::error_code failed;
        if (fs::exists(path, failed)) {
            return path;
        }
    }
    std::vector<std::string> names;
    for (const NamedMatrix& known : list()) {
        names.push_back(known.name);
    }
    const std::vector<std::string_view> views(names.begin(), names.end());
    const std::optional<std::string_view> near = nearest(name, views);
    throw FileError(
        fmt::format("there is no matrix named \"{}\".", name),
        fmt::format(
            "{}\"trayworth matrix list\" lists those that have a name; a file is named with "
            "a slash, or with .json at its end.",
            near ? fmt::format("Did you mean \"{}\"? ", *near) : ""));
}

MatrixDocument MatrixLibrary::open(const std::string& reference, const std::string& folder) const {
    if (reference == built_in) {
        return {"the built-in matrix", std::string(demonstration_matrix()), "", reference};
    }
    const std::string path =
        is_path(reference) ? (fs::path(folder) / reference).string() : path_of(reference);
    return from_file(path, read_(path));
}

MatrixDocument MatrixLibrary::from_file(const std::string& path, std::string text) {
    return {path, std::move(text), fs::path(path).parent_path().string(), identity_of(path)};
}

std::vector<NamedMatrix> MatrixLibrary::list() const {
    std::vector<NamedMatrix> all{{std::string(built_in), "", false}};
    for (const std::string& folder : folders_) {
        std::vector<NamedMatrix> here;
        std::error_code failed;
        for (fs::directory_iterator at(folder, failed), end; !failed && at != end;
             at.increment(failed)) {
            const fs::path& path = at->path();
            if (path.extension() == ending) {
                here.push_back({path.stem().string(), path.string(), false});
            }
        }
        std::sort(here.begin(), here.end(),
                  [](const NamedMatrix& a, const NamedMatrix& b) { return a.name < b.name; });
        for (NamedMatrix& found : here) {
            found.hidden = std::any_of(all.begin(), all.end(), [&](const NamedMatrix& known) {
                return known.name == found.name;
            });
            all.push_back(std::move(found));
        }
    }
    return all;
}

} // namespace trayworth::io
