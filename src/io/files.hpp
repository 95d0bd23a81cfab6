// Bytes in and bytes out, behind one-method interfaces so that tests need no files.
#pragma once

#include <cstddef>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>

namespace trayworth::io {

// A file that cannot be opened, read or written: what is wrong, and how to mend it.
class FileError : public std::runtime_error {
public:
    explicit FileError(
        const std::string& message,
        std::string hint = "Look at the name, the permissions and the room on the disk.")
        : std::runtime_error(message), hint_(std::move(hint)) {}
    [[nodiscard]] const std::string& hint() const { return hint_; }

private:
    std::string hint_;
};

// Nobody reads what is written any more; there is nobody to tell.
class ClosedPipe : public FileError {
public:
    using FileError::FileError;
};

class ByteSource {
public:
    ByteSource() = default;
    ByteSource(const ByteSource&) = delete;
    ByteSource& operator=(const ByteSource&) = delete;
    virtual ~ByteSource() = default;
    // Up to `size` bytes into `data`; 0 only at the end. Throws FileError.
    virtual std::size_t read(char* data, std::size_t size) = 0;
    // Of the whole, in bytes, where that is known.
    [[nodiscard]] virtual std::optional<std::size_t> size() const { return std::nullopt; }
};

class ByteSink {
public:
    ByteSink() = default;
    ByteSink(const ByteSink&) = delete;
    ByteSink& operator=(const ByteSink&) = delete;
    virtual ~ByteSink() = default;
    // All of `bytes`. Throws FileError.
    virtual void write(std::string_view bytes) = 0;
    // All was written: makes sure that it is where it belongs. Throws FileError.
    virtual void finish() {}
};

// A file by its path, or a descriptor that stays open ("-" is standard input to the caller).
class FileSource : public ByteSource {
public:
    explicit FileSource(const std::string& path);
    FileSource(int descriptor, std::string name);
    ~FileSource() override;
    std::size_t read(char* data, std::size_t size) override;
    [[nodiscard]] std::optional<std::size_t> size() const override;

private:
    std::string name_;
    int descriptor_;
    bool owned_;
};

class DescriptorSink : public ByteSink {
public:
    DescriptorSink(int descriptor, std::string name);
    void write(std::string_view bytes) override;
    void finish() override;

private:
    std::string name_;
    int descriptor_;
};

// What the last failed call to the system says of its failure (errno).
std::string error_reason();

// Up to its end, and no more than one byte beyond `most`.
std::string read_all(ByteSource& source, std::size_t most);

} // namespace trayworth::io
