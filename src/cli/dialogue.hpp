// The questions of a grading sheet, asked and answered. Text in, text out: where it comes from and
// goes to is the caller's business.
#pragma once

#include "cli/questions.hpp"
#include "core/diagnostic.hpp"
#include "io/record_draft.hpp"
#include "output/text_style.hpp"
#include "pricing/matrix.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::cli {

// What is wrong with a record as far as it goes; that more is to come is not. Without places, as
// below.
Diagnostics faults_so_far(const std::string& text);

// Reads a record and checks that it states what valuing asks for. What is wrong, missing or odd,
// with its pointer and without a place: the record was written by nobody.
Diagnostics check_record(const std::string& text);

class Dialogue {
public:
    // What `given` states is not asked. The words that are offered are those of the matrix, which
    // has to outlive the dialogue.
    Dialogue(const pricing::Matrix& matrix, io::RecordDraft given, output::TextStyle style);

    [[nodiscard]] std::string opening() const;
    // The question that stands, or what was given, ending with what an answer is typed behind.
    std::string ask();
    // Takes a line, without its line break. Returns what there is to say of it.
    std::string take(std::string_view line);
    // Whether what was given was looked at and found good.
    [[nodiscard]] bool finished() const { return finished_; }
    [[nodiscard]] std::string record() const { return draft_.text(); }

private:
    struct State {
        bool passed = false;              // answered or left out
        bool fixed = false;               // given before the first question
        std::string shown;                // the answer as a person reads it
        std::vector<std::string> entries; // of a list: as JSON, and as a person reads them
        std::vector<std::string> shown_entries;
    };
    struct Parsed {
        std::string json;
        std::string shown;
        std::string doubt; // why it is not taken, or not at once
    };

    [[nodiscard]] const Question& question() const { return questions()[at_]; }
    [[nodiscard]] bool at_end() const { return at_ == questions().size(); }
    [[nodiscard]] bool arises(std::size_t index) const;
    [[nodiscard]] bool is_list() const;
    [[nodiscard]] std::vector<std::string> offered() const;
    [[nodiscard]] std::string said(std::string_view text) const;
    [[nodiscard]] std::string said(const Diagnostic& diagnostic) const;

    std::string ask_question();
    std::string show_given();
    std::string help() const;
    std::string take_at_end(std::string_view line);
    std::string take_answer(std::string_view line);
    std::string take_entries(std::string_view line);
    std::string end_or_keep();
    std::string leave_out();
    std::string go_back();
    std::string put(const std::string& json, const std::string& shown);
    void pass();
    void go_on();
    void drop_idle_answers(io::RecordDraft& draft) const;

    [[nodiscard]] Parsed parse(std::string_view line) const;
    [[nodiscard]] Parsed parse_words(std::string_view line,
                                     const std::vector<std::string>& known,
                                     bool open,
                                     bool two) const;
    [[nodiscard]] Parsed parse_colour(std::string_view line) const;
    [[nodiscard]] Parsed parse_fault(std::string_view line) const;

    const pricing::Matrix& matrix_;
    io::RecordDraft draft_;
    output::TextStyle style_;
    std::vector<State> states_;
    std::size_t at_ = 0;
    std::string_view section_; // whose heading stands above
    std::string doubted_;      // the answer that was doubted last: given again, it is meant
    bool finished_ = false;
};

} // namespace trayworth::cli
