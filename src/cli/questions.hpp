// What `record new` asks, as data: one table, in the order in which a grader works.
#pragma once

#include "io/record_draft.hpp"
#include "pricing/matrix.hpp"

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::cli {

// How an answer is written.
enum class AnswerForm : std::uint8_t {
    text,       // as it is typed
    word,       // one of the words that are offered
    words,      // one, or "one to another"
    number,     // one number
    numbers,    // one, or "low to high"
    yes_no,     // true or false
    play,       // yes, or no, which is null
    treatments, // these three are asked for until a line is empty: words;
    colours,    // a colour and its share;
    faults,     // kind, place, severity
};

struct Question {
    std::string_view section; // of the grading sheet
    std::string_view pointer; // of the field, from the record's root
    std::string_view label;
    std::string_view how; // what is allowed, beside the words that are offered
    std::string_view help;
    AnswerForm form = AnswerForm::text;
    bool needed = false;        // valuing asks for it
    std::string_view none = {}; // JSON for the answer "none", where that says something
    // The words that are offered. Those of the program's own scales are all there are; the others
    // are those of the matrix, which may lack a word that the grader needs.
    std::vector<std::string> (*words)(const pricing::Matrix& matrix) = nullptr;
    bool open = false;
    // Whether the question arises, after what was answered. Without it, always.
    bool (*arises)(const io::RecordDraft& draft) = nullptr;
};

std::span<const Question> questions();

// Words of the matrix: of colours, of faults, of the places of a fault, of its severities there.
std::vector<std::string> colour_words(const pricing::Matrix& matrix);
std::vector<std::string> fault_words(const pricing::Matrix& matrix);
std::vector<std::string> place_words(const pricing::Matrix& matrix, std::string_view kind);
std::vector<std::string>
severity_words(const pricing::Matrix& matrix, std::string_view kind, std::string_view place);

} // namespace trayworth::cli
