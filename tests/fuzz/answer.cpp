// From records to what is printed of them, in every form: the forms agree with each other and with
// the computation, and nothing in them acts on a terminal or a spreadsheet.
#include "cli/answers.hpp"
#include "cli/stream.hpp"
#include "output/csv.hpp"
#include "support.hpp"
#include "valued.hpp"

#include <algorithm>
#include <cmath>

namespace {

using namespace trayworth;
using nlohmann::json;

struct Form {
    cli::Format format = cli::Format::text;
    bool brief = false;
    bool in_full = false;
    std::optional<cli::Format> total{};
    std::size_t jobs = 1;
};

struct Printed {
    std::string out;
    std::string err;
    std::string faults;
    cli::Tally tally;

    friend bool operator==(const Printed& a, const Printed& b) {
        return a.out == b.out && a.err == b.err && a.faults == b.faults;
    }
};

const pricing::Entry& level() {
    const pricing::Matrix& matrix = fuzz::demonstration();
    return *pricing::find(matrix.market_levels, matrix.market_level);
}

Printed printed(std::string_view text, bool by_lines, const Form& form) {
    fuzz::PiecewiseSource source(text);
    io::Framer framer(source, by_lines ? io::Form::lines : io::Form::any);
    cli::Rendering rendering;
    rendering.format = form.format;
    rendering.in_full = !form.total && (form.in_full || framer.shape() == io::Shape::single);
    rendering.brief = form.brief;
    rendering.faults = true;
    const cli::ValueAnswers answers(rendering, fuzz::file_name,
                                    {fuzz::demonstration(), level(), 0, 1,
                                     form.brief ? valuation::Explain::no : valuation::Explain::yes},
                                    {});
    fuzz::MemorySink out;
    fuzz::MemorySink err;
    fuzz::MemorySink faults;
    cli::StreamOptions options;
    options.jobs = form.jobs;
    options.total_only = form.total;
    options.faults = &faults;
    const cli::Tally tally = cli::answer_all(framer, answers, options, out, err);
    return {out.text, err.text, faults.text, tally};
}

std::vector<json> lines_of(std::string_view text) {
    std::vector<json> all;
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        fuzz::expect(end != std::string_view::npos, "a line without an end", text);
        all.push_back(fuzz::parsed(text.substr(0, end)));
        text.remove_prefix(end + 1);
    }
    return all;
}

// RFC 4180.
std::vector<std::vector<std::string>> rows_of(std::string_view text) {
    std::vector<std::vector<std::string>> rows;
    while (!text.empty()) {
        std::vector<std::string> row;
        bool more = true;
        while (more) {
            std::string& field = row.emplace_back();
            if (text.starts_with('"')) {
                text.remove_prefix(1);
                for (;;) {
                    const std::size_t quote = text.find('"');
                    fuzz::expect(quote != std::string_view::npos, "a quote is not closed");
                    field += text.substr(0, quote);
                    text.remove_prefix(quote + 1);
                    if (!text.starts_with('"')) {
                        break;
                    }
                    field += '"';
                    text.remove_prefix(1);
                }
            } else {
                field = text.substr(0, text.find_first_of(",\r"));
                fuzz::expect(field.find_first_of("\"\n") == std::string::npos,
                             "a field that needs quotes", field);
                text.remove_prefix(field.size());
            }
            more = text.starts_with(',');
            fuzz::expect(more || text.starts_with("\r\n"), "a field without an end", text);
            text.remove_prefix(more ? 1 : 2);
        }
        rows.push_back(std::move(row));
    }
    return rows;
}

std::size_t column(const std::vector<std::string>& header, std::string_view name) {
    const auto found = std::find(header.begin(), header.end(), name);
    fuzz::expect(found != header.end(), "a column is missing", name);
    return static_cast<std::size_t>(found - header.begin());
}

void expect_csv(std::string_view text, const std::vector<json>& answers) {
    fuzz::expect_plain(std::string(text.substr(0, text.find('\r'))));
    const std::vector<std::vector<std::string>> rows = rows_of(text);
    fuzz::expect(rows.size() == answers.size() + 1, "another number of rows");
    const std::vector<std::string>& header = rows.front();
    for (std::size_t i = 0; i < answers.size(); ++i) {
        const std::vector<std::string>& row = rows[i + 1];
        fuzz::expect(row.size() == header.size(), "another number of fields");
        for (const std::string& field : row) {
            fuzz::expect_plain(field);
            fuzz::expect(field.find('\n') == std::string::npos, "a line break in a field", field);
            const std::size_t first = field.find_first_not_of(' ');
            fuzz::expect(first == std::string::npos ||
                             std::string_view("=+-@").find(field[first]) == std::string_view::npos,
                         "a formula", field);
        }
        const auto field = [&](std::string_view name) { return row[column(header, name)]; };
        const json& answer = answers[i];
        if (answer.contains("error")) {
            fuzz::expect(field("error") == answer.at("error").at("code"), "another error");
            fuzz::expect(field("likely").empty(), "a value of a refused record", field("likely"));
            continue;
        }
        for (const char* name : {"low", "likely", "high", "outer_low", "outer_high"}) {
            fuzz::expect(fuzz::parsed(field(name)) == answer.at("value").at(name),
                         "another amount in CSV", field(name));
        }
        fuzz::expect(fuzz::parsed(field("weight_ct")) == answer.at("weight_ct").at("value"),
                     "another weight in CSV", field("weight_ct"));
    }
}

void expect_brief(const std::vector<json>& brief, const std::vector<json>& full) {
    fuzz::expect(brief.size() == full.size(), "another number of brief answers");
    for (std::size_t i = 0; i < full.size(); ++i) {
        if (full[i].contains("error")) {
            fuzz::expect(brief[i] == full[i], "another error when brief", brief[i].dump());
            continue;
        }
        json weight = full[i].at("weight_ct");
        weight.erase("low");
        weight.erase("high");
        fuzz::expect(
            brief[i].at("weight_ct") == weight && brief[i].at("value") == full[i].at("value") &&
                brief[i].at("id") == full[i].at("id") && brief[i].at("name") == full[i].at("name"),
            "another answer when brief", brief[i].dump());
    }
}

void expect_total(const json& total, const std::vector<json>& answers) {
    std::size_t refused = 0;
    double likely = 0;
    for (const json& answer : answers) {
        if (answer.contains("error")) {
            ++refused;
        } else {
            likely += answer.at("value").at("likely").get<double>();
        }
    }
    fuzz::expect(total.at("refused") == refused && total.at("stones") == answers.size() - refused,
                 "another number of stones in the total", total.dump());
    const json& sum = total.at("total");
    const double found = sum.at("likely").get<double>();
    const double cents = 0.005 * static_cast<double>(answers.size() + 1) + 1e-9 * likely;
    fuzz::expect(std::abs(found - likely) <= cents, "a total that is no sum", total.dump());
    fuzz::expect(sum.at("low") <= sum.at("likely") && sum.at("likely") <= sum.at("high"),
                 "a total outside its range", total.dump());
}

void expect_values(std::string_view text, bool by_lines, const std::vector<json>& answers) {
    const fuzz::Framed found = fuzz::framed(text, by_lines);
    Diagnostics diagnostics;
    std::optional<Stone> defaults;
    if (found.shape == io::Shape::tray) {
        defaults = io::read_tray(found.envelope, fuzz::file_name, diagnostics);
        if (!defaults) {
            return;
        }
    }
    for (std::size_t i = 0; i < found.frames.size(); ++i) {
        const io::ReadRecord record = io::read_record(
            found.frames[i].frame(), defaults ? &*defaults : nullptr, fuzz::file_name, diagnostics);
        if (!record.accepted) {
            continue;
        }
        const auto valuation =
            valuation::value(record.stone, {fuzz::demonstration(), level()}, diagnostics);
        fuzz::expect(valuation.has_value() != answers[i].contains("error"), "valued and refused",
                     answers[i].dump());
        if (valuation) {
            fuzz::expect_consistent(*valuation, fuzz::demonstration());
            fuzz::expect_agreement(record.stone, fuzz::demonstration(), level(), *valuation);
            fuzz::expect_printed(answers[i], *valuation, fuzz::demonstration());
        }
    }
}

void expect_forms_agree(std::string_view text, bool by_lines) {
    const Form ndjson{.format = cli::Format::ndjson};
    const Printed full = printed(text, by_lines, ndjson);
    if (full.tally.unreadable) {
        fuzz::expect_plain(full.err);
        return;
    }
    const std::vector<json> answers = lines_of(full.out);
    fuzz::expect(answers.size() == full.tally.records, "another number of answers");
    expect_values(text, by_lines, answers);
    for (const json& fault : lines_of(full.faults)) {
        fuzz::expect(fault.at("line") >= 1 && fault.at("column") >= 1, "a fault without a place");
    }

    const Printed together = printed(text, by_lines, {.format = cli::Format::json});
    if (together.out.starts_with('[')) {
        fuzz::expect(fuzz::parsed(together.out) == json(answers), "another array");
    } else if (answers.size() == 1) {
        fuzz::expect(fuzz::parsed(together.out) == answers.front(), "another object");
    }
    expect_brief(
        lines_of(printed(text, by_lines, {.format = cli::Format::ndjson, .brief = true}).out),
        answers);
    expect_csv(printed(text, by_lines, {.format = cli::Format::csv}).out, answers);
    for (const bool in_full : {true, false}) {
        const Printed shown = printed(text, by_lines, {.in_full = in_full});
        fuzz::expect_plain(shown.out);
        fuzz::expect_plain(shown.err);
    }
    fuzz::expect(printed(text, by_lines, {.format = cli::Format::ndjson, .jobs = 3}) == full,
                 "other answers on several threads");

    const Form total{.format = cli::Format::text, .total = cli::Format::json};
    const Printed sum = printed(text, by_lines, total);
    expect_total(fuzz::parsed(sum.out), answers);
    Form on_threads = total;
    on_threads.jobs = 3;
    fuzz::expect(printed(text, by_lines, on_threads) == sum, "another total on several threads");
    fuzz::expect_plain(
        printed(text, by_lines, {.format = cli::Format::text, .total = cli::Format::text}).out);
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of(data, size);
    if (fuzz::framed(text, false).refused.empty()) {
        expect_forms_agree(text, false);
    }
    return 0;
}
