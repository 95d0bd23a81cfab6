// One record through the reader: what it accepts is JSON, holds what the text says and is the same
// again on top of itself.
#include "io/locate.hpp"
#include "io/record_reader.hpp"
#include "output/json.hpp"
#include "support.hpp"
#include "valued.hpp"

#include <array>
#include <cmath>

namespace {

using namespace trayworth;
using nlohmann::json;

void expect_reading(const std::optional<Reading>& reading) {
    if (reading) {
        const Uncertain found = reading->uncertain();
        fuzz::expect(reading->low > 0 && reading->low <= reading->high &&
                         std::isfinite(reading->high) && std::isfinite(found.u) && found.u >= 0 &&
                         std::isfinite(reading->resolution),
                     "a reading that is none");
    }
}

template<class T>
void expect_range(const std::optional<Range<T>>& range, T least, T most) {
    if (range) {
        fuzz::expect(least <= range->low && range->low <= range->high && range->high <= most,
                     "a range beyond its scale");
    }
}

void expect_within_scales(const Stone& stone) {
    const Dimensions& mm = stone.dimensions_mm;
    for (const auto& reading : {mm.length, mm.width, mm.depth, mm.wall, mm.dome, mm.back,
                                stone.weight_ct, stone.density, stone.cut.area_mm2}) {
        expect_reading(reading);
    }
    expect_range(stone.body_tone, 1, 9);
    expect_range(stone.transparency, Transparency::transparent, Transparency::opaque);
    if (stone.brightness && stone.brightness->grade) {
        fuzz::expect(stone.brightness->steps && stone.brightness->brightest,
                     "a grade without its scale");
        expect_range(stone.brightness->grade, 1.0, static_cast<double>(*stone.brightness->steps));
    }
    if (stone.play_of_colour) {
        expect_range(stone.play_of_colour->coverage, 0.0, 1.0);
        fuzz::expect(stone.play_of_colour->colours && !stone.play_of_colour->colours->empty(),
                     "play-of-colour without colours");
        for (const ColourShare& colour : *stone.play_of_colour->colours) {
            fuzz::expect(!colour.colour.empty(), "a colour without a name");
            expect_range(colour.share, 0.0, 1.0);
        }
    }
}

// The texts that the record states are those of the stone, and each member is found in its place.
void expect_as_written(const Stone& stone, std::string_view text) {
    const json document = fuzz::parsed(text);
    const auto expect_text = [&](const char* name, const std::optional<std::string>& read) {
        if (document.contains(name)) {
            fuzz::expect(document.at(name).is_null() ? !read : document.at(name) == *read,
                         "a text read as another", document.dump());
        }
    };
    expect_text("id", stone.id);
    expect_text("notes", stone.notes);
    expect_text("body_hue", stone.body_hue);
    if (document.contains("hydrophane") && !document.at("hydrophane").is_null()) {
        fuzz::expect(document.at("hydrophane") == *stone.hydrophane, "a flag read as another");
    }
    std::vector<std::string> names;
    for (const auto& member : document.items()) {
        names.push_back(member.key());
    }
    const std::vector<std::string_view> spans = io::member_texts(text, names);
    for (std::size_t i = 0; i < names.size(); ++i) {
        fuzz::expect(fuzz::parsed(spans[i]) == document.at(names[i]), "a member found elsewhere",
                     names[i]);
        const std::string pointer = "/" + pointer_token(names[i]);
        const std::array wanted{io::Wanted{pointer, Target::value},
                                io::Wanted{pointer, Target::key}};
        const std::vector<std::size_t> places = io::locate(text, wanted);
        const std::size_t at = places[0];
        fuzz::expect(at == static_cast<std::size_t>(spans[i].data() - text.data()),
                     "a member located elsewhere", names[i]);
        const std::size_t key = places[1];
        fuzz::expect(key < at && text[key] == '"', "a key located elsewhere", names[i]);
    }
    for (const Extension& extension : stone.extensions) {
        fuzz::expect(fuzz::parsed(extension.json) == document.at(extension.name),
                     "an own field that reads as another", extension.json);
    }
}

// What is written of a stone, apart from its warnings.
std::string written(const Stone& stone) {
    const pricing::Matrix& matrix = fuzz::demonstration();
    const pricing::Entry& level = *pricing::find(matrix.market_levels, matrix.market_level);
    Diagnostics diagnostics;
    std::string text;
    output::JsonWriter writer(text, output::Layout::compact);
    if (const auto valuation = valuation::value(stone, {matrix, level}, diagnostics)) {
        output::write_valued(writer, stone, *valuation, matrix, {});
    } else if (const auto weight = weight::weigh(stone, diagnostics)) {
        output::write_weighed(writer, stone, *weight, {});
    } else {
        output::write_sound(writer, stone, {});
    }
    return text;
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view file = fuzz::text_of(data, size);
    std::string_view text = file;
    if (text.starts_with("\xEF\xBB\xBF")) { // the framer's to take away
        text.remove_prefix(3);
    }
    const io::Frame frame{text, {}, {}, {}, {}};
    Diagnostics diagnostics;
    const io::ReadRecord record = io::read_record(frame, nullptr, fuzz::file_name, diagnostics);
    fuzz::expect(record.accepted == diagnostics.empty(), "accepted and refused");
    fuzz::expect_sound(diagnostics, file);
    if (!record.accepted) {
        return 0;
    }
    fuzz::expect(json::accept(text), "accepted, and no JSON", text);
    expect_within_scales(record.stone);
    expect_as_written(record.stone, text);
    const io::ReadRecord again =
        io::read_record(frame, &record.stone, fuzz::file_name, diagnostics);
    fuzz::expect(again.accepted, "refused on top of itself", text);
    fuzz::expect(written(again.stone) == written(record.stone), "another stone on top of itself",
                 text);
    return 0;
}
