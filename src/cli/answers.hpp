// What each command answers to one record. An answer depends on its record alone, so that records
// may be answered in any order.
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "io/framer.hpp"
#include "io/record_reader.hpp"
#include "output/json_writer.hpp"
#include "output/text.hpp"
#include "valuation/value.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <utility>

namespace trayworth::cli {

enum class Format { text, json, ndjson };

// How answers are to be written down.
struct Rendering {
    Format format = Format::text;
    bool in_full = true; // text only: a stone in full, or one line for it
    int depth = 0;       // json only: how deep a record stands in its document
    output::TextStyle out;
    output::TextStyle err;
};

struct Answer {
    std::string out; // without the separator that follows it
    std::string err; // the diagnostics, where the format does not hold them itself
    std::size_t warnings = 0;
    bool refused = false;
};

class Answers {
public:
    Answers(Rendering rendering, std::string file)
        : rendering_(rendering), file_(std::move(file)) {}
    Answers(const Answers&) = delete;
    Answers& operator=(const Answers&) = delete;
    virtual ~Answers() = default;

    // `defaults` are the tray's, where there is one.
    [[nodiscard]] virtual Answer answer(const io::Frame& frame, const Stone* defaults) const = 0;
    // Around the lines of a table; text only.
    [[nodiscard]] virtual std::string heading() const { return {}; }
    [[nodiscard]] virtual std::string footing() const { return {}; }

    // The answer to a record with an error among its diagnostics.
    [[nodiscard]] Answer refuse(const std::optional<std::string>& id,
                                const Diagnostics& diagnostics) const;

    [[nodiscard]] const Rendering& rendering() const { return rendering_; }
    [[nodiscard]] const std::string& file() const { return file_; }

protected:
    // Reads the record, computes its answer and writes it.
    //   compute(stone, diagnostics)            an optional; nothing after an error
    //   write(json, stone, result, warnings)   as JSON
    //   text(stone, result, warnings)          as text
    template<class Compute, class Write, class Text>
    Answer respond(const io::Frame& frame,
                   const Stone* defaults,
                   Compute compute,
                   Write write,
                   Text text) const {
        Diagnostics diagnostics;
        if (frame.broken) {
            diagnostics.push_back(*frame.broken);
            diagnostics.back().file = file_;
            return refuse(std::nullopt, diagnostics);
        }
        const io::ReadRecord record = io::read_record(frame, defaults, file_, diagnostics);
        decltype(compute(record.stone, diagnostics)) result;
        if (record.accepted) {
            const std::size_t from = diagnostics.size();
            result = compute(record.stone, diagnostics);
            io::place_in_frame(diagnostics, from, frame, file_);
        }
        if (!result) {
            return refuse(record.stone.id, diagnostics);
        }
        Answer answer;
        answer.warnings = diagnostics.size();
        if (rendering_.format == Format::text) {
            answer.out = text(record.stone, *result, diagnostics);
        } else {
            output::JsonWriter json = writer(answer.out);
            write(json, record.stone, *result, diagnostics);
        }
        return answer;
    }

private:
    [[nodiscard]] output::JsonWriter writer(std::string& out) const;

    Rendering rendering_;
    std::string file_;
};

class ValueAnswers : public Answers {
public:
    ValueAnswers(Rendering rendering, std::string file, valuation::Request request)
        : Answers(rendering, std::move(file)), request_(request) {}
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
    [[nodiscard]] std::string heading() const override;
    [[nodiscard]] std::string footing() const override;

private:
    valuation::Request request_;
};

class WeighAnswers : public Answers {
public:
    using Answers::Answers;
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
};

// The diagnostics of a record without a value: read, weighed and found complete.
class CheckAnswers : public Answers {
public:
    using Answers::Answers;
    [[nodiscard]] Answer answer(const io::Frame& frame, const Stone* defaults) const override;
};

} // namespace trayworth::cli
