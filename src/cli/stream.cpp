#include "cli/stream.hpp"

#include "io/record_reader.hpp"
#include "output/text.hpp"

#include <optional>
#include <string>

namespace trayworth::cli {
namespace {

constexpr std::size_t flush_at = 65536;

// Puts answers together into one document of the format asked for.
class Document {
public:
    Document(io::Shape shape, const Answers& answers, io::ByteSink& out, io::ByteSink& err)
        : answers_(answers), out_(out), err_(err),
          array_(answers.rendering().format == Format::json &&
                 (shape == io::Shape::tray || shape == io::Shape::array)),
          table_(answers.rendering().format == Format::text && !answers.rendering().in_full) {}

    void begin() {
        if (array_) {
            text_ = "[";
        } else if (table_) {
            text_ = answers_.heading();
        }
    }

    void add(const Answer& answer) {
        if (array_) {
            text_ += first_ ? "\n  " : ",\n  ";
        } else if (!first_ && !table_ && answers_.rendering().format == Format::text &&
                   !answer.out.empty()) {
            text_ += "\n";
        }
        text_ += answer.out;
        if (!array_ && answers_.rendering().format != Format::text) {
            text_ += "\n";
        }
        first_ = false;
        if (!answer.err.empty()) {
            flush(); // so that a diagnostic follows what was answered before it
            err_.write(answer.err);
        } else if (text_.size() > flush_at) {
            flush();
        }
    }

    void end() {
        if (array_) {
            text_ += first_ ? "]\n" : "\n]\n";
        } else if (table_) {
            text_ += answers_.footing();
        }
        flush();
    }

private:
    void flush() {
        out_.write(text_);
        text_.clear();
    }

    const Answers& answers_;
    io::ByteSink& out_;
    io::ByteSink& err_;
    std::string text_;
    bool array_;
    bool table_;
    bool first_ = true;
};

} // namespace

Tally answer_all(io::Framer& framer, const Answers& answers, io::ByteSink& out, io::ByteSink& err) {
    Tally tally;
    std::optional<Stone> defaults;
    if (framer.shape() == io::Shape::tray) {
        Diagnostics diagnostics;
        defaults = io::read_tray(framer.envelope(), answers.file(), diagnostics);
        for (const Diagnostic& diagnostic : diagnostics) {
            err.write(output::diagnostic_text(diagnostic, answers.rendering().err));
        }
        if (!defaults) {
            tally.unreadable = true;
            return tally;
        }
    }
    Document document(framer.shape(), answers, out, err);
    document.begin();
    const auto add = [&](const Answer& answer) {
        document.add(answer);
        ++tally.records;
        tally.refused += answer.refused ? 1 : 0;
        tally.warnings += answer.warnings;
    };
    while (const std::optional<io::Frame> frame = framer.next()) {
        add(answers.answer(*frame, defaults ? &*defaults : nullptr));
    }
    if (defaults && !framer.envelope().tail.empty()) {
        // What stands after the stones of a tray is known only now.
        Diagnostics diagnostics;
        if (!io::read_tray(framer.envelope(), answers.file(), diagnostics)) {
            add(answers.refuse(std::nullopt, diagnostics));
        }
    }
    document.end();
    return tally;
}

} // namespace trayworth::cli
