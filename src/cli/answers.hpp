// What each command answers to one record. An answer depends on its record alone, so that records
// may be answered in any order.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "io/framer.hpp"
#include "io/record_reader.hpp"
#include "output/description.hpp"
#include "output/json_writer.hpp"
#include "output/offer.hpp"
#include "output/text.hpp"
#include "output/tray_text.hpp"
#include "valuation/selection.hpp"
#include "valuation/sensitivity.hpp"
#include "valuation/value.hpp"
#include "weight/plausible.hpp"
#include "weight/weigh.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace trayworth::cli {

enum class Format { text, json, ndjson, csv, html };

constexpr bool is_json(Format format) {
    return format == Format::json || format == Format::ndjson;
}

// How answers are to be given.
struct Rendering {
    Format format = Format::text;
    bool in_full = true;         // text only: a stone in full, or one line for it
    int depth = 0;               // json only: how deep a record stands in its document
    bool brief = false;          // json and ndjson only: without the reasons
    bool faults = false;         // whether diagnostics are wanted as NDJSON in a file
    bool errors_as_json = false; // all diagnostics on standard error as NDJSON
    bool strict = false;         // whether warnings are errors
    bool told_apart = false;     // refused records and warnings on standard error alone
    output::TextStyle out;
    output::TextStyle err;
};

// What a stone brings to the table and the total of its tray.
struct Share {
    output::TrayRow row;
    double likely = 0;
    valuation::Interval outer;
    std::vector<valuation::Effect> effects;
};

struct Answer {
    std::string out;    // without the separator that follows it
    std::string err;    // the diagnostics, where the format does not hold them or they are wanted
    std::string faults; // the diagnostics as NDJSON, where they are wanted so
    std::size_t warnings = 0;
    bool refused = false;
    bool left_out = false;      // it was not asked for: nothing is to be written
    std::optional<Share> share; // of a stone or a refused record, where a table or total is made
};

class Answers {
public:
    Answers(const Rendering& rendering, std::string file)
        : rendering_(rendering), file_(std::move(file)) {}
    Answers(const Answers&) = delete;
    Answers& operator=(const Answers&) = delete;
    virtual ~Answers() = default;

    // `defaults` are the tray's, where there is one.
    [[nodiscard]] virtual Answer answer(const io::Frame& frame, const Stone* defaults) const = 0;
    // What a document of rows begins with.
    [[nodiscard]] virtual std::string header() const { return {}; }
    // By which matrix and level stones are valued; null where they are not.
    [[nodiscard]] virtual const valuation::Request* request() const { return nullptr; }

    // The answer to a record with an error among its diagnostics.
    [[nodiscard]] Answer refuse(const std::optional<std::string>& id,
                                const Diagnostics& diagnostics) const;

    // Diagnostics for standard error, in the form that they are wanted in.
    [[nodiscard]] std::string told(const Diagnostics& diagnostics) const;

    [[nodiscard]] const Rendering& rendering() const { return rendering_; }
    [[nodiscard]] const std::string& file() const { return file_; }

protected:
    // Reads the record, computes its answer and writes it.
    //   compute(stone, diagnostics)            an optional; nothing after an error
    //   write(json, stone, result, warnings)   as JSON
    //   text(stone, result, warnings, answer)  as text, CSV or HTML, into the answer
    //   wanted(stone, result or nullptr, warned)
    template<class Compute, class Write, class Text, class Wanted>
    Answer respond(const io::Frame& frame,
                   const Stone* defaults,
                   Compute compute,
                   Write write,
                   Text text,
                   Wanted wanted) const {
        Diagnostics diagnostics;
        const io::ReadRecord record = io::read_record(frame, defaults, file_, diagnostics);
        decltype(compute(record.stone, diagnostics)) result;
        if (record.accepted) {
            const std::size_t from = diagnostics.size();
            weight::check_plausible(record.stone, diagnostics);
            result = compute(record.stone, diagnostics);
            io::place_in_frame(diagnostics, from, frame, file_);
            if (rendering_.strict && !diagnostics.empty()) {
                make_errors(diagnostics);
                result.reset();
            }
        }
        if (!wanted(record.stone, result ? &*result : nullptr, !diagnostics.empty())) {
            Answer answer;
            answer.left_out = true;
            return answer;
        }
        if (!result) {
            return refuse(record.stone.id, diagnostics);
        }
        Answer answer;
        answer.warnings = diagnostics.size();
        tell(diagnostics, answer);
        if (rendering_.told_apart) {
            answer.err = told(diagnostics);
        }
        if (is_json(rendering_.format)) {
            output::JsonWriter json = writer(answer.out);
            write(json, record.stone, *result, diagnostics);
        } else {
            text(record.stone, *result, diagnostics, answer);
        }
        return answer;
    }

private:
    [[nodiscard]] output::JsonWriter writer(std::string& out) const;
    // As NDJSON, where diagnostics are wanted so.
    void tell(const Diagnostics& diagnostics, Answer& answer) const;

    Rendering rendering_;
    std::string file_;
};

class ValueAnswers : public Answers {
public:
    // `only` are the conditions that a stone has to meet to be answered.
    ValueAnswers(const Rendering& rendering,
                 std::string file,
                 const valuation::Request& request,
                 std::vector<valuation::Condition> only)
        : Answers(rendering, std::move(file)), request_(request), only_(std::move(only)) {}
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
    [[nodiscard]] std::string header() const override;
    [[nodiscard]] const valuation::Request* request() const override { return &request_; }

private:
    valuation::Request request_;
    std::vector<valuation::Condition> only_;
};

class WeighAnswers : public Answers {
public:
    using Answers::Answers;
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
};

// What one step of each grade is worth.
class SensitivityAnswers : public Answers {
public:
    enum class Drawing : bool { in_text, svg };

    SensitivityAnswers(const Rendering& rendering,
                       std::string file,
                       const valuation::Request& request,
                       std::vector<valuation::Condition> only,
                       Drawing drawing)
        : Answers(rendering, std::move(file)), request_(request), only_(std::move(only)),
          drawing_(drawing) {}
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
    [[nodiscard]] const valuation::Request* request() const override { return &request_; }

private:
    void write(const Stone& stone,
               const valuation::Sensitivity& sensitivity,
               const Diagnostics& warnings,
               Answer& answer) const;

    valuation::Request request_;
    std::vector<valuation::Condition> only_; // all of them must hold
    Drawing drawing_;
};

// The stone in words, in the form of a template where there is one.
class DescribeAnswers : public Answers {
public:
    DescribeAnswers(const Rendering& rendering,
                    std::string file,
                    output::Spelling spelling,
                    std::optional<std::string> form)
        : Answers(rendering, std::move(file)), spelling_(spelling), form_(std::move(form)) {}
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;

private:
    output::Spelling spelling_;
    std::optional<std::string> form_; // a template that was found sound
};

// The stone as it is offered for sale.
class OfferAnswers : public Answers {
public:
    // `columns` are those of CSV.
    OfferAnswers(const Rendering& rendering,
                 std::string file,
                 const valuation::Request& request,
                 std::optional<pricing::TaxRate> tax,
                 output::Spelling spelling,
                 std::vector<std::string_view> columns)
        : Answers(rendering, std::move(file)),
          request_(request), terms_{request.matrix, request.level.name, tax}, spelling_(spelling),
          columns_(std::move(columns)) {}
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
    [[nodiscard]] std::string header() const override;

private:
    [[nodiscard]] std::optional<output::Offer> offer_of(const Stone& stone,
                                                        Diagnostics& diagnostics) const;

    valuation::Request request_;
    output::OfferTerms terms_;
    output::Spelling spelling_;
    std::vector<std::string_view> columns_;
};

// Whether a stone states what valuing it asks for: its weight if it does. What is missing is
// appended as errors.
std::optional<weight::Weight> check_complete(const Stone& stone, Diagnostics& diagnostics);

// The diagnostics of a record without a value: read, weighed and found complete.
class CheckAnswers : public Answers {
public:
    using Answers::Answers;
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
};

} // namespace trayworth::cli
