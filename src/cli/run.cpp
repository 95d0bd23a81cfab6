#include "cli/run.hpp"

#include "cli/commands.hpp"
#include "cli/session.hpp"
#include "core/nearest.hpp"
#include "output/safe_text.hpp"

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

void describe(CLI::App& app, Session& session) {
    app.set_version_flag("--version", "trayworth " TRAYWORTH_VERSION);
    app.require_subcommand(1);
    app.footer("A first try: trayworth value stone.json\n"
               "Values are estimates for pricing stock, not appraisals; the prices of the "
               "built-in\nmatrix are invented.");
    add_value(app, session);
    add_weigh(app, session);
    add_check(app, session);
    add_matrix(app, session);
    add_schema(app, session);
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
std::string unexpected(const CLI::App& app) {
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
    return fmt::format("\"{}\" was not expected here{}; see \"{} --help\".", words.front(),
                       near ? fmt::format(" (did you mean \"{}\"?)", *near) : "",
                       where == &app ? "trayworth" : path_to(app) + " " + where->get_name());
}

std::string misuse(const CLI::App& app, const CLI::ParseError& error) {
    if (!app.remaining(true).empty()) {
        return unexpected(app);
    }
    const std::vector<std::string> commands = commands_of(*deepest(app));
    if (error.get_name() == "RequiredError" && !commands.empty()) {
        return fmt::format("a command is missing: {}; see \"trayworth{} --help\".",
                           fmt::join(commands, ", "),
                           deepest(app) == &app ? "" : " " + deepest(app)->get_name());
    }
    return fmt::format(
        "{}; see \"trayworth{} --help\".", error.what(),
        app.get_subcommands().empty() ? "" : " " + app.get_subcommands().front()->get_name());
}

int carry_out(const std::vector<std::string>& arguments, Session& session) {
    CLI::App app("Grades, weighs and values finished opal cabochons.", "trayworth");
    describe(app, session);
    try {
        std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
        app.parse(reversed);
    } catch (const CLI::CallForHelp&) {
        session.around.out.write(app.get_subcommands().empty() ? app.help()
                                                               : deepest(app)->help(path_to(app)));
        return all_done;
    } catch (const CLI::CallForVersion&) {
        session.around.out.write("trayworth " TRAYWORTH_VERSION "\n");
        return all_done;
    } catch (const CLI::ParseError& error) {
        throw Refusal(misuse(app, error));
    }
    return session.chosen();
}

} // namespace

CLI::App& add_command(CLI::App& parent,
                      Session& session,
                      const std::string& name,
                      const std::string& description,
                      std::function<int()> action) {
    CLI::App* sub = parent.add_subcommand(name, description);
    sub->final_callback([&session, action = std::move(action)] { session.chosen = action; });
    return *sub;
}

int run(const std::vector<std::string>& arguments, Surroundings surroundings) {
    const auto refuse = [&surroundings](std::string_view why) {
        try {
            surroundings.err.write(fmt::format("trayworth: {}\n", output::safe(why)));
        } catch (const std::exception&) {
            return nothing_done; // nobody is left to tell
        }
        return nothing_done;
    };
    try {
        Session session(surroundings);
        return carry_out(arguments, session);
    } catch (const std::exception& error) {
        return refuse(error.what());
    }
}

} // namespace trayworth::cli
