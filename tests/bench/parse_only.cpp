// The floor under any reader built on nlohmann-json: its SAX parser over every line of standard
// input, with a handler that keeps nothing. Prints the number of values, so that nothing is elided.
#include <cstddef>
#include <cstdio>
#include <cstring>
#include <string>
#include <unistd.h>

#include <nlohmann/json.hpp>

namespace {

using nlohmann::json;

struct CountingHandler {
    std::size_t values = 0;

    bool null() { return count(); }
    bool boolean(bool) { return count(); }
    bool number_integer(json::number_integer_t) { return count(); }
    bool number_unsigned(json::number_unsigned_t) { return count(); }
    bool number_float(double, const std::string&) { return count(); }
    bool string(std::string&) { return count(); }
    bool binary(json::binary_t&) { return count(); }
    bool start_object(std::size_t) { return true; }
    bool end_object() { return true; }
    bool start_array(std::size_t) { return true; }
    bool end_array() { return true; }
    bool key(std::string&) { return true; }
    bool parse_error(std::size_t, const std::string&, const json::exception&) { return false; }

private:
    bool count() {
        ++values;
        return true;
    }
};

} // namespace

int main() {
    constexpr std::size_t chunk = std::size_t{256} * 1024;
    std::string buffer;
    CountingHandler handler;
    for (;;) {
        const std::size_t before = buffer.size();
        buffer.resize(before + chunk);
        const ssize_t got = ::read(STDIN_FILENO, buffer.data() + before, chunk);
        buffer.resize(before + (got > 0 ? static_cast<std::size_t>(got) : 0));
        if (got <= 0) {
            break;
        }
        std::size_t at = 0;
        for (std::size_t end = buffer.find('\n', before); end != std::string::npos;
             end = buffer.find('\n', at)) {
            if (!json::sax_parse(buffer.data() + at, buffer.data() + end, &handler)) {
                std::fputs("not JSON\n", stderr);
                return 1;
            }
            at = end + 1;
        }
        buffer.erase(0, at);
    }
    std::printf("%zu\n", handler.values);
    return 0;
}
