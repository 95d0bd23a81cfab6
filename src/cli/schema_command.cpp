#include "cli/commands.hpp"
#include "io/embedded.hpp"

#include <memory>
#include <string>

#include <CLI/CLI.hpp>

namespace trayworth::cli {
namespace {

int schema(Session& session, const std::string& format) {
    session.around.out.write(format == "record"      ? io::record_schema()
                             : format == "matrix"    ? io::matrix_schema()
                             : format == "valuation" ? io::valuation_schema()
                             : format == "plan"      ? io::plan_schema()
                             : format == "offer"     ? io::offer_schema()
                             : format == "recut"     ? io::recut_schema()
                             : format == "compare"   ? io::compare_schema()
                                                     : io::fit_schema());
    return all_done;
}

} // namespace

void add_schema(CLI::App& app, Session& session) {
    const auto format = std::make_shared<std::string>();
    CLI::App& sub = add_command(app, session, "schema", "Print the JSON Schema of a format",
                                [&session, format] { return schema(session, *format); });
    sub.add_option("format", *format,
                   "record, matrix, valuation, plan, recut, offer, compare or fit")
        ->required()
        ->check(CLI::IsMember(
            {"record", "matrix", "valuation", "plan", "recut", "offer", "compare", "fit"}));
}

} // namespace trayworth::cli
