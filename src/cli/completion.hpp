// What may come next on a command line, by the program's own description of its commands.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace CLI {
class App;
}

namespace trayworth::cli {

struct Suggestion {
    std::string word;
    std::string meaning; // empty where the word says it
};

struct Suggestions {
    std::vector<Suggestion> words; // those that begin as the word that is being typed does
    bool files = false;            // whether the name of a file is due
};

// An option whose value is being typed.
struct ValueAsked {
    std::string_view option; // "--level"
    std::string_view typed;  // the beginning of its value
    std::string_view matrix; // the value of --matrix on the same command line, or empty
};

// The values that an option may have, where the program knows them and its description does not
// hold them.
using KnownValues = std::function<std::vector<std::string>(const ValueAsked&)>;

// `words` follow the program's name. The last one is being typed and may be empty.
Suggestions suggest(const CLI::App& program,
                    const std::vector<std::string>& words,
                    const KnownValues& known_values);

} // namespace trayworth::cli
