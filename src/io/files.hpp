// Bytes in and bytes out, behind one-method interfaces so that tests need no files.
#pragma once

#include <cstddef>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>

namespace trayworth::io {

// A file that cannot be opened, read or written; what() is the sentence for the user.
class FileError : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
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

private:
    std::string name_;
    int descriptor_;
};

// A file by its path, made anew.
class FileSink : public DescriptorSink {
public:
    explicit FileSink(const std::string& path);
    ~FileSink() override;

private:
    FileSink(const std::string& path, int descriptor);

    int descriptor_;
};

std::string read_all(ByteSource& source);

} // namespace trayworth::io
