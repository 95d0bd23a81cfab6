#include "cli/commands.hpp"
#include "cli/records.hpp"
#include "output/json.hpp"
#include "output/safe_text.hpp"
#include "output/text.hpp"
#include "weight/plausible.hpp"
#include "weight/weigh.hpp"

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace trayworth::cli {
namespace {

// A stone without a record.
struct Measures {
    std::string outline;
    std::string size;
    std::string density;
    std::string wall;
    std::string dome;
    std::string back;
    std::string area;
    std::string uncertainty;

    [[nodiscard]] bool given() const {
        return !(outline.empty() && size.empty() && density.empty() && wall.empty() &&
                 dome.empty() && back.empty() && area.empty() && uncertainty.empty());
    }
};

struct WeighOptions {
    RecordOptions records;
    Measures measures;
};

Reading reading_option(std::string_view option, std::string_view text) {
    const std::optional<Reading> reading = reading_from(text);
    if (!reading) {
        throw Refusal(
            fmt::format("\"{}\" is no measure for {}.", output::safe(text), option),
            fmt::format("{} takes a number above 0 such as 4.4, or limits such as 4.3-4.5; a "
                        "decimal has a point.",
                        option));
    }
    return *reading;
}

std::optional<Reading> optional_reading(std::string_view option, const std::string& text) {
    return text.empty() ? std::nullopt : std::optional(reading_option(option, text));
}

std::optional<double> uncertainty_option(const std::string& text) {
    if (text.empty() || text.find_first_not_of("0.") == std::string::npos) {
        return text.empty() ? std::nullopt : std::optional(0.0);
    }
    const Reading reading = reading_option("--uncertainty", text);
    if (reading.low != reading.high) {
        throw Refusal("limits are no standard uncertainty.",
                      "--uncertainty takes one number, such as 0.02.");
    }
    return reading.low;
}

void read_size(const std::string& size, Dimensions& mm) {
    if (size.empty()) {
        return;
    }
    std::vector<Reading> readings;
    std::string_view rest = size;
    while (true) {
        const std::size_t cross = rest.find('x');
        readings.push_back(reading_option("--size", rest.substr(0, cross)));
        if (cross == std::string_view::npos) {
            break;
        }
        rest.remove_prefix(cross + 1);
    }
    if (readings.size() == 2) {
        mm.length = readings[0]; // a round or square stone: one measure and the depth
        mm.depth = readings[1];
    } else if (readings.size() == 3) {
        mm.length = readings[0];
        mm.width = readings[1];
        mm.depth = readings[2];
    } else {
        throw Refusal(fmt::format("\"{}\" is no size.", output::safe(size)),
                      "--size takes length x width x depth, such as 12.1x9.9x4.4, or diameter x "
                      "depth of a round stone.");
    }
}

Stone measured_stone(const Measures& measures) {
    Stone stone;
    Dimensions& mm = stone.dimensions_mm;
    if (!measures.outline.empty()) {
        stone.cut.outline = measures.outline;
    }
    read_size(measures.size, mm);
    mm.wall = optional_reading("--wall", measures.wall);
    stone.cut.area_mm2 = optional_reading("--area", measures.area);
    if (!measures.back.empty()) {
        stone.cut.back = measures.back;
    }
    if (measures.dome == "low" || measures.dome == "medium" || measures.dome == "high") {
        stone.cut.dome = Words{measures.dome, measures.dome};
    } else {
        mm.dome = optional_reading("--dome", measures.dome);
    }
    mm.uncertainty = uncertainty_option(measures.uncertainty);
    const bool named = !measures.density.empty() &&
                       measures.density.find_first_of("0123456789") == std::string::npos;
    if (named) {
        stone.type = StoneType::solid;
        stone.density_variety = measures.density;
    } else {
        stone.density = optional_reading("--density", measures.density);
    }
    return stone;
}

int weigh_measures(Session& session, const WeighOptions& options) {
    const Stone stone = measured_stone(options.measures);
    const Surroundings& around = session.around;
    Diagnostics diagnostics;
    weight::check_plausible(stone, diagnostics);
    std::optional<weight::Weight> weight = weight::weigh(stone, diagnostics);
    if (session.strict && !diagnostics.empty()) {
        make_errors(diagnostics);
        weight.reset();
    }
    const Format format = format_of(options.records.format);
    if (!diagnostics.empty() && (session.errors_as_json || (format == Format::text && !weight))) {
        session.report(diagnostics);
    }
    std::string out;
    if (format == Format::text) {
        if (weight) {
            out = output::weighed_text(stone, *weight, diagnostics,
                                       {around.columns, around.colour_out});
        }
    } else {
        output::JsonWriter json(out, format == Format::json ? output::Layout::pretty
                                                            : output::Layout::compact);
        if (weight) {
            output::write_weighed(json, stone, *weight, diagnostics);
        } else {
            output::write_refused(json, std::nullopt, diagnostics);
        }
        out += "\n";
    }
    around.out.write(out);
    return weight ? all_done : nothing_done;
}

int weigh(Session& session, const WeighOptions& options) {
    if (options.measures.given()) {
        if (options.records.file != "-") {
            throw Refusal("a record states its own measures.",
                          "Give either a file, or --size and the options beside it.");
        }
        return weigh_measures(session, options);
    }
    return answer(
        session, options.records, {},
        [&](Rendering rendering) {
            rendering.in_full = true;
            return std::make_unique<WeighAnswers>(rendering, label(options.records.file));
        },
        "weighed");
}

void add_measures(CLI::App& sub, Measures& measures) {
    const std::string no_record = "No record: ";
    sub.add_option("--outline", measures.outline, no_record + "round, oval, pear, ...")
        ->type_name("NAME");
    sub.add_option("--size", measures.size, no_record + "length x width x depth in mm")
        ->type_name("LxWxD");
    sub.add_option("--density", measures.density,
                   no_record + "g/cm3, as 2.10 or 2.06-2.14, or a variety's name")
        ->type_name("DENSITY");
    sub.add_option("--wall", measures.wall, no_record + "height of the girdle wall, mm")
        ->type_name("MM");
    sub.add_option("--dome", measures.dome,
                   no_record + "height of the dome in mm, or low, medium, high")
        ->type_name("MM|NAME");
    sub.add_option("--back", measures.back, no_record + "flat, convex or double")
        ->type_name("NAME");
    sub.add_option("--area", measures.area, no_record + "measured area of the outline, mm2")
        ->type_name("MM2");
    sub.add_option("--uncertainty", measures.uncertainty,
                   no_record + "standard uncertainty of each dimension, mm")
        ->type_name("MM");
}

} // namespace

void add_weigh(CLI::App& app, Session& session) {
    const auto options = std::make_shared<WeighOptions>();
    CLI::App& sub = add_command(app, session, "weigh",
                                "Weigh stones: by the scale, or estimated from dimensions",
                                [&session, options] { return weigh(session, *options); });
    add_file(sub, options->records.file);
    add_format(sub, options->records.format, {"text", "json", "ndjson"});
    add_sharing(sub, options->records);
    add_strict(sub, session);
    add_errors_as(sub, session);
    add_measures(sub, options->measures);
}

} // namespace trayworth::cli
