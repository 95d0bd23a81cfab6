#include "cli/stream.hpp"

#include "cli/workers.hpp"
#include "io/record_reader.hpp"
#include "output/html_page.hpp"
#include "output/html_tray.hpp"
#include "output/json.hpp"
#include "output/text.hpp"
#include "output/tray_text.hpp"
#include "valuation/total.hpp"

#include <string>
#include <utility>
#include <vector>

namespace trayworth::cli {
namespace {

constexpr std::size_t flush_at = 65536;
// A tray of so many rows is laid out as a table; a longer one is written as it comes.
constexpr std::size_t most_rows_laid_out = 10000;

// Puts answers together into one document of the format asked for.
class Document {
public:
    Document(io::Shape shape,
             const Answers& answers,
             const StreamOptions& options,
             io::ByteSink& out,
             io::ByteSink& err)
        : answers_(answers), options_(options), several_(shape != io::Shape::single),
          format_(answers.rendering().format), out_(out), err_(err),
          array_(format_ == Format::json &&
                 (shape == io::Shape::tray || shape == io::Shape::array)),
          by_rows_(format_ == Format::text && !answers.rendering().in_full &&
                   answers.request() != nullptr) {
        if (by_rows_ || format_ == Format::html) {
            table_.emplace(answers.request()->matrix, answers.request()->level);
        }
    }

    void begin() {
        if (array_) {
            text_ = "[";
        } else if (format_ == Format::csv) {
            text_ = answers_.header();
        } else if (format_ == Format::html) {
            const valuation::Request& request = *answers_.request();
            text_ = output::html_top(request.matrix, request.level.name, several_);
        }
    }

    void add(Answer answer) {
        if (options_.faults != nullptr && !answer.faults.empty()) {
            options_.faults->write(answer.faults);
        }
        if (!answer.err.empty()) {
            flush(); // so that a diagnostic follows what was answered before it
            err_.write(answer.err);
        }
        ++number_;
        if (answer.left_out) {
            ++left_out_;
            if (table_) {
                table_->leave_out();
            }
            return;
        }
        if (answer.share) {
            sum(*answer.share);
        }
        if (options_.total_only) {
            return;
        }
        if (format_ == Format::html) {
            add_article(std::move(answer));
        } else if (by_rows_) {
            add_row(std::move(answer.share->row));
        } else {
            write(answer.out);
        }
    }

    void end() {
        if (array_) {
            text_ += first_ ? "]\n" : "\n]\n";
        } else if (options_.total_only) {
            text_ = total();
        } else if (format_ == Format::html) {
            end_page();
        } else if (table_) {
            table_->sort(options_.order);
            const valuation::Total all = sum_total();
            text_ += table_->text(all.stones > 0 ? std::optional(all) : std::nullopt,
                                  answers_.rendering().out);
        } else if (by_rows_) {
            text_ += "\n" + total_sentences() +
                     output::tray_footing(answers_.request()->matrix, answers_.rendering().out);
        }
        flush();
    }

private:
    void sum(const Share& share) {
        if (share.row.refused) {
            ++refused_;
        } else {
            sum_.add(share.likely, share.effects, share.outer);
        }
    }

    void add_article(Answer answer) {
        text_ += output::html_article(number_, answer.out);
        flush_when_full();
        if (!table_) {
            return;
        }
        if (table_->rows().size() == most_rows_laid_out) {
            table_.reset();
            return;
        }
        answer.share->row.number = number_;
        table_->add(std::move(answer.share->row));
    }

    void end_page() {
        const pricing::Matrix& matrix = answers_.request()->matrix;
        if (several_) {
            output::TraySummary tray{
                .total = sum_total(), .refused = refused_, .left_out = left_out_};
            if (table_) {
                table_->sort(options_.order);
                tray.rows = &table_->rows();
            }
            text_ += output::html_tray(tray, matrix);
        }
        text_ += output::html_bottom(matrix);
    }

    void add_row(output::TrayRow row) {
        const bool sorted = options_.order.key != valuation::SortKey::as_given;
        if (table_ && !sorted && table_->rows().size() == most_rows_laid_out) {
            const valuation::Request& request = *answers_.request();
            text_ += output::tray_heading(request.matrix, request.level, answers_.rendering().out);
            for (const output::TrayRow& waiting : table_->rows()) {
                write_line(waiting);
            }
            table_.reset();
        }
        if (table_) {
            table_->add(std::move(row));
        } else {
            write_line(row);
        }
    }

    void write_line(const output::TrayRow& row) {
        text_ += output::tray_line(row, answers_.request()->matrix, answers_.rendering().out);
        flush_when_full();
    }

    void write(const std::string& answer) {
        if (array_) {
            text_ += first_ ? "\n  " : ",\n  ";
        } else if (!first_ && format_ == Format::text && !answer.empty()) {
            text_ += "\n";
        }
        text_ += answer;
        if (!array_ && (format_ == Format::json || format_ == Format::ndjson)) {
            text_ += "\n";
        }
        first_ = false;
        flush_when_full();
    }

    void flush_when_full() {
        if (text_.size() > flush_at) {
            flush();
        }
    }

    [[nodiscard]] valuation::Total sum_total() const {
        return sum_.total(answers_.request()->matrix.coverage_factor);
    }

    [[nodiscard]] std::string total_sentences() const {
        return output::total_text(sum_total(), refused_, answers_.request()->matrix,
                                  answers_.rendering().out);
    }

    [[nodiscard]] std::string total() const {
        if (*options_.total_only == Format::text) {
            return total_sentences();
        }
        std::string text;
        output::JsonWriter json(text, *options_.total_only == Format::json
                                          ? output::Layout::pretty
                                          : output::Layout::compact);
        const valuation::Request& request = *answers_.request();
        output::write_total(json, sum_total(), refused_, request.matrix, request.level);
        return text + "\n";
    }

    void flush() {
        if (text_.empty()) {
            return;
        }
        if (options_.progress != nullptr) {
            options_.progress->clear();
        }
        out_.write(text_);
        text_.clear();
    }

    const Answers& answers_;
    const StreamOptions& options_;
    bool several_; // more than one stone may come
    Format format_;
    io::ByteSink& out_;
    io::ByteSink& err_;
    std::string text_;
    bool array_;
    bool by_rows_;                           // a line a stone, in text
    std::optional<output::TrayTable> table_; // until there are too many rows for one
    valuation::TrayTotal sum_;
    std::size_t refused_ = 0;
    std::size_t left_out_ = 0;
    std::size_t number_ = 0; // of the record at hand, from 1
    bool first_ = true;
};

// Frames with a copy of their text, so that they outlive the framer's buffer.
class Batch {
public:
    void add(const io::Frame& frame) {
        items_.push_back({frame, text_.size()});
        text_ += frame.before;
        text_ += frame.text;
    }
    [[nodiscard]] bool is_full() const {
        return text_.size() >= full || items_.size() >= most_items;
    }

    [[nodiscard]] std::vector<Answer> answered(const Answers& answers,
                                               const Stone* defaults) const {
        std::vector<Answer> found;
        found.reserve(items_.size());
        const std::string_view text(text_);
        for (const Item& item : items_) {
            io::Frame frame = item.frame;
            frame.before = text.substr(item.begin, frame.before.size());
            frame.text = text.substr(item.begin + frame.before.size(), frame.text.size());
            found.push_back(answers.answer(frame, defaults));
        }
        return found;
    }

private:
    static constexpr std::size_t full = std::size_t{256} * 1024;
    static constexpr std::size_t most_items = 1024; // however short, or without a text

    struct Item {
        io::Frame frame; // whose texts are gone, but for their lengths
        std::size_t begin = 0;
    };
    std::string text_;
    std::vector<Item> items_;
};

// Reads, answers and writes; keeps the tally.
class Stream {
public:
    Stream(io::Framer& framer,
           const Answers& answers,
           const Stone* defaults,
           const StreamOptions& options,
           Document& document,
           Tally& tally)
        : framer_(framer), answers_(answers), defaults_(defaults), options_(options),
          document_(document), tally_(tally) {}

    void run() {
        if (options_.jobs <= 1) {
            while (!stopped_) {
                const std::optional<io::Frame> frame = framer_.next();
                if (!frame) {
                    return;
                }
                bytes_ += frame->text.size();
                add(answers_.answer(*frame, defaults_));
            }
            return;
        }
        run_on_threads();
    }

    void add(Answer answer) {
        ++tally_.records;
        tally_.refused += answer.refused ? 1 : 0;
        tally_.warned += answer.warnings > 0 ? 1 : 0;
        tally_.warnings += answer.warnings;
        stopped_ = options_.fail_fast && answer.refused;
        document_.add(std::move(answer));
        if (options_.progress != nullptr && tally_.records % records_between_looks == 0) {
            options_.progress->update(tally_.records, bytes_);
        }
    }

    [[nodiscard]] bool stopped() const { return stopped_; }

private:
    static constexpr std::size_t records_between_looks = 256;

    // Threads are started only once there is more than one batch of work.
    void run_on_threads() {
        std::optional<Workers<std::vector<Answer>>> workers;
        bool more = true;
        while (more && !stopped_) {
            Batch batch;
            more = fill(batch);
            if (!workers && !more) {
                add_all(batch.answered(answers_, defaults_));
                return;
            }
            if (!workers) {
                workers.emplace(options_.jobs);
            }
            workers->submit(
                [this, work = std::move(batch)] { return work.answered(answers_, defaults_); });
            while (!stopped_ && workers->outstanding() > (more ? 2 * options_.jobs : 0)) {
                add_all(workers->take());
            }
        }
    }

    bool fill(Batch& batch) {
        while (!batch.is_full()) {
            const std::optional<io::Frame> frame = framer_.next();
            if (!frame) {
                return false;
            }
            bytes_ += frame->text.size();
            batch.add(*frame);
        }
        return true;
    }

    void add_all(std::vector<Answer> found) {
        for (Answer& answer : found) {
            if (stopped_) {
                return;
            }
            add(std::move(answer));
        }
    }

    io::Framer& framer_;
    const Answers& answers_;
    const Stone* defaults_;
    const StreamOptions& options_;
    Document& document_;
    Tally& tally_;
    std::size_t bytes_ = 0;
    bool stopped_ = false;
};

} // namespace

Tally answer_all(io::Framer& framer,
                 const Answers& answers,
                 const StreamOptions& options,
                 io::ByteSink& out,
                 io::ByteSink& err) {
    Tally tally;
    std::optional<Stone> defaults;
    if (framer.shape() == io::Shape::tray) {
        Diagnostics diagnostics;
        defaults = io::read_tray(framer.envelope(), answers.file(), diagnostics);
        if (!diagnostics.empty()) {
            err.write(answers.told(diagnostics));
        }
        if (options.faults != nullptr && !diagnostics.empty()) {
            options.faults->write(output::diagnostic_lines(diagnostics));
        }
        if (!defaults) {
            tally.unreadable = true;
            return tally;
        }
    }
    Document document(framer.shape(), answers, options, out, err);
    document.begin();
    Stream stream(framer, answers, defaults ? &*defaults : nullptr, options, document, tally);
    stream.run();
    if (defaults && !stream.stopped() && !framer.envelope().tail.empty()) {
        // What stands after the stones of a tray is known only now.
        Diagnostics diagnostics;
        if (!io::read_tray(framer.envelope(), answers.file(), diagnostics)) {
            stream.add(answers.refuse(std::nullopt, diagnostics));
        }
    }
    document.end();
    return tally;
}

} // namespace trayworth::cli
