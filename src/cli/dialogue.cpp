#include "cli/dialogue.hpp"

#include "cli/answers.hpp"
#include "core/nearest.hpp"
#include "io/framer.hpp"
#include "io/record_reader.hpp"
#include "output/safe_text.hpp"
#include "output/text_parts.hpp"
#include "weight/plausible.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

namespace trayworth::cli {
namespace {

constexpr std::string_view help_word = "?";
constexpr std::string_view back_word = "back";
constexpr std::string_view none_word = "none";
constexpr std::string_view leave_out_word = "-";
constexpr std::string_view between = " to ";
constexpr std::size_t margin = 2;

// ---- what is typed

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view blanks = " \t\r";
    const std::size_t begin = text.find_first_not_of(blanks);
    return begin == std::string_view::npos
               ? std::string_view{}
               : text.substr(begin, text.find_last_not_of(blanks) - begin + 1);
}

std::vector<std::string_view> split(std::string_view text, char separator) {
    std::vector<std::string_view> parts;
    while (true) {
        const std::size_t at = text.find(separator);
        parts.push_back(trimmed(text.substr(0, at)));
        if (at == std::string_view::npos) {
            return parts;
        }
        text.remove_prefix(at + 1);
    }
}

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool same_word(std::string_view one, std::string_view other) {
    return std::equal(one.begin(), one.end(), other.begin(), other.end(),
                      [](char a, char b) { return lower(a) == lower(b); });
}

// The word as it is offered, in whatever case it was typed.
const std::string* find_word(std::string_view word, const std::vector<std::string>& known) {
    const auto found = std::find_if(known.begin(), known.end(), [word](const std::string& name) {
        return same_word(word, name);
    });
    return found == known.end() ? nullptr : &*found;
}

// "a to b", or "a-b" where `is_end` knows both, in two; else the whole.
template<class IsEnd>
std::vector<std::string_view> ends_of(std::string_view text, IsEnd is_end) {
    if (is_end(text)) {
        return {text};
    }
    if (const std::size_t at = text.find(between); at != std::string_view::npos) {
        return {trimmed(text.substr(0, at)), trimmed(text.substr(at + between.size()))};
    }
    const std::size_t dash = text.find('-');
    if (dash != std::string_view::npos) {
        const std::string_view low = trimmed(text.substr(0, dash));
        const std::string_view high = trimmed(text.substr(dash + 1));
        if (is_end(low) && is_end(high)) {
            return {low, high};
        }
    }
    return {text};
}

bool is_digits(std::string_view text) {
    return !text.empty() && text.find_first_not_of("0123456789.") == std::string_view::npos;
}

bool begins_a_number(std::string_view text) {
    return !text.empty() &&
           std::string_view("0123456789.+-").find(text.front()) != std::string_view::npos;
}

// A number as it was written, so that the record's reader can say what is wrong with it.
std::string number_json(std::string_view text) {
    const bool raw =
        begins_a_number(text) && text.find_first_of("\"[]{}:/\\") == std::string_view::npos;
    return raw ? std::string(text) : io::json_string(text);
}

std::string bracketed(const std::vector<std::string>& values) {
    return fmt::format("[{}]", fmt::join(values, ", "));
}

std::string one_or_two(const std::vector<std::string>& ends) {
    return ends.size() == 1 ? ends.front() : bracketed(ends);
}

// ---- what is wrong

bool is_at_or_below(std::string_view pointer, std::string_view above) {
    return pointer == above ||
           (pointer.starts_with(above) && pointer.substr(above.size()).starts_with('/'));
}

// What later questions will mend.
bool is_incomplete(const Diagnostic& diagnostic) {
    return diagnostic.code == Code::field_missing ||
           (diagnostic.code == Code::brightness_scale && diagnostic.pointer == "/brightness");
}

bool arises_in(const io::RecordDraft& draft, const Question& question) {
    return question.arises == nullptr || question.arises(draft);
}

io::ReadRecord read_unplaced(const std::string& text, Diagnostics& diagnostics) {
    io::Frame frame;
    frame.text = text;
    io::ReadRecord record = io::read_record(frame, nullptr, "", diagnostics);
    for (Diagnostic& diagnostic : diagnostics) {
        diagnostic.position.reset();
    }
    return record;
}

} // namespace

Diagnostics faults_so_far(const std::string& text) {
    Diagnostics diagnostics;
    read_unplaced(text, diagnostics);
    std::erase_if(diagnostics, is_incomplete);
    return diagnostics;
}

Diagnostics check_record(const std::string& text) {
    Diagnostics diagnostics;
    const io::ReadRecord record = read_unplaced(text, diagnostics);
    if (record.accepted) {
        weight::check_plausible(record.stone, diagnostics);
        check_complete(record.stone, diagnostics);
    }
    return diagnostics;
}

Dialogue::Dialogue(const pricing::Matrix& matrix, io::RecordDraft given, output::TextStyle style)
    : matrix_(matrix), draft_(std::move(given)), style_(style), states_(questions().size()) {
    for (std::size_t i = 0; i < states_.size(); ++i) {
        const std::string_view pointer = questions()[i].pointer;
        states_[i].fixed = draft_.settles(pointer);
        if (states_[i].fixed) {
            states_[i].shown = draft_.at(pointer).value_or("as given");
        }
    }
    go_on();
}

// ---- what is said

std::string Dialogue::said(std::string_view text) const {
    return fmt::format("{:{}}{}\n", "", margin,
                       output::wrapped(text, style_.width - margin, margin));
}

std::string Dialogue::said(const Diagnostic& diagnostic) const {
    return said(diagnostic.message + " " + diagnostic.hint);
}

std::string Dialogue::opening() const {
    return said(
        "A record of one stone, question by question, in the order of a grading sheet. "
        "\"?\" explains, \"back\" goes back, and Enter alone leaves out what the record may "
        "leave out. Before anything is written, you see what you gave. Ctrl-D ends, and "
        "nothing is written.");
}

std::string Dialogue::ask() {
    return (at_end() ? show_given() : ask_question()) + "> ";
}

std::string Dialogue::ask_question() {
    std::string out;
    if (section_ != question().section) {
        section_ = question().section;
        out += output::heading(style_, section_);
    }
    const State& state = states_[at_];
    if (!state.entries.empty()) {
        return out + said(fmt::format("So far: {}. Enter: that is all; back: without the last.",
                                      fmt::join(state.shown_entries, "; ")));
    }
    out += output::paint(style_, output::strong, question().label);
    out += question().needed ? " (needed)\n" : "\n";
    std::string allowed = fmt::format("{}", fmt::join(offered(), ", "));
    allowed += allowed.empty() || question().how.empty() ? "" : "; ";
    out += said(allowed.append(question().how));
    if (!state.shown.empty()) {
        out += said(fmt::format("Now: {}. Enter keeps it{}.", state.shown,
                                question().needed ? "" : ", - leaves it out"));
    }
    return out;
}

std::string Dialogue::show_given() {
    section_ = {};
    std::string out = output::heading(style_, "What was given");
    std::size_t widest = 0;
    for (const Question& each : questions()) {
        widest = std::max(widest, each.label.size());
    }
    for (std::size_t i = 0; i < states_.size(); ++i) {
        if (!arises(i)) {
            continue;
        }
        const std::string& shown = states_[i].shown;
        const std::size_t column = margin + 4 + widest + 2;
        out += fmt::format("{:>4}  {:<{}}{}\n", i + 1, questions()[i].label, widest + 2,
                           shown.empty() ? "-"
                                         : output::wrapped(shown, style_.width - column, column));
    }
    out += "\n";
    for (const Diagnostic& diagnostic : check_record(record())) {
        const bool error = diagnostic.severity == Severity::error;
        out += said(fmt::format("{}: {} {}", error ? "Not yet" : "Warning", diagnostic.message,
                                diagnostic.hint));
    }
    return out + said("Enter writes the record; a number changes that answer; back goes to the "
                      "last question.");
}

std::string Dialogue::help() const {
    if (at_end()) {
        return said("What you gave, by the number of its question. Where something is called "
                    "missing, answer that question; a warning may stand.");
    }
    return said(question().help) + said(question().needed
                                            ? "The value depends on it: it cannot be left out."
                                            : "Enter leaves it out.");
}

// ---- where we are

bool Dialogue::arises(std::size_t index) const {
    return arises_in(draft_, questions()[index]);
}

bool Dialogue::is_list() const {
    const AnswerForm form = question().form;
    return form == AnswerForm::treatments || form == AnswerForm::colours ||
           form == AnswerForm::faults;
}

std::vector<std::string> Dialogue::offered() const {
    return question().words == nullptr ? std::vector<std::string>{} : question().words(matrix_);
}

// To the first question that is still open.
void Dialogue::go_on() {
    at_ = 0;
    while (!at_end() && (states_[at_].passed || states_[at_].fixed || !arises(at_))) {
        ++at_;
    }
}

void Dialogue::pass() {
    states_[at_].passed = true;
    for (std::size_t i = 0; i < states_.size(); ++i) {
        if (!states_[i].fixed && !arises(i)) {
            states_[i] = {};
        }
    }
    go_on();
}

// Takes out the answers to questions that another answer makes idle.
void Dialogue::drop_idle_answers(io::RecordDraft& draft) const {
    for (std::size_t i = 0; i < states_.size(); ++i) {
        if (states_[i].passed && !arises_in(draft, questions()[i]) &&
            draft.at(questions()[i].pointer)) {
            draft.unset(questions()[i].pointer);
        }
    }
}

std::string Dialogue::go_back() {
    if (!at_end() && !states_[at_].entries.empty()) {
        State& state = states_[at_];
        state.entries.pop_back();
        state.shown_entries.pop_back();
        state.shown = fmt::format("{}", fmt::join(state.shown_entries, "; "));
        if (state.entries.empty()) {
            draft_.unset(question().pointer);
        } else {
            draft_.set(question().pointer, bracketed(state.entries));
        }
        return {};
    }
    for (std::size_t i = at_; i > 0; --i) {
        if (states_[i - 1].passed) {
            at_ = i - 1;
            return {};
        }
    }
    return said("This is the first question.");
}

// ---- answers

std::string Dialogue::take(std::string_view line) {
    line = trimmed(line);
    if (!io::text_in_json(line)) {
        return said("That is not UTF-8, which a record is written in.");
    }
    if (line == help_word) {
        return help();
    }
    if (line == back_word) {
        return go_back();
    }
    if (at_end()) {
        return take_at_end(line);
    }
    if (line.empty()) {
        return end_or_keep();
    }
    if (line == leave_out_word) {
        return leave_out();
    }
    if (!question().none.empty() && same_word(line, none_word)) {
        states_[at_].entries.clear();
        states_[at_].shown_entries.clear();
        return put(std::string(question().none), std::string(none_word));
    }
    return is_list() ? take_entries(line) : take_answer(line);
}

std::string Dialogue::take_at_end(std::string_view line) {
    if (line.empty()) {
        finished_ = !has_errors(check_record(record()));
        return finished_ ? "" : said("The record is not complete yet.");
    }
    for (std::size_t i = 0; i < states_.size(); ++i) {
        if (arises(i) && fmt::format("{}", i + 1) == line) {
            at_ = i;
            return {};
        }
    }
    return said(fmt::format("\"{}\" is none of the numbers above.", line));
}

std::string Dialogue::end_or_keep() {
    State& state = states_[at_];
    if (state.shown.empty()) {
        return leave_out();
    }
    pass();
    return {};
}

std::string Dialogue::leave_out() {
    if (question().needed) {
        return said("The value depends on it: it cannot be left out.");
    }
    if (draft_.at(question().pointer)) {
        draft_.unset(question().pointer);
        drop_idle_answers(draft_);
    }
    states_[at_] = {};
    pass();
    return {};
}

std::string Dialogue::take_answer(std::string_view line) {
    const Parsed parsed = parse(line);
    if (!parsed.doubt.empty() && (parsed.json.empty() || doubted_ != line)) {
        doubted_ = line;
        return said(parsed.doubt);
    }
    return put(parsed.json, parsed.shown);
}

std::string Dialogue::take_entries(std::string_view line) {
    State before = states_[at_];
    for (const std::string_view entry : split(line, ';')) {
        if (entry.empty()) {
            continue;
        }
        const Parsed parsed = parse(entry);
        if (!parsed.doubt.empty() && (parsed.json.empty() || doubted_ != line)) {
            doubted_ = line;
            states_[at_] = std::move(before);
            return said(parsed.doubt);
        }
        states_[at_].entries.push_back(parsed.json);
        states_[at_].shown_entries.push_back(parsed.shown);
    }
    const std::size_t here = at_;
    State& state = states_[at_];
    if (state.entries.empty()) { // nothing but semicolons
        return {};
    }
    std::string refused =
        put(bracketed(state.entries), fmt::format("{}", fmt::join(state.shown_entries, "; ")));
    if (!refused.empty()) {
        states_[here] = std::move(before);
        return refused;
    }
    states_[here].passed = before.passed;
    at_ = here; // there may be more of them
    return {};
}

// Into the record, where its reader takes it; an earlier answer that it contradicts is asked again.
std::string Dialogue::put(const std::string& json, const std::string& shown) {
    io::RecordDraft trial = draft_;
    const bool nothing_said = json.empty(); // play-of-colour there is, and its questions follow
    std::optional<Diagnostic> refused;
    if (!nothing_said) {
        refused = trial.set(question().pointer, json);
    } else if (trial.at(question().pointer) == "null") {
        refused = trial.unset(question().pointer);
    }
    drop_idle_answers(trial);
    std::optional<std::size_t> asked_again;
    for (const Diagnostic& fault : faults_so_far(trial.text())) {
        if (refused) {
            break;
        }
        const bool own = fault.code < Code::field_unknown ||
                         is_at_or_below(fault.pointer, question().pointer) ||
                         is_at_or_below(question().pointer, fault.pointer);
        for (std::size_t i = 0; i < states_.size() && !own && !asked_again; ++i) {
            const bool answered = i != at_ && (states_[i].passed || states_[i].fixed);
            if (answered && is_at_or_below(fault.pointer, questions()[i].pointer)) {
                asked_again = i;
            }
        }
        if (own || asked_again) {
            refused = fault;
        }
    }
    if (refused && (!asked_again || !arises_in(trial, questions()[*asked_again]))) {
        return said(*refused);
    }
    draft_ = std::move(trial);
    states_[at_].shown = shown;
    pass();
    if (asked_again) {
        at_ = *asked_again;
        return said(*refused);
    }
    return {};
}

// ---- from a line to JSON

Dialogue::Parsed Dialogue::parse(std::string_view line) const {
    const std::string shown(line);
    if (line.front() == '[' || line.front() == '{' || line.front() == '"') { // JSON is welcome
        if (std::optional<std::string> json = io::json_or_text(line)) {
            return {*json, shown, {}};
        }
    }
    const std::vector<std::string> words = offered();
    switch (question().form) {
    case AnswerForm::text:
        return {io::json_string(line), shown, {}};
    case AnswerForm::word:
    case AnswerForm::treatments:
        return parse_words(line, words, question().open, false);
    case AnswerForm::words:
        return parse_words(line, words, question().open, true);
    case AnswerForm::number:
        return {number_json(line), shown, {}};
    case AnswerForm::numbers: {
        if (const std::string* word = find_word(line, words)) {
            return {io::json_string(*word), *word, {}};
        }
        std::vector<std::string> ends;
        for (const std::string_view end : ends_of(line, is_digits)) {
            ends.push_back(number_json(end));
        }
        return {one_or_two(ends), shown, {}};
    }
    case AnswerForm::yes_no:
    case AnswerForm::play: {
        const bool yes = same_word(line, "yes") || same_word(line, "y");
        if (!yes && !same_word(line, "no") && !same_word(line, "n")) {
            return {{}, {}, "Answer yes or no."};
        }
        if (question().form == AnswerForm::play) {
            return {yes ? "" : "null", yes ? "yes" : "no", {}};
        }
        return {yes ? "true" : "false", yes ? "yes" : "no", {}};
    }
    case AnswerForm::colours:
        return parse_colour(line);
    case AnswerForm::faults:
        return parse_fault(line);
    }
    return {};
}

Dialogue::Parsed Dialogue::parse_words(std::string_view line,
                                       const std::vector<std::string>& known,
                                       bool open,
                                       bool two) const {
    const auto is_known = [&known](std::string_view word) {
        return find_word(word, known) != nullptr;
    };
    Parsed parsed;
    std::vector<std::string> ends;
    for (const std::string_view end :
         two ? ends_of(line, is_known) : std::vector<std::string_view>{line}) {
        const std::string* word = find_word(end, known);
        const std::string kept = word != nullptr ? *word : std::string(end);
        ends.push_back(io::json_string(kept));
        parsed.shown += parsed.shown.empty() ? kept : fmt::format("{}{}", between, kept);
        if (word == nullptr && open) {
            const std::vector<std::string_view> names(known.begin(), known.end());
            const std::optional<std::string_view> near = nearest(end, names);
            parsed.doubt =
                fmt::format("\"{}\" has no price in {}. {}Give it again to keep it all the same.",
                            end, matrix_.name,
                            near ? fmt::format("Did you mean \"{}\"? ", *near)
                                 : fmt::format("Known: {}. ", fmt::join(known, ", ")));
        }
    }
    parsed.json = one_or_two(ends);
    return parsed;
}

Dialogue::Parsed Dialogue::parse_colour(std::string_view line) const {
    std::size_t at = 0; // of the share
    while (at < line.size() && !(line[at] >= '0' && line[at] <= '9') && line[at] != '.') {
        ++at;
    }
    const std::string_view name = trimmed(line.substr(0, at));
    const std::string_view share = line.substr(at);
    if (name.empty() || share.empty()) {
        return {{}, {}, "A colour and its share, a number from 0 to 1, as: blue 0.6"};
    }
    Parsed colour = parse_words(name, offered(), true, false);
    std::vector<std::string> ends;
    for (const std::string_view end : ends_of(share, is_digits)) {
        ends.push_back(number_json(end));
    }
    colour.json = fmt::format("{{\"colour\": {}, \"share\": {}}}", colour.json, one_or_two(ends));
    colour.shown += fmt::format(" {}", share);
    return colour;
}

Dialogue::Parsed Dialogue::parse_fault(std::string_view line) const {
    const std::vector<std::string_view> parts = split(line, ',');
    if (parts.size() != 3 || parts[0].empty() || parts[1].empty() || parts[2].empty()) {
        const std::string* kind = find_word(parts.front(), offered());
        const std::vector<std::string> places =
            kind != nullptr ? place_words(matrix_, *kind) : std::vector<std::string>{};
        return {{},
                {},
                places.empty()
                    ? "A kind, a place and a severity, with commas, as: potch line, face, minor"
                    : fmt::format("A place and a severity too. Places of \"{0}\": {1}; there: {2}.",
                                  *kind, fmt::join(places, ", "),
                                  fmt::join(severity_words(matrix_, *kind, places.front()), ", "))};
    }
    const auto word_of = [](const std::vector<std::string>& known, std::string_view word) {
        const std::string* found = find_word(word, known);
        return found != nullptr ? *found : std::string(word);
    };
    const std::string kind = word_of(offered(), parts[0]);
    const std::vector<std::string> places = place_words(matrix_, kind);
    const std::string place = word_of(places, parts[1]);
    Parsed fault = parse_words(kind, offered(), true, false);
    const Parsed where = parse_words(place, places, fault.doubt.empty(), false);
    const Parsed how_bad = parse_words(parts[2], severity_words(matrix_, kind, place),
                                       fault.doubt.empty() && where.doubt.empty(), true);
    fault.json = fmt::format("{{\"kind\": {}, \"place\": {}, \"severity\": {}}}", fault.json,
                             where.json, how_bad.json);
    fault.shown += fmt::format(", {}, {}", where.shown, how_bad.shown);
    fault.doubt += where.doubt + how_bad.doubt;
    return fault;
}

} // namespace trayworth::cli
