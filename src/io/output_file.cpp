#include "io/output_file.hpp"

#include "io/files.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <charconv>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <optional>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>
#include <vector>
#if defined(__linux__)
#include <sys/xattr.h>
#endif

#include <fmt/format.h>

namespace trayworth::io {
namespace {

constexpr int most_links = 40;
constexpr mode_t rights = 0777;
constexpr mode_t new_file = 0666; // less the user's mask
constexpr mode_t group_rights = 0070;

// Names of temporary files, for a signal handler. A program writes two files at most.
std::array<std::atomic<const char*>, 4> unfinished{};
static_assert(std::atomic<const char*>::is_always_lock_free);

void note(const char* path) {
    for (std::atomic<const char*>& slot : unfinished) {
        const char* free = nullptr;
        if (slot.compare_exchange_strong(free, path)) {
            return;
        }
    }
}

void forget(const char* path) {
    for (std::atomic<const char*>& slot : unfinished) {
        const char* noted = path;
        slot.compare_exchange_strong(noted, nullptr);
    }
}

// No signal arrives in this thread as long as it lives.
class SignalsHeld {
public:
    SignalsHeld() {
        sigset_t all;
        sigfillset(&all);
        pthread_sigmask(SIG_SETMASK, &all, &before_);
    }
    SignalsHeld(const SignalsHeld&) = delete;
    SignalsHeld& operator=(const SignalsHeld&) = delete;
    ~SignalsHeld() { pthread_sigmask(SIG_SETMASK, &before_, nullptr); }

private:
    sigset_t before_{};
};

[[noreturn]] void refuse(const std::string& name, std::string_view why) {
    throw FileError(fmt::format("cannot write {}: {}", name.empty() ? "\"\"" : name, why));
}

std::string folder_of(const std::string& path) {
    const std::size_t slash = path.rfind('/');
    return slash == std::string::npos ? "." : slash == 0 ? "/" : path.substr(0, slash);
}

std::string name_in(const std::string& path) {
    return path.substr(path.rfind('/') + 1); // npos + 1 is 0
}

std::string beside(const std::string& path, std::string_view name) {
    return path.substr(0, path.rfind('/') + 1).append(name); // npos + 1 is 0
}

// The descriptor that a path such as /dev/fd/3 stands for.
std::optional<int> descriptor_in(std::string_view path) {
    for (const std::string_view folder : {"/dev/fd/", "/proc/self/fd/"}) {
        if (path.starts_with(folder)) {
            int number = -1;
            const char* end = path.data() + path.size();
            const auto [stopped, failure] =
                std::from_chars(path.data() + folder.size(), end, number);
            return failure == std::errc{} && stopped == end ? std::optional(number) : std::nullopt;
        }
    }
    return std::nullopt;
}

std::string link_at(const std::string& path, const std::string& name) {
    std::vector<char> target(4096);
    const ssize_t length = ::readlink(path.c_str(), target.data(), target.size());
    if (length < 0 || static_cast<std::size_t>(length) == target.size()) {
        refuse(name, length < 0 ? error_reason() : "the link is too long");
    }
    return {target.data(), static_cast<std::size_t>(length)};
}

// The path with symbolic links at its end followed, as far as there is something. Stops at a name
// of a descriptor.
std::string followed(const std::string& name) {
    std::string path = name;
    for (int links = 0; links < most_links; ++links) {
        struct stat status {};
        if (descriptor_in(path) || ::lstat(path.c_str(), &status) != 0 ||
            !S_ISLNK(status.st_mode)) {
            return path;
        }
        const std::string target = link_at(path, name);
        path = target.starts_with('/') ? target : beside(path, target);
    }
    refuse(name, "too many symbolic links lead on from it");
}

mode_t users_mask() {
    const mode_t mask = ::umask(0);
    ::umask(mask);
    return mask;
}

// The access list of a file, where the system has such lists and the file has one. False when it
// could not be given to the other file.
bool give_access_list([[maybe_unused]] const char* from, [[maybe_unused]] int to) {
#if defined(__linux__)
    constexpr const char* attribute = "system.posix_acl_access";
    const ssize_t size = ::getxattr(from, attribute, nullptr, 0);
    if (size <= 0) {
        ::fremovexattr(to, attribute); // what the folder gives to new files
        return true;
    }
    std::vector<char> list(static_cast<std::size_t>(size));
    return ::getxattr(from, attribute, list.data(), list.size()) == size &&
           ::fsetxattr(to, attribute, list.data(), list.size(), 0) == 0;
#else
    return true;
#endif
}

// So that the new name survives a crash of the system. Some file systems cannot, or need not.
void flush_folder(const std::string& path, const std::string& name) {
    const int folder = ::open(folder_of(path).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0) {
        return;
    }
    const bool lost = ::fsync(folder) != 0 && (errno == EIO || errno == ENOSPC);
    const std::string why = lost ? error_reason() : std::string();
    ::close(folder);
    if (lost) {
        refuse(name, why);
    }
}

} // namespace

void remove_unfinished() noexcept {
    for (std::atomic<const char*>& slot : unfinished) {
        if (const char* path = slot.load()) {
            ::unlink(path);
        }
    }
}

OutputFile::OutputFile(const std::string& path) : name_(path), target_(followed(path)) {
    if (const std::optional<int> number = descriptor_in(target_)) {
        descriptor_ = ::fcntl(*number, F_DUPFD_CLOEXEC, 0);
        target_.clear();
        if (descriptor_ < 0) {
            refuse(name_, error_reason());
        }
        return;
    }
    struct stat status {};
    if (::stat(target_.c_str(), &status) != 0) {
        if (target_.empty() || target_.ends_with('/')) {
            refuse(name_, "this is no name of a file");
        }
        if (errno != ENOENT) {
            refuse(name_, error_reason());
        }
        open_beside();
    } else if (S_ISREG(status.st_mode)) {
        if (::faccessat(AT_FDCWD, target_.c_str(), W_OK, AT_EACCESS) != 0) {
            refuse(name_, error_reason());
        }
        open_beside();
    } else if (S_ISFIFO(status.st_mode) || S_ISCHR(status.st_mode)) {
        descriptor_ = ::open(target_.c_str(), O_WRONLY | O_CLOEXEC | O_NOCTTY);
        target_.clear();
        if (descriptor_ < 0) {
            refuse(name_, error_reason());
        }
    } else {
        refuse(name_, S_ISDIR(status.st_mode) ? "it is a folder" : "it is no file");
    }
}

OutputFile::~OutputFile() {
    if (descriptor_ >= 0) {
        ::close(descriptor_);
    }
    if (!temporary_.empty()) {
        ::unlink(temporary_.c_str());
        forget(temporary_.c_str());
    }
}

void OutputFile::open_beside() {
    std::string path = beside(target_, ".trayworth-XXXXXX");
    const SignalsHeld held;
    descriptor_ = ::mkostemp(path.data(), O_CLOEXEC);
    if (descriptor_ < 0) {
        throw FileError(fmt::format("cannot write {}: its folder {} takes no new file: {}", name_,
                                    folder_of(target_), error_reason()),
                        "A file is written beside the one that it replaces: look at the folder's "
                        "name and permissions.");
    }
    temporary_ = std::move(path);
    note(temporary_.c_str());
}

void OutputFile::write(std::string_view bytes) {
    DescriptorSink(descriptor_, name_).write(bytes);
}

void OutputFile::finish() {
    if (temporary_.empty()) {
        DescriptorSink(descriptor_, name_).finish();
        return;
    }
    keep_rights();
    const bool flushed = ::fsync(descriptor_) == 0;
    const std::string why = flushed ? std::string() : error_reason();
    const bool closed = ::close(std::exchange(descriptor_, -1)) == 0;
    if (!flushed || !closed) {
        refuse(name_, flushed ? error_reason() : why);
    }
    if (::rename(temporary_.c_str(), target_.c_str()) != 0) {
        refuse(name_, error_reason());
    }
    forget(temporary_.c_str());
    temporary_.clear();
    flush_folder(target_, name_);
}

// What fails here leaves fewer rights than there were, and nothing to report.
void OutputFile::keep_rights() {
    struct stat old {};
    if (::stat(target_.c_str(), &old) != 0) {
        ::fchmod(descriptor_, new_file & ~users_mask());
        return;
    }
    mode_t mode = old.st_mode & rights;
    const bool group_kept = ::fchown(descriptor_, old.st_uid, old.st_gid) == 0 ||
                            ::fchown(descriptor_, static_cast<uid_t>(-1), old.st_gid) == 0;
    if (!group_kept || !give_access_list(target_.c_str(), descriptor_)) {
        const mode_t others_too = (mode << 3U) & group_rights;
        mode = (mode & ~group_rights) | (mode & others_too);
    }
    ::fchmod(descriptor_, mode);
}

bool OutputFile::is_at(const std::string& path) const {
    if (target_.empty()) {
        return false;
    }
    struct stat here {};
    struct stat there {};
    const auto one_file = [&] {
        return here.st_dev == there.st_dev && here.st_ino == there.st_ino;
    };
    const bool exists = ::stat(target_.c_str(), &here) == 0;
    if (exists != (::stat(path.c_str(), &there) == 0)) {
        return false;
    }
    if (exists) {
        return one_file();
    }
    const std::string other = followed(path);
    return ::stat(folder_of(target_).c_str(), &here) == 0 &&
           ::stat(folder_of(other).c_str(), &there) == 0 && one_file() &&
           name_in(target_) == name_in(other);
}

} // namespace trayworth::io
