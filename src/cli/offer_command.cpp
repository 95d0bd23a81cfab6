#include "cli/commands.hpp"
#include "cli/matrix_choice.hpp"
#include "cli/records.hpp"
#include "core/nearest.hpp"
#include "output/offer.hpp"
#include "output/safe_text.hpp"
#include "pricing/asking_price.hpp"

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

struct OfferOptions {
    RecordOptions records;
    MatrixChoice matrix;
    std::string level;
    std::optional<std::string> tax;
    std::string spelling = "british";
    std::optional<std::string> columns; // between commas
    bool invented = false;
};

std::optional<pricing::TaxRate> tax_of(const std::optional<std::string>& text) {
    if (!text) {
        return std::nullopt;
    }
    const std::optional<pricing::TaxRate> rate = pricing::tax_rate_from(*text);
    if (!rate) {
        throw Refusal(fmt::format("--tax: \"{}\" is no rate of a tax.", output::safe(*text)),
                      "Write it in per cent, with the sign and at most three decimals, as "
                      "--tax 10% or --tax 8.875%.");
    }
    return rate;
}

// The parts between commas.
std::vector<std::string> parts_of(std::string_view text) {
    std::vector<std::string> parts(1);
    for (const char c : text) {
        if (c == ',') {
            parts.emplace_back();
        } else {
            parts.back() += c;
        }
    }
    return parts;
}

std::string_view column_of(const std::string& name, const std::vector<std::string_view>& known) {
    const auto found = std::find(known.begin(), known.end(), name);
    if (found != known.end()) {
        return *found;
    }
    const std::optional<std::string_view> near = nearest(name, known);
    throw Refusal(fmt::format("--columns: there is no column \"{}\".", output::safe(name)),
                  fmt::format("{}There are: {}.",
                              near ? fmt::format("Did you mean \"{}\"? ", *near) : "",
                              fmt::join(known, ", ")));
}

std::vector<std::string_view> columns_of(const OfferOptions& options,
                                         const pricing::Matrix& matrix) {
    std::vector<std::string_view> known = output::offer_columns();
    if (!options.columns) {
        return known;
    }
    if (options.records.format != "csv") {
        throw Refusal("--columns is for CSV alone.", "Add --format csv, or leave --columns out.");
    }
    std::vector<std::string_view> columns;
    for (const std::string& name : parts_of(*options.columns)) {
        const std::string_view column = column_of(name, known);
        if (std::find(columns.begin(), columns.end(), column) != columns.end()) {
            throw Refusal(fmt::format("--columns: \"{}\" is named twice.", column),
                          "Name each column once.");
        }
        columns.push_back(column);
    }
    if (matrix.invented && std::find(columns.begin(), columns.end(), "invented") == columns.end()) {
        throw Refusal("--columns: the prices are invented, and the rows would not say so.",
                      "Add \"invented\" to the columns.");
    }
    return columns;
}

void require_own_prices(const OfferOptions& options, const pricing::Matrix& matrix) {
    if (matrix.invented && !options.invented) {
        throw Refusal(
            fmt::format("the prices of \"{}\" are invented: nothing can be offered at them.",
                        output::safe(matrix.name)),
            "Name one of your own prices with --matrix, which is not marked \"invented\"; for a "
            "trial that nobody else will read, add --invented-prices.");
    }
}

int offer(Session& session, const OfferOptions& options) {
    const std::optional<pricing::TaxRate> tax = tax_of(options.tax);
    const pricing::Matrix matrix = load_matrix(session, options.matrix, options.records.file);
    require_own_prices(options, matrix);
    const pricing::Entry& level = level_of(matrix, options.level);
    const std::vector<std::string_view> columns = columns_of(options, matrix);
    return answer(
        session, options.records, {},
        [&](Rendering rendering) {
            rendering.in_full = true;
            rendering.told_apart = true;
            const valuation::Request request{
                .matrix = matrix, .level = level, .explain = valuation::Explain::no};
            return std::make_unique<OfferAnswers>(rendering, label(options.records.file), request,
                                                  tax, spelling_of(options.spelling), columns);
        },
        "offered");
}

} // namespace

void add_offer(CLI::App& app, Session& session) {
    const auto options = std::make_shared<OfferOptions>();
    CLI::App& sub =
        add_command(app, session, "offer", "Offer stones for sale: words, disclosures, one price",
                    [&session, options] { return offer(session, *options); });
    add_file(sub, options->records.file);
    add_matrix_choice(sub, options->matrix);
    add_day(sub, options->matrix.on);
    add_format(sub, options->records.format, {"text", "json", "ndjson", "csv"});
    add_level(sub, options->level);
    sub.add_option("--tax", options->tax,
                   "Add tax at that rate, as 10%, so that the price is the total")
        ->type_name("RATE");
    sub.add_option("--columns", options->columns,
                   "CSV: the columns and their order, with commas between, as id,title,price")
        ->type_name("NAMES");
    add_spelling(sub, options->spelling);
    sub.add_flag("--invented-prices", options->invented,
                 "For a trial: allow a matrix whose prices are invented");
    add_sharing(sub, options->records);
    add_strict(sub, session);
    add_errors_as(sub, session);
}

} // namespace trayworth::cli
