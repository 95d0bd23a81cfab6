#include "io/files.hpp"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

#include <fmt/format.h>

namespace trayworth::io {
namespace {

std::string reason() {
    return std::strerror(errno);
}

} // namespace

FileSource::FileSource(const std::string& path)
    : name_(path), descriptor_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)), owned_(true) {
    if (descriptor_ < 0) {
        throw FileError(fmt::format("cannot open {}: {}", path, reason()));
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
            throw FileError(fmt::format("cannot read {}: {}", name_, reason()));
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
        } else if (errno != EINTR) {
            throw FileError(fmt::format("cannot write {}: {}", name_, reason()));
        }
    }
}

namespace {

int create(const std::string& path) {
    constexpr mode_t mode = 0666; // less the user's mask
    const int descriptor = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, mode);
    if (descriptor < 0) {
        throw FileError(fmt::format("cannot create {}: {}", path, reason()));
    }
    return descriptor;
}

} // namespace

FileSink::FileSink(const std::string& path) : FileSink(path, create(path)) {}

FileSink::FileSink(const std::string& path, int descriptor)
    : DescriptorSink(descriptor, path), descriptor_(descriptor) {}

FileSink::~FileSink() {
    ::close(descriptor_);
}

std::string read_all(ByteSource& source) {
    constexpr std::size_t chunk = 65536;
    std::string text;
    for (;;) {
        const std::size_t before = text.size();
        text.resize(before + chunk);
        const std::size_t got = source.read(text.data() + before, chunk);
        text.resize(before + got);
        if (got == 0) {
            return text;
        }
    }
}

} // namespace trayworth::io
