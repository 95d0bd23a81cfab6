// Where matrices are found: in files, by name in the user's folders, and the built-in one.
//
// A reference is a path when it holds a slash or ends in ".json", and otherwise a name. The name
// "demonstration" is the built-in matrix; any other is the file NAME.json in the first of the
// folders that has one. The folders are trayworth/matrices in $XDG_DATA_HOME and then in each of
// $XDG_DATA_DIRS: XDG Base Directory Specification 0.8, with its defaults.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace trayworth::io {

// The values of the environment; empty where a variable is not set. A path that is not absolute is
// left out, as the specification has it.
std::vector<std::string>
matrix_folders(std::string_view home, std::string_view data_home, std::string_view data_dirs);

struct MatrixDocument {
    std::string file; // as diagnostics call it
    std::string text;
    std::string folder;   // to which paths in it are relative; empty: where the program runs
    std::string identity; // the same for the same file, by whatever reference
};

struct NamedMatrix {
    std::string name;
    std::string path;    // empty: built in
    bool hidden = false; // an earlier folder has the same name
};

class MatrixLibrary {
public:
    // `read` gives the text of the file at a path, and throws FileError.
    using Read = std::function<std::string(const std::string& path)>;
    // The earlier folders come first.
    MatrixLibrary(std::vector<std::string> folders, Read read)
        : folders_(std::move(folders)), read_(std::move(read)) {}

    static constexpr std::string_view built_in = "demonstration";
    static bool is_path(std::string_view reference);

    // `folder` is that of the matrix which names the reference. Throws FileError.
    [[nodiscard]] MatrixDocument open(const std::string& reference,
                                      const std::string& folder = {}) const;
    // The document of a file whose text is at hand.
    static MatrixDocument from_file(const std::string& path, std::string text);
    // The built-in one and those of the folders, by folder and then by name.
    [[nodiscard]] std::vector<NamedMatrix> list() const;
    [[nodiscard]] const std::vector<std::string>& folders() const { return folders_; }

private:
    [[nodiscard]] std::string path_of(const std::string& name) const;

    std::vector<std::string> folders_;
    Read read_;
};

} // namespace trayworth::io
