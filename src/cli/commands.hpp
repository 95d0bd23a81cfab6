// The commands. Each adds itself with its options; CLI11 fills these, and sets Session::chosen to
// what is to be done with them.
#pragma once

#include "cli/session.hpp"

#include <functional>
#include <string>

namespace CLI {
class App;
}

namespace trayworth::cli {

void add_value(CLI::App& app, Session& session);
void add_weigh(CLI::App& app, Session& session);
void add_describe(CLI::App& app, Session& session);
void add_offer(CLI::App& app, Session& session);
void add_check(CLI::App& app, Session& session);
void add_record(CLI::App& app, Session& session);
void add_recut(CLI::App& app, Session& session);
void add_compare(CLI::App& app, Session& session);
void add_fit(CLI::App& app, Session& session);
void add_matrix(CLI::App& app, Session& session);
void add_matrix_list(CLI::App& matrix, Session& session); // within "matrix"
void add_schema(CLI::App& app, Session& session);
void add_completion(CLI::App& app, Session& session);

// A subcommand of `parent` that does `action`, which returns the exit status.
CLI::App& add_command(CLI::App& parent,
                      Session& session,
                      const std::string& name,
                      const std::string& description,
                      std::function<int()> action);

} // namespace trayworth::cli
