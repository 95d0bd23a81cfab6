#include "cli/commands.hpp"
#include "cli/completion.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/questions.hpp"
#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "output/offer.hpp"
#include "output/safe_text.hpp"
#include "valuation/selection.hpp"
#include "weight/density.hpp"
#include "weight/outline.hpp"
#include "weight/profile.hpp"

#include <array>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

using Values = std::vector<std::string>;

template<class Names>
Values values_of(const Names& names) {
    return {names.begin(), names.end()};
}

Values market_levels(Session& session, std::string_view matrix_file) {
    if (matrix_file == "-") {
        return {};
    }
    Diagnostics faults;
    const io::MatrixDocument document =
        document_of(session, {.file = std::string(matrix_file), .on = ""});
    const auto whole = matrix_of(session, document, "", faults);
    Values names;
    if (whole) {
        for (const pricing::Entry& level : whole->matrix.market_levels) {
            names.push_back(level.name);
        }
    }
    return names;
}

Values matrix_names(Session& session) {
    Values names;
    for (const io::NamedMatrix& matrix : session.matrices.list()) {
        names.push_back(matrix.name);
    }
    return names;
}

Values orders() {
    Values all = values_of(valuation::order_names);
    for (const std::string_view name : valuation::order_names) {
        all.push_back(fmt::format("-{}", name));
    }
    return all;
}

Values varieties() {
    Values names;
    for (const weight::DensityVariety& variety : weight::density_varieties()) {
        names.emplace_back(variety.name);
    }
    return names;
}

// The fields that are asked for, each with what follows its pointer.
Values fields_asked_for(std::string_view behind) {
    Values pointers;
    for (const Question& question : questions()) {
        pointers.push_back(fmt::format("{}{}", question.pointer, behind));
    }
    return pointers;
}

// The one place that knows the values of an option by its name, in whichever command it stands.
Values known_values(Session& session, const ValueAsked& asked) {
    const std::string_view option = asked.option;
    return option == "--level"     ? market_levels(session, asked.matrix)
           : option == "--matrix"  ? matrix_names(session)
           : option == "--only"    ? valuation::conditions_after(asked.typed)
           : option == "--sort"    ? orders()
           : option == "--columns" ? values_of(output::offer_columns())
           : option == "--set"     ? fields_asked_for("=")
           : option == "--unset"   ? fields_asked_for("")
           : option == "--outline" ? values_of(weight::outline_names)
           : option == "--density" ? varieties()
           : option == "--dome"    ? values_of(weight::dome_names)
           : option == "--back"    ? values_of(weight::back_names)
                                   : Values{};
}

// For the shells' scripts in data/completions.
std::string lines_of(const Suggestions& suggestions) {
    std::string lines;
    for (const Suggestion& suggestion : suggestions.words) {
        lines += output::safe(suggestion.word);
        if (!suggestion.meaning.empty()) {
            lines += "\t" + suggestion.meaning;
        }
        lines += "\n";
    }
    return suggestions.files ? lines + ":files\n" : lines;
}

std::string_view script(const std::string& shell) {
    return shell == "bash"  ? io::bash_completions()
           : shell == "zsh" ? io::zsh_completions()
                            : io::fish_completions();
}

} // namespace

void add_completion(CLI::App& app, Session& session) {
    struct Options {
        std::string shell;
        std::vector<std::string> words;
    };
    const auto options = std::make_shared<Options>();
    CLI::App& sub = add_command(
        app, session, "completion", "Print what completes command lines in a shell",
        [&app, &session, options] {
            session.around.out.write(
                options->words.empty()
                    ? std::string(script(options->shell))
                    : lines_of(suggest(app, options->words, [&session](const ValueAsked& asked) {
                          return known_values(session, asked);
                      })));
            return all_done;
        });
    sub.add_option("shell", options->shell, "bash, zsh or fish")
        ->required()
        ->check(CLI::IsMember({"bash", "zsh", "fish"}));
    sub.add_option("word", options->words,
                   "Instead: what may stand for the last of these words, which follow --")
        ->type_name("WORD");
}

} // namespace trayworth::cli
