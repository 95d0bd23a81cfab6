// The floor under any program that values one stone: opens the file that is named, reads it, ends.
#include <fstream>
#include <iterator>
#include <string>

int main(int argc, char** argv) {
    if (argc != 2) {
        return 2;
    }
    std::ifstream file(argv[1], std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    return text.empty() ? 1 : 0;
}
