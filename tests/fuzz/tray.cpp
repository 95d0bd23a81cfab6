// A document of any shape through the framer: the same frames however the bytes come, all of the
// text in them, and the tray's defaults.
#include "io/locate.hpp"
#include "io/record_reader.hpp"
#include "support.hpp"

#include <algorithm>

namespace {

using namespace trayworth;

constexpr std::size_t most_pieces = 12;

bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

// Where the frame begins, not before `from`.
std::size_t offset_of(const fuzz::KeptFrame& frame, std::string_view text, std::size_t from) {
    std::size_t at = text.find(frame.text, from);
    for (; at != std::string_view::npos; at = text.find(frame.text, at + 1)) {
        const Position place = io::position_at(text, at);
        if (place.line == frame.origin.line && place.column == frame.origin.column) {
            break;
        }
    }
    return at;
}

// Where the frames stand in the text, in their order; what is between them is at most what an
// array needs, or is reported.
void expect_nothing_lost(const fuzz::Framed& found, std::string_view text) {
    if (text.starts_with("\xEF\xBB\xBF")) {
        text.remove_prefix(3);
    }
    const bool elements = found.shape == io::Shape::array || found.shape == io::Shape::tray;
    std::size_t at = found.shape == io::Shape::tray
                         ? text.find(found.envelope.head) + found.envelope.head.size()
                         : 0;
    for (const fuzz::KeptFrame& frame : found.frames) {
        const std::size_t begin = offset_of(frame, text, at);
        fuzz::expect(begin != std::string_view::npos, "a frame out of its place", frame.text);
        const std::string_view between = text.substr(at, begin - at);
        const std::string_view allowed = !elements      ? " \t\r\n"
                                         : frame.broken ? " \t\r\n,[]"
                                                        : " \t\r\n,[";
        fuzz::expect(between.find_first_not_of(allowed) == std::string_view::npos,
                     "text between two frames is lost", between);
        if (!frame.broken) {
            at = begin + frame.text.size();
        } else {
            at = begin; // reported, and read on from there
        }
    }
    std::string_view rest = text.substr(at);
    if (found.shape == io::Shape::single || found.shape == io::Shape::lines) {
        fuzz::expect(std::all_of(rest.begin(), rest.end(), is_blank), "the end is lost", rest);
    } else if (found.shape == io::Shape::array) {
        const bool told = !found.frames.empty() && found.frames.back().broken.has_value();
        const std::size_t last = rest.find_last_not_of(" \t\r\n");
        fuzz::expect(told || rest.find_first_not_of(" \t\r\n[") == last, "the end is lost", rest);
    } else {
        const bool told = !found.frames.empty() && found.frames.back().broken.has_value();
        fuzz::expect(told || rest.ends_with(found.envelope.tail), "the tail is lost", rest);
    }
}

void expect_records_sound(const fuzz::Framed& found, std::string_view text) {
    Diagnostics diagnostics;
    std::optional<Stone> defaults;
    if (found.shape == io::Shape::tray) {
        defaults = io::read_tray(found.envelope, fuzz::file_name, diagnostics);
        fuzz::expect(defaults.has_value() == diagnostics.empty(), "defaults and no defaults");
        fuzz::expect_sound(diagnostics, text);
    }
    for (const fuzz::KeptFrame& frame : found.frames) {
        const std::size_t from = diagnostics.size();
        const io::ReadRecord record = io::read_record(
            frame.frame(), defaults ? &*defaults : nullptr, fuzz::file_name, diagnostics);
        fuzz::expect(record.accepted == (diagnostics.size() == from), "accepted and refused");
        fuzz::expect(!frame.broken || !record.accepted, "a broken frame is accepted");
        fuzz::expect_sound(diagnostics, text, from);
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text = fuzz::text_of(data, size);
    const fuzz::Framed whole = fuzz::framed(text, false);
    for (const std::size_t pieces : {std::size_t{3}, std::min(most_pieces, size + 1)}) {
        fuzz::expect_same(whole, fuzz::framed(text, false, pieces));
    }
    if (whole.refused.empty()) {
        expect_nothing_lost(whole, text);
        expect_records_sound(whole, text);
    }
    return 0;
}
