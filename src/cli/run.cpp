#include "cli/run.hpp"

#include "cli/commands.hpp"
#include "cli/session.hpp"
#include "core/nearest.hpp"
#include "io/json_library.hpp"
#include "io/process.hpp"
#include "output/safe_text.hpp"

#include <algorithm>
#include <exception>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#ifndef TRAYWORTH_VERSION
#error "TRAYWORTH_VERSION comes from CMakeLists.txt"
#endif

namespace trayworth::cli {
namespace {

// For those who type the program's name alone.
constexpr std::string_view first_steps =
    R"(trayworth grades, weighs and values finished opal cabochons. What to type next:

  trayworth weigh --outline round --size 9x4 --density 2.1   carats by measure
  man trayworth-record            how a stone is written down, with an example
  trayworth value stone.json      what it is worth, with every reason; trays too
  trayworth describe stone.json   title and text for the buyer
  trayworth recut stone.json      whether to take more off
  trayworth matrix show --format json >mine.json  the prices, to change:
  trayworth value --matrix mine.json stone.json   those built in are invented

"trayworth --help" lists what else there is.
)";

// With what it was built, for a report of a fault.
std::string versions() {
    constexpr int minor = 100;
    constexpr int major = 10'000;
    return fmt::format("trayworth " TRAYWORTH_VERSION "\nwith CLI11 " CLI11_VERSION
                       ", fmt {}.{}.{}, nlohmann-json {}\n",
                       FMT_VERSION / major, FMT_VERSION / minor % minor, FMT_VERSION % minor,
                       io::json_library_version());
}

void describe(CLI::App& app, Session& session) {
    app.set_version_flag("--version", versions, "Print the version and those of the libraries");
    app.require_subcommand(1);
    app.footer("A first try: trayworth value stone.json\n"
               "Values are estimates for pricing stock, not appraisals; the prices of the "
               "built-in\nmatrix are invented.");
    add_value(app, session);
    add_weigh(app, session);
    add_describe(app, session);
    add_offer(app, session);
    add_check(app, session);
    add_record(app, session);
    add_recut(app, session);
    add_compare(app, session);
    add_fit(app, session);
    add_matrix(app, session);
    add_schema(app, session);
    add_completion(app, session);
}

const CLI::App* deepest(const CLI::App& app) {
    const CLI::App* last = &app;
    while (!last->get_subcommands().empty()) {
        last = last->get_subcommands().front();
    }
    return last;
}

// The commands before the deepest one, as they are typed.
std::string path_to(const CLI::App& app) {
    const CLI::App* last = deepest(app);
    std::string path = "trayworth";
    for (const CLI::App* sub = app.get_subcommands().front(); sub != last;
         sub = sub->get_subcommands().front()) {
        path += " " + sub->get_name();
    }
    return path;
}

std::vector<std::string> commands_of(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
        names.push_back(sub->get_name());
    }
    return names;
}

// CLI11 lists what it did not expect backwards and suggests nothing.
Refusal unexpected(const CLI::App& app) {
    const std::vector<std::string> words = app.remaining(true);
    const CLI::App* where = deepest(app);
    std::vector<std::string> names;
    if (words.front().starts_with("-")) {
        for (const CLI::Option* option : where->get_options()) {
            names.push_back(option->get_name());
        }
    } else {
        names = commands_of(*where);
    }
    const std::vector<std::string_view> views(names.begin(), names.end());
    const std::optional<std::string_view> near = nearest(words.front(), views);
    return Refusal(
        fmt::format("\"{}\" was not expected here.", words.front()),
        fmt::format("{}See \"{} --help\".", near ? fmt::format("Did you mean \"{}\"? ", *near) : "",
                    where == &app ? "trayworth" : path_to(app) + " " + where->get_name()));
}

Refusal misuse(const CLI::App& app, const CLI::ParseError& error) {
    if (!app.remaining(true).empty()) {
        return unexpected(app);
    }
    const std::vector<std::string> commands = commands_of(*deepest(app));
    if (error.get_name() == "RequiredError" && !commands.empty()) {
        return Refusal("a command is missing.",
                       fmt::format("Give one of {}; see \"trayworth{} --help\".",
                                   fmt::join(commands, ", "),
                                   deepest(app) == &app ? "" : " " + deepest(app)->get_name()));
    }
    return Refusal(fmt::format("{}.", error.what()),
                   fmt::format("See \"trayworth{} --help\".",
                               app.get_subcommands().empty()
                                   ? ""
                                   : " " + app.get_subcommands().front()->get_name()));
}

int carry_out(const std::vector<std::string>& arguments, Session& session) {
    CLI::App app("Grades, weighs and values finished opal cabochons.", "trayworth");
    describe(app, session);
    try {
        std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
        app.parse(reversed);
    } catch (const CLI::CallForHelp&) {
        const CLI::App* last = deepest(app);
        return session.say(last == &app ? app.help() : last->help(path_to(app)));
    } catch (const CLI::CallForVersion&) {
        return session.say(versions());
    } catch (const CLI::ParseError& error) {
        throw misuse(app, error);
    }
    return session.carry_out();
}

// Before the command line is understood, for what there is to say of it.
bool asks_for_json(const std::vector<std::string>& arguments) {
    const auto named = std::find(arguments.begin(), arguments.end(), "--errors-as");
    return std::find(arguments.begin(), arguments.end(), "--errors-as=json") != arguments.end() ||
           (named != arguments.end() && named + 1 != arguments.end() && *(named + 1) == "json");
}

} // namespace

CLI::App& add_command(CLI::App& parent,
                      Session& session,
                      const std::string& name,
                      const std::string& description,
                      std::function<int()> action) {
    CLI::App* sub = parent.add_subcommand(name, description);
    sub->add_option("--output", session.output,
                    "Write there, whole or not at all, and not to standard output")
        ->type_name("FILE");
    sub->final_callback([&session, action = std::move(action)] { session.chosen = action; });
    return *sub;
}

void prepare_process() {
    io::hold_standard_streams();
    io::clean_up_on_signals();
}

int run(const std::vector<std::string>& arguments, Surroundings surroundings) {
    Session session(surroundings);
    session.errors_as_json = asks_for_json(arguments);
    try {
        try {
            if (arguments.empty()) {
                surroundings.err.write(first_steps);
                return nothing_done;
            }
            return carry_out(arguments, session);
        } catch (const Reported& error) {
            if (!session.errors_as_json) {
                surroundings.err.write(fmt::format("trayworth: {}\n", output::safe(error.what())));
            }
        } catch (const Refusal& refusal) {
            session.refuse(Code::usage, refusal.what(), refusal.hint());
        } catch (const io::ClosedPipe&) {
            return nothing_done; // and quietly: nobody reads on
        } catch (const io::FileError& error) {
            session.refuse(Code::file_access, error.what(), error.hint());
        } catch (const std::exception& error) { // the memory there is, for one
            surroundings.err.write(fmt::format("trayworth: {}\n", output::safe(error.what())));
        }
    } catch (const std::exception&) {
        return nothing_done; // nobody is left to tell
    }
    return nothing_done;
}

} // namespace trayworth::cli
