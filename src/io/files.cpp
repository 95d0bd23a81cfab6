#include "io/files.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {

std::string error_reason() {
    return std::strerror(errno);
}

FileSource::FileSource(const std::string& path)
    : name_(path), descriptor_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)), owned_(true) {
    if (descriptor_ < 0) {
        throw FileError(fmt::format("cannot open {}: {}", path, error_reason()));
    }
}

FileSource::FileSource(int descriptor, std::string name)
    : name_(std::move(name)), descriptor_(descriptor), owned_(false) {}

FileSource::~FileSource() {
    if (owned_) {
        ::close(descriptor_);
    }
}

std::size_t FileSource::read(char* data, std::size_t size) {
    for (;;) {
        const ssize_t got = ::read(descriptor_, data, size);
        if (got >= 0) {
            return static_cast<std::size_t>(got);
        }
        if (errno != EINTR) {
            throw FileError(fmt::format("cannot read {}: {}", name_, error_reason()));
        }
    }
}

std::optional<std::size_t> FileSource::size() const {
    struct stat status {};
    const bool regular = ::fstat(descriptor_, &status) == 0 && S_ISREG(status.st_mode);
    return regular ? std::optional(static_cast<std::size_t>(status.st_size)) : std::nullopt;
}

DescriptorSink::DescriptorSink(int descriptor, std::string name)
    : name_(std::move(name)), descriptor_(descriptor) {}

void DescriptorSink::write(std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t put = ::write(descriptor_, bytes.data(), bytes.size());
        if (put >= 0) {
            bytes.remove_prefix(static_cast<std::size_t>(put));
        } else if (errno == EPIPE) {
            throw ClosedPipe(fmt::format("cannot write {}: {}", name_, error_reason()));
        } else if (errno != EINTR) {
            throw FileError(fmt::format("cannot write {}: {}", name_, error_reason()));
        }
    }
}

// What a file system reports only when a file is closed, it reports for a copy of the descriptor.
void DescriptorSink::finish() {
    const int copy = ::fcntl(descriptor_, F_DUPFD_CLOEXEC, 0);
    if (copy >= 0 && ::close(copy) != 0) {
        throw FileError(fmt::format("cannot write {}: {}", name_, error_reason()));
    }
}

std::string read_all(ByteSource& source, std::size_t most) {
    constexpr std::size_t chunk = 65536;
    std::string text;
    while (text.size() <= most) {
        const std::size_t before = text.size();
        text.resize(std::min(before + chunk, most + 1));
        const std::size_t got = source.read(text.data() + before, text.size() - before);
        text.resize(before + got);
        if (got == 0) {
            break;
        }
    }
    return text;
}

} // namespace trayworth::io
