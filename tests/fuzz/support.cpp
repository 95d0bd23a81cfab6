#include "support.hpp"

#include "output/diagnostic_text.hpp"
#include "output/json.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <iostream>
#include <set>

namespace trayworth::fuzz {
namespace {

using nlohmann::json;

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

std::size_t characters_in(std::string_view text) {
    const auto begins = [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; };
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), begins));
}

// Line number `number` (from 1), without its line feed; nothing when there are not so many.
std::optional<std::string_view> line_of(std::string_view text, std::size_t number) {
    for (std::size_t line = 1; line < number; ++line) {
        const std::size_t feed = text.find('\n');
        if (feed == std::string_view::npos) {
            return std::nullopt;
        }
        text.remove_prefix(feed + 1);
    }
    return text.substr(0, text.find('\n'));
}

// Whether the source line of the diagnostic is that of the file, with its caret in its column.
bool caret_in_column(const Diagnostic& diagnostic, std::string_view line, bool first) {
    if (first && line.substr(0, byte_order_mark.size()) == byte_order_mark) {
        line.remove_prefix(byte_order_mark.size());
    }
    std::size_t at = line.find(diagnostic.source_line);
    while (at != std::string_view::npos) {
        if (characters_in(line.substr(0, at + diagnostic.caret)) + 1 ==
            diagnostic.position->column) {
            return true;
        }
        at = line.find(diagnostic.source_line, at + 1);
    }
    return false;
}

void expect_placed(const Diagnostic& diagnostic, std::string_view text) {
    expect(diagnostic.position.has_value(), "a diagnostic without a position", diagnostic.message);
    const std::optional<std::string_view> line = line_of(text, diagnostic.position->line);
    expect(line.has_value(), "a diagnostic in a line that is not there", diagnostic.message);
    expect(diagnostic.caret <= diagnostic.source_line.size(), "a caret beyond its line",
           diagnostic.message);
    const bool cut = line->find(diagnostic.source_line) == std::string_view::npos;
    expect(cut || caret_in_column(diagnostic, *line, diagnostic.position->line == 1),
           "a caret that is not in its column", diagnostic.message);
}

void expect_pointer(std::string_view pointer) {
    expect(pointer.empty() || pointer.front() == '/', "no JSON Pointer", pointer);
    for (std::size_t at = pointer.find('~'); at != std::string_view::npos;
         at = pointer.find('~', at + 1)) {
        const std::string_view escape = pointer.substr(at + 1, 1);
        expect(escape == "0" || escape == "1", "no JSON Pointer", pointer);
    }
}

void expect_shown(const Diagnostic& diagnostic) {
    expect_plain(output::diagnostic_text(diagnostic, {80, false}));
    std::string written;
    output::JsonWriter writer(written, output::Layout::compact);
    output::write_diagnostic(writer, diagnostic);
    const json read = parsed(written);
    expect(read.at("code") == name_of(diagnostic.code) &&
               read.at("line") == diagnostic.position->line &&
               read.at("column") == diagnostic.position->column &&
               !read.at("message").get_ref<const std::string&>().empty(),
           "a diagnostic that reads back as another", written);
}

void expect_same(const std::optional<Diagnostic>& a, const std::optional<Diagnostic>& b) {
    expect(a.has_value() == b.has_value(), "broken in one framing alone");
    if (a) {
        expect(a->message == b->message && a->pointer == b->pointer && a->hint == b->hint &&
                   a->position->line == b->position->line &&
                   a->position->column == b->position->column && a->source_line == b->source_line &&
                   a->caret == b->caret,
               "broken in another way", a->message);
    }
}

bool same(const Position& a, const Position& b) {
    return a.line == b.line && a.column == b.column;
}

// Refuses a key that stands twice in one object, which json::parse() does not.
class KeyCheck {
public:
    bool operator()(int /*depth*/, json::parse_event_t event, json& value) {
        if (event == json::parse_event_t::object_start) {
            open_.emplace_back();
        } else if (event == json::parse_event_t::object_end) {
            open_.pop_back();
        } else if (event == json::parse_event_t::key) {
            expect(open_.back().insert(value.get<std::string>()).second, "a key written twice",
                   value.get<std::string>());
        }
        return true;
    }

private:
    std::vector<std::set<std::string>> open_;
};

} // namespace

void expect(bool holds, std::string_view otherwise) {
    if (!holds) {
        std::cerr << "does not hold: " << otherwise << std::endl;
        std::abort();
    }
}

void expect(bool holds, std::string_view otherwise, std::string_view shown) {
    if (!holds) {
        std::cerr << "does not hold: " << otherwise << "\n--- about ---\n"
                  << shown << "\n---" << std::endl;
        std::abort();
    }
}

std::size_t PiecewiseSource::read(char* data, std::size_t size) {
    constexpr std::array<std::size_t, 5> parts{1, 3, 2, 5, 4}; // of what is a piece, in quarters
    const std::size_t wanted = 1 + piece_ * parts[reads_++ % parts.size()] / 4;
    const std::size_t got = text_.copy(data, std::min(size, wanted), at_);
    at_ += got;
    return got;
}

Framed framed(std::string_view text, bool by_lines, std::size_t pieces) {
    PiecewiseSource source(text, pieces);
    Framed found;
    try {
        io::Framer framer(source, by_lines ? io::Form::lines : io::Form::any);
        found.shape = framer.shape();
        while (const std::optional<io::Frame> frame = framer.next()) {
            found.frames.push_back({std::string(frame->text), std::string(frame->before),
                                    frame->pointer, frame->origin, frame->broken});
        }
        found.envelope = framer.envelope();
    } catch (const io::FileError& error) {
        found.refused = error.what();
        expect(!found.refused.empty(), "refused without a sentence");
    }
    return found;
}

void expect_same(const Framed& a, const Framed& b) {
    expect(a.shape == b.shape, "another shape");
    expect(a.refused == b.refused, "refused otherwise", a.refused);
    expect(a.frames.size() == b.frames.size(), "another number of frames");
    for (std::size_t i = 0; i < a.frames.size(); ++i) {
        expect(a.frames[i].text == b.frames[i].text, "another frame", a.frames[i].text);
        expect(a.frames[i].before == b.frames[i].before, "another start", a.frames[i].before);
        expect(a.frames[i].pointer == b.frames[i].pointer, "another pointer", a.frames[i].pointer);
        expect(same(a.frames[i].origin, b.frames[i].origin), "another origin", a.frames[i].text);
        expect_same(a.frames[i].broken, b.frames[i].broken);
    }
    expect(a.envelope.head == b.envelope.head, "another head", a.envelope.head);
    expect(a.envelope.tail == b.envelope.tail, "another tail", a.envelope.tail);
    expect(same(a.envelope.head_origin, b.envelope.head_origin), "another origin of the head");
    expect(same(a.envelope.tail_origin, b.envelope.tail_origin), "another origin of the tail");
}

void expect_sound(const Diagnostics& diagnostics, std::string_view text, std::size_t from) {
    for (std::size_t i = from; i < diagnostics.size(); ++i) {
        const Diagnostic& diagnostic = diagnostics[i];
        expect(!diagnostic.message.empty(), "a diagnostic without a message");
        expect(!diagnostic.hint.empty(), "a diagnostic without a mend", diagnostic.message);
        expect(diagnostic.file == file_name, "a diagnostic of another file", diagnostic.message);
        expect_pointer(diagnostic.pointer);
        expect_placed(diagnostic, text);
        expect_shown(diagnostic);
    }
}

void expect_plain(std::string_view shown) {
    for (std::size_t i = 0; i < shown.size(); ++i) {
        const auto byte = [&](std::size_t at) {
            return at < shown.size() ? static_cast<unsigned char>(shown[at]) : 0U;
        };
        const unsigned first = byte(i);
        const unsigned second = byte(i + 1);
        const unsigned third = byte(i + 2);
        const bool acts =
            (first < 0x20 && first != '\n') || first == 0x7F || // C0
            (first == 0xC2 && second < 0xA0) ||                 // C1
            (first == 0xD8 && second == 0x9C) ||                // U+061C
            (first == 0xE2 && second == 0x80 &&                 // U+200E, U+200F
             (third == 0x8E || third == 0x8F ||                 //
              (third >= 0xA8 && third <= 0xAE))) ||             // U+2028 to U+202E
            (first == 0xE2 && second == 0x81 && third >= 0xA6 && third <= 0xA9) || // U+2066 to 2069
            (first == 0xEF && second == 0xBB && third == 0xBF);                    // U+FEFF
        expect(!acts, "a character that acts on the terminal", shown);
    }
    try {
        static_cast<void>(json(shown).dump());
    } catch (const json::exception&) {
        expect(false, "no UTF-8 for the terminal", shown);
    }
}

json parsed(std::string_view text) {
    try {
        return json::parse(text, KeyCheck());
    } catch (const json::exception& error) {
        expect(false, error.what(), text);
    }
    return {};
}

} // namespace trayworth::fuzz
