#include "io/files.hpp"
#include "io/reading.hpp"

#include <fcntl.h>
#include <string>
#include <unistd.h>

#include <doctest/doctest.h>

using namespace trayworth;

namespace {

constexpr std::size_t most = std::size_t{1} << 20U;

} // namespace

TEST_CASE("a file that cannot be opened or read says why") {
    CHECK_THROWS_WITH_AS(io::FileSource("no-such-file.json"),
                         "cannot open no-such-file.json: No such file or directory", io::FileError);
    io::FileSource folder{std::string("/")};
    char byte = 0;
    CHECK_THROWS_WITH_AS(folder.read(&byte, 1), "cannot read /: Is a directory", io::FileError);
}

TEST_CASE("a file is read to its end") {
    const std::string path = TRAYWORTH_SOURCE_DIR "/examples/first-stone.json";
    io::FileSource file(path);
    const std::string text = io::read_all(file, most);
    CHECK(text.starts_with("{"));
    CHECK(text.ends_with("}\n"));
    char byte = 0;
    CHECK(file.read(&byte, 1) == 0);
}

TEST_CASE("everything in pieces is everything") {
    std::string text(200'000, 'a');
    text += "end";
    test::MemorySource source(text, 999);
    CHECK((io::read_all(source, most) == text));
}

TEST_CASE("a full disk is not passed over in silence") {
    const int full = ::open("/dev/full", O_WRONLY | O_CLOEXEC);
    if (full < 0) {
        MESSAGE("no /dev/full on this system");
        return;
    }
    io::DescriptorSink sink(full, "standard output");
    CHECK_THROWS_WITH_AS(sink.write("x"), "cannot write standard output: No space left on device",
                         io::FileError);
    CHECK_NOTHROW(sink.write(""));
    ::close(full);
}

TEST_CASE("a sink writes all it is given") {
    int ends[2] = {};
    REQUIRE(::pipe(ends) == 0);
    io::DescriptorSink sink(ends[1], "a pipe");
    sink.write("one ");
    sink.write("two");
    ::close(ends[1]);
    io::FileSource source(ends[0], "a pipe");
    CHECK(io::read_all(source, most) == "one two");
    ::close(ends[0]);
}
