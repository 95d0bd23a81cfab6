// A file that is written whole or not at all.
#pragma once

#include "io/files.hpp"

#include <string>
#include <string_view>

namespace trayworth::io {

// What is written goes to a temporary file beside the one that is named, and takes its place in one
// step when it is finished. Until then, and for ever when it is not finished, what was there is
// untouched.
//
// A file that is replaced keeps its permissions, its access list, and its owner and group as far as
// the user may give them away; where the group cannot be kept, it has no more rights than others. A
// symbolic link is followed and stays; another hard link to the file keeps the old text. A file
// that the user may not write is not replaced, and neither is a folder, a socket or a disk. Pipes
// and character devices, and the descriptors in /dev/fd, are written straight.
class OutputFile : public ByteSink {
public:
    // Throws FileError.
    explicit OutputFile(const std::string& path);
    OutputFile(const OutputFile&) = delete;
    OutputFile& operator=(const OutputFile&) = delete;
    ~OutputFile() override;

    void write(std::string_view bytes) override;
    void finish() override;

    // Whether the path names the file that is to be written, and not straight.
    [[nodiscard]] bool is_at(const std::string& path) const;

private:
    void open_beside();
    void keep_rights();

    std::string name_;      // as the user has it
    std::string target_;    // with links followed; empty when it is written straight
    std::string temporary_; // empty when there is none
    int descriptor_ = -1;
};

// Removes the temporary files of output files that are not finished. May be called from a signal
// handler.
void remove_unfinished() noexcept;

} // namespace trayworth::io
