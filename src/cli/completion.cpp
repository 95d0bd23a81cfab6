#include "cli/completion.hpp"

#include <cstddef>
#include <set>
#include <sstream>
#include <utility>

#include <CLI/CLI.hpp>

namespace trayworth::cli {
namespace {

// CLI11 keeps the set of an IsMember in its description only, as "{text,json}".
std::vector<std::string> words_of_check(const CLI::Option& option) {
    const std::string check = option.get_type_name();
    const std::size_t begin = check.find('{');
    const std::size_t end = check.find('}', begin);
    if (begin == std::string::npos || end == std::string::npos) {
        return {};
    }
    std::vector<std::string> words;
    std::istringstream set(check.substr(begin + 1, end - begin - 1));
    for (std::string word; std::getline(set, word, ',');) {
        words.push_back(word);
    }
    return words;
}

bool takes_value(const CLI::Option& option) {
    return option.get_items_expected_max() > 0;
}

const CLI::Option* option_of(const CLI::App& command, const std::string& word) {
    for (const CLI::Option* option : command.get_options()) {
        if (option->nonpositional() && option->check_name(word)) {
            return option;
        }
    }
    return nullptr;
}

const CLI::Option* positional_of(const CLI::App& command, std::size_t number) {
    for (const CLI::Option* option : command.get_options()) {
        if (option->get_positional() && (number == 0 || option->get_items_expected_max() > 1)) {
            return option;
        }
        number -= option->get_positional() ? 1 : 0;
    }
    return nullptr;
}

const CLI::App* command_of(const CLI::App& command, const std::string& word) {
    for (const CLI::App* sub : command.get_subcommands([](const CLI::App*) { return true; })) {
        if (sub->check_name(word)) {
            return sub;
        }
    }
    return nullptr;
}

// What the words before the one that is being typed have settled.
class Line {
public:
    explicit Line(const CLI::App& program) : command_(&program) {}

    void read(const std::string& word) {
        if (awaiting_ != nullptr) {
            note_value(*std::exchange(awaiting_, nullptr), word);
        } else if (!options_ended_ && word == "--") {
            options_ended_ = true;
        } else if (!options_ended_ && word.starts_with("-") && word != "-") {
            read_option(word);
        } else if (const CLI::App* sub = options_ended_ ? nullptr : command_of(*command_, word)) {
            command_ = sub;
            positionals_ = 0;
        } else {
            ++positionals_;
        }
    }

    [[nodiscard]] Suggestions next(const std::string& typed, const KnownValues& known) const {
        if (awaiting_ != nullptr) {
            return values(*awaiting_, "", typed, known);
        }
        if (!options_ended_ && typed.starts_with("-")) {
            const std::size_t sign = typed.find('=');
            const CLI::Option* option = option_of(*command_, typed.substr(0, sign));
            return sign == std::string::npos ? options(typed)
                   : option != nullptr && takes_value(*option)
                       ? values(*option, typed.substr(0, sign + 1), typed.substr(sign + 1), known)
                       : Suggestions{};
        }
        Suggestions all = options_ended_ ? Suggestions{} : commands(typed);
        if (const CLI::Option* positional = positional_of(*command_, positionals_)) {
            all = values(*positional, "", typed, known);
            // CLI11's own type: an argument of which nothing else is said is a file.
            all.files |= positional->get_type_name() == "TEXT";
        }
        return all;
    }

private:
    void note_value(const CLI::Option& option, const std::string& value) {
        if (option.check_name("--matrix")) {
            matrix_ = value;
        }
    }

    void read_option(const std::string& word) {
        const std::size_t sign = word.find('=');
        const CLI::Option* option = option_of(*command_, word.substr(0, sign));
        if (option == nullptr) {
            return;
        }
        given_.insert(option);
        if (sign != std::string::npos) {
            note_value(*option, word.substr(sign + 1));
        } else if (takes_value(*option)) {
            awaiting_ = option;
        }
    }

    [[nodiscard]] Suggestions options(const std::string& typed) const {
        Suggestions all;
        for (const CLI::Option* option : command_->get_options()) {
            const bool again = option->get_items_expected_max() > 1 || !given_.contains(option);
            for (const std::string& name : option->get_lnames()) {
                if (again && ("--" + name).starts_with(typed)) {
                    all.words.push_back({"--" + name, option->get_description()});
                }
            }
        }
        return all;
    }

    [[nodiscard]] Suggestions commands(const std::string& typed) const {
        Suggestions all;
        for (const CLI::App* sub :
             command_->get_subcommands([](const CLI::App*) { return true; })) {
            if (sub->get_name().starts_with(typed)) {
                all.words.push_back({sub->get_name(), sub->get_description()});
            }
        }
        return all;
    }

    // `before` is what stands before the value in the same word.
    [[nodiscard]] Suggestions values(const CLI::Option& option,
                                     const std::string& before,
                                     const std::string& typed,
                                     const KnownValues& known) const {
        std::vector<std::string> words = words_of_check(option);
        if (words.empty() && option.nonpositional()) {
            words = known({option.get_name(), typed, matrix_});
        }
        Suggestions all;
        for (const std::string& word : words) {
            if (word.starts_with(typed)) {
                all.words.push_back({before + word, ""});
            }
        }
        const std::string type = option.get_type_name();
        all.files =
            type.find("FILE") != std::string::npos || type.find("FOLDER") != std::string::npos;
        return all;
    }

    const CLI::App* command_;
    const CLI::Option* awaiting_ = nullptr; // the option whose value comes next
    std::set<const CLI::Option*> given_;
    std::string matrix_;
    std::size_t positionals_ = 0;
    bool options_ended_ = false;
};

} // namespace

Suggestions suggest(const CLI::App& program,
                    const std::vector<std::string>& words,
                    const KnownValues& known_values) {
    Line line(program);
    for (std::size_t i = 0; i + 1 < words.size(); ++i) {
        line.read(words[i]);
    }
    return line.next(words.empty() ? "" : words.back(), known_values);
}

} // namespace trayworth::cli
