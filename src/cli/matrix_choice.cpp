#include "cli/matrix_choice.hpp"

#include "core/bounds.hpp"
#include "core/date.hpp"
#include "core/decimal.hpp"
#include "core/nearest.hpp"
#include "io/extended_matrix.hpp"
#include "output/safe_text.hpp"
#include "pricing/conversion.hpp"
#include "pricing/dated.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <memory>
#include <optional>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

double rate_from(const std::string& text) {
    double rate = 0;
    const char* end = text.data() + text.size();
    const auto read = std::from_chars(text.data(), end, rate);
    const bool in_bounds = rate >= 1 / bounds::number && rate <= bounds::number; // false for NaN
    if (read.ec != std::errc() || read.ptr != end || !in_bounds) {
        throw Refusal(
            fmt::format("--rate: \"{}\" is not a number from 1e-9 to 1e9.", output::safe(text)),
            "Write how much of the other currency there is for 1 of the matrix's, as "
            "--rate 0.65.");
    }
    if (to_significant(rate) != rate) {
        throw Refusal(
            fmt::format("--rate: {} has more than seven significant digits.", output::safe(text)),
            "Values are reckoned with seven: round it.");
    }
    return rate;
}

} // namespace

void add_currency_choice(CLI::App& sub, CurrencyChoice& choice) {
    sub.add_option("--in", choice.in, "Convert the values into another currency of ISO 4217")
        ->type_name("CURRENCY");
    sub.add_option("--rate", choice.rate,
                   "With --in: how much of it there is for 1 of the matrix's currency")
        ->type_name("NUMBER");
    sub.add_option("--rate-date", choice.date, "With --in: the date of the rate")
        ->type_name("DATE");
}

pricing::Matrix in_currency(pricing::Matrix matrix, const CurrencyChoice& choice) {
    const auto given = {!choice.in.empty(), !choice.rate.empty(), !choice.date.empty()};
    const auto count = std::count(given.begin(), given.end(), true);
    if (count == 0) {
        return matrix;
    }
    if (count < 3) {
        throw Refusal("--in, --rate and --rate-date go together: no rate is assumed.",
                      "Give all three, as --in USD --rate 0.65 --rate-date 2026-11-01.");
    }
    const std::optional<Currency> currency = currency_from(choice.in);
    if (!currency) {
        throw Refusal(
            fmt::format("--in: \"{}\" is not a currency of ISO 4217.", output::safe(choice.in)),
            "Write its three capital letters, such as USD.");
    }
    if (*currency == matrix.currency) {
        throw Refusal(fmt::format("--in: the matrix is in {} already.", currency->code),
                      "Leave --in, --rate and --rate-date out.");
    }
    if (!date_from(choice.date)) {
        throw Refusal(fmt::format("--rate-date: \"{}\" is not a date.", output::safe(choice.date)),
                      "Write year, month and day, as --rate-date 2026-11-01.");
    }
    return pricing::converted(std::move(matrix), *currency, rate_from(choice.rate), choice.date);
}

void add_matrix_choice(CLI::App& sub, MatrixChoice& choice) {
    sub.add_option(
           "--matrix", choice.file,
           "The price matrix: a file, or a name that \"matrix list\" lists; without it, the "
           "built-in demonstration")
        ->type_name("FILE|NAME");
}

void add_day(CLI::App& sub, std::string& on) {
    sub.add_option(
           "--on", on,
           "Day that the values are for: warns of a matrix more than a year older, or later")
        ->type_name("DATE");
}

std::string name_of(const MatrixChoice& choice) {
    return choice.file.empty() ? "the built-in matrix" : label(choice.file);
}

void add_level(CLI::App& sub, std::string& level) {
    sub.add_option("--level", level, "Market level, one that the matrix has")->type_name("NAME");
}

io::MatrixDocument document_of(Session& session, const MatrixChoice& choice) {
    io::MatrixDocument document =
        choice.file == "-"
            ? io::MatrixDocument{label(choice.file), session.text_of(choice.file), "", choice.file}
            : session.matrices.open(choice.file.empty() ? std::string(io::MatrixLibrary::built_in)
                                                        : choice.file);
    if (document.text.size() > bounds::document_bytes) {
        throw Refusal(fmt::format("{} is larger than {} bytes, the most that a price matrix has.",
                                  document.file, grouped(bounds::document_bytes)),
                      "Is it the right file?");
    }
    return document;
}

std::optional<io::WholeMatrix> matrix_of(const Session& session,
                                         const io::MatrixDocument& document,
                                         const std::string& on,
                                         Diagnostics& diagnostics) {
    const std::optional<std::chrono::year_month_day> day = date_from(on);
    if (!day && !on.empty()) {
        throw Refusal(fmt::format("\"{}\" is not a date.", output::safe(on)),
                      "Write year, month and day, as --on 2026-11-01.");
    }
    std::optional<io::WholeMatrix> whole =
        io::read_whole_matrix(document, session.matrices, diagnostics);
    if (!whole || !day) {
        return whole;
    }
    pricing::check_date(whole->matrix, *day, diagnostics);
    whole->place(diagnostics);
    if (session.strict && !diagnostics.empty()) {
        make_errors(diagnostics);
        whole.reset();
    }
    return whole;
}

pricing::Matrix
load_matrix(Session& session, const MatrixChoice& choice, const std::string& records) {
    if (choice.file == "-" && records == "-") {
        throw Refusal("the matrix and the records cannot both come from standard input.",
                      "Name a file for one of them.");
    }
    Diagnostics diagnostics;
    std::optional<io::WholeMatrix> whole =
        matrix_of(session, document_of(session, choice), choice.on, diagnostics);
    session.report(diagnostics);
    if (!whole) {
        throw Reported("the matrix was refused, so nothing was valued.");
    }
    return std::move(whole->matrix);
}

const pricing::Entry& level_of(const pricing::Matrix& matrix, const std::string& name) {
    const std::string& wanted = name.empty() ? matrix.market_level : name;
    if (const pricing::Entry* level = pricing::find(matrix.market_levels, wanted)) {
        return *level;
    }
    std::vector<std::string_view> names;
    for (const pricing::Entry& entry : matrix.market_levels) {
        names.emplace_back(entry.name);
    }
    const std::optional<std::string_view> near = nearest(wanted, names);
    throw Refusal(fmt::format("the matrix has no market level \"{}\".", output::safe(wanted)),
                  fmt::format("{}It has: {}.",
                              near ? fmt::format("Did you mean \"{}\"? ", *near) : "",
                              fmt::join(names, ", ")));
}

} // namespace trayworth::cli
