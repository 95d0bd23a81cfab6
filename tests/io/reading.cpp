#include "io/reading.hpp"

#include "io/record_reader.hpp"
#include "output/diagnostic_text.hpp"
#include "output/text.hpp"

#include <stdexcept>

namespace trayworth::test {
namespace {

void add_below(const nlohmann::ordered_json& value,
               const std::string& pointer,
               std::vector<std::string>& all) {
    const auto add = [&](const std::string& token, const nlohmann::ordered_json& member) {
        const std::string below = pointer + "/" + token;
        all.push_back(below);
        add_below(member, below, all);
    };
    if (value.is_object()) {
        for (const auto& [key, member] : value.items()) {
            if (!key.starts_with("x-")) {
                add(pointer_token(key), member);
            }
        }
    } else if (value.is_array()) {
        for (std::size_t i = 0; i < value.size(); ++i) {
            add(std::to_string(i), value[i]);
        }
    }
}

} // namespace

std::vector<Read> read_all_records(const std::string& text, bool by_lines) {
    MemorySource source(text);
    io::Framer framer(source, by_lines ? io::Form::lines : io::Form::any);
    std::optional<Stone> defaults;
    if (framer.shape() == io::Shape::tray) {
        Read tray;
        defaults = io::read_tray(framer.envelope(), "tray.json", tray.diagnostics);
        if (!defaults) {
            return {tray};
        }
    }
    std::vector<Read> all;
    while (const std::optional<io::Frame> frame = framer.next()) {
        Read read;
        if (frame->broken) {
            read.diagnostics.push_back(*frame->broken);
        } else {
            io::ReadRecord record = io::read_record(*frame, defaults ? &*defaults : nullptr,
                                                    "stone.json", read.diagnostics);
            read.stone = std::move(record.stone);
            read.accepted = record.accepted;
        }
        all.push_back(std::move(read));
    }
    return all;
}

Read read_one(const std::string& text) {
    std::vector<Read> all = read_all_records(text);
    if (all.size() != 1) {
        throw std::logic_error("the text does not hold one record: " + text);
    }
    return std::move(all.front());
}

std::string rendered(const Diagnostics& diagnostics) {
    std::string text;
    for (const Diagnostic& diagnostic : diagnostics) {
        text += output::diagnostic_text(diagnostic, {80, false, true});
    }
    return text;
}

std::string with(std::string_view text, std::string_view from, std::string_view to) {
    const std::size_t at = text.find(from);
    if (at == std::string_view::npos || text.find(from, at + 1) != std::string_view::npos) {
        throw std::logic_error("not there exactly once: " + std::string(from));
    }
    std::string changed(text);
    return changed.replace(at, from.size(), to);
}

std::vector<std::string> pointers_of(const nlohmann::ordered_json& document) {
    std::vector<std::string> all;
    add_below(document, "", all);
    return all;
}

const std::string_view ordinary_record = R"({
  "format": "trayworth/stone/1",
  "id": "B-014",
  "type": "solid",
  "treatments": ["smoke"],
  "body_tone": ["N3", "N4"],
  "body_hue": "honey",
  "transparency": ["transparent", "translucent"],
  "hydrophane": false,
  "brightness": {"grade": [2.5, 3], "steps": 5, "brightest": 5},
  "play_of_colour": {
    "colours": [{"colour": "green", "share": 0.6}, {"colour": "blue", "share": [0.3, 0.5]}],
    "pattern": ["flash", "broad flash"],
    "coverage": [0.9, 0.95],
    "directionality": "slight"
  },
  "faults": [{"kind": "potch line", "place": "back", "severity": ["minor", "moderate"]}],
  "cut": {"outline": "oval", "dome": ["low", "medium"], "back": "flat", "polish": "good",
    "area_mm2": 93.10},
  "dimensions_mm": {
    "length": 12.10, "width": {"value": 9.9, "uncertainty": 0.03}, "depth": [4.3, 4.5],
    "wall": 1, "dome": {"value": [2.9, 3.1]}, "back": 0.4, "uncertainty": 0.02
  },
  "weight_ct": {"value": 3.61, "uncertainty": 0.005},
  "density": [2.06, 2.14],
  "mounted": true,
  "cost": {"amount": 140.50, "currency": "AUD", "note": "a gift"},
  "notes": "no notes",
  "x-own": {"a": [1, "two"]}
})";

} // namespace trayworth::test
