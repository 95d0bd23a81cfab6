#include "output/html_drawing.hpp"

#include "output/drawing.hpp"
#include "output/html_text.hpp"
#include "recutting/body.hpp"
#include "weight/outline.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

using weight::Point;

constexpr double mark_radius = 8;

std::string path(const std::vector<Point>& points, std::string_view name) {
    std::string d;
    for (const Point& point : points) {
        d += fmt::format("{}{:.2f} {:.2f}", d.empty() ? "M" : "L", point.x, point.y);
    }
    return fmt::format(R"(<path class="{}" d="{}Z"/>)", name, d);
}

std::string line(Point from, Point to, std::string_view name) {
    return fmt::format(R"(<path class="{}" d="M{:.2f} {:.2f}L{:.2f} {:.2f}"/>)", name, from.x,
                       from.y, to.x, to.y);
}

std::string label(Point at, std::string_view anchor, std::string_view text) {
    return fmt::format(R"(<text x="{:.2f}" y="{:.2f}" text-anchor="{}">{}</text>)", at.x, at.y,
                       anchor, text);
}

// ---- measures, with a stroke at either end

std::string measure_along(double from, double to, double y, double mm) {
    constexpr double tick = 3;
    return line({from, y}, {to, y}, "measure") +
           line({from, y - tick}, {from, y + tick}, "measure") +
           line({to, y - tick}, {to, y + tick}, "measure") +
           label({(from + to) / 2, y + 14}, "middle", fmt::format("{:.2f} mm", mm));
}

std::string measure_down(double x, double from, double to, double mm) {
    constexpr double tick = 3;
    return line({x, from}, {x, to}, "measure") +
           line({x - tick, from}, {x + tick, from}, "measure") +
           line({x - tick, to}, {x + tick, to}, "measure") +
           label({x - 6, (from + to) / 2 + 4}, "end", fmt::format("{:.2f}", mm));
}

std::string measures(const Drawing& d) {
    const double left = d.plan_from.x - 12;
    return measure_along(d.plan_from.x, d.plan_to.x, d.plan_to.y + 12,
                         (d.plan_to.x - d.plan_from.x) / d.px_per_mm) +
           measure_down(left, d.plan_from.y, d.plan_to.y,
                        (d.plan_to.y - d.plan_from.y) / d.px_per_mm) +
           measure_down(left, d.side_from.y, d.side_to.y,
                        (d.side_to.y - d.side_from.y) / d.px_per_mm);
}

// ---- the scale bar

double bar_length(double length) {
    for (const double mm : {100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0}) {
        if (mm <= 0.7 * length) {
            return mm;
        }
    }
    return 0.5;
}

std::string scale_bar(const Drawing& d) {
    const double mm = bar_length((d.plan_to.x - d.plan_from.x) / d.px_per_mm);
    const double y = d.height - 14;
    const double to = d.plan_from.x + mm * d.px_per_mm;
    return line({d.plan_from.x, y}, {to, y}, "scale") +
           label({to + 6, y + 4}, "start", fmt::format("{:g} mm", mm));
}

// ---- faults

// How a severity looks; the list beside the drawing has it in words.
std::string_view look_of(const Fault& fault) {
    const std::string& worst = fault.severity.second;
    return worst == "severe" ? "mark severe" : worst == "minor" ? "mark" : "mark moderate";
}

std::string mark(const Mark& mark, const Fault& fault) {
    return fmt::format(R"(<g class="{}"><circle cx="{:.2f}" cy="{:.2f}" r="{:g}"/>)",
                       look_of(fault), mark.at.x, mark.at.y, mark_radius) +
           label({mark.at.x, mark.at.y + 3.6}, "middle", fmt::format("{}", mark.number)) + "</g>";
}

std::string words(const Words& w) {
    return w.is_point() ? w.first : w.first + " to " + w.second;
}

std::string in_words(const Fault& fault) {
    return fault.kind + ", " + fault.place + ", " + words(fault.severity);
}

std::string described(const recutting::Body& body, const std::vector<Fault>& faults) {
    std::string text = fmt::format(
        "Plan and side view of a stone {:.2f} mm long, {:.2f} mm wide and {:.2f} mm deep, {} in "
        "outline.",
        body.length, body.width, body.depth(),
        weight::outline_names[static_cast<std::size_t>(body.outline)]);
    for (std::size_t i = 0; i < faults.size(); ++i) {
        text += fmt::format(" Mark {}: {}.", i + 1, in_words(faults[i]));
    }
    return text;
}

std::string svg(const Drawing& d, const recutting::Body& body, const std::vector<Fault>& faults) {
    std::string text = fmt::format(
        R"(<svg class="drawing" role="img" width="{0:.2f}" height="{1:.2f}" )"
        R"(viewBox="0 0 {0:.2f} {1:.2f}"><title>Drawing to scale</title><desc>{2}</desc>)",
        d.width, d.height, escaped(described(body, faults)));
    const bool stand_in = body.outline == weight::Outline::freeform;
    text += path(d.plan, stand_in ? "stone stand-in" : "stone") + path(d.side, "stone");
    text += line({d.side_from.x, d.wall_top}, {d.side_to.x, d.wall_top}, "edge");
    if (d.side_to.y - d.wall_bottom > 0.5) {
        text += line({d.side_from.x, d.wall_bottom}, {d.side_to.x, d.wall_bottom}, "edge");
    }
    text += measures(d) + scale_bar(d);
    for (const Mark& m : d.marks) {
        text += mark(m, faults[m.number - 1]);
    }
    return text + "</svg>";
}

std::string scale_of(double magnification) {
    return magnification >= 1 ? fmt::format("{:g} : 1", magnification)
                              : fmt::format("1 : {:g}", 1 / magnification);
}

std::string
caption(const Drawing& d, const recutting::Measures& m, const std::vector<Fault>& faults) {
    std::string text = fmt::format("Plan and side view, {} on paper.", scale_of(d.magnification));
    if (m.outline == weight::Outline::freeform) {
        text += " The outline is freeform: the dashed one has its length, width and area, and not "
                "its shape.";
    }
    if (!m.wall || !m.dome || (!m.back && m.back_word != "flat")) {
        text += " What was not measured of dome, wall and back is drawn as the weight model has "
                "it.";
    }
    if (!d.marks.empty()) {
        text += " A mark shows on which part of the stone a fault lies, not where on that part.";
    }
    if (d.marks.size() < faults.size()) {
        text += " Faults of another place are in the list alone.";
    }
    return text;
}

const std::vector<Fault>& faults_of(const Stone& stone) {
    static const std::vector<Fault> none;
    return stone.faults ? *stone.faults : none;
}

} // namespace

std::string drawing_figure(const Stone& stone) {
    const std::optional<recutting::Measures> measures = recutting::measures_of(stone);
    if (!measures) {
        return "<p class=\"aside\">No drawing: it takes an outline that is known, a length, a "
               "width "
               "and a depth.</p>\n";
    }
    const std::vector<Fault>& faults = faults_of(stone);
    const recutting::Body body = recutting::body_of(*measures);
    const Drawing d = draw(body, faults);
    return "<figure>" + svg(d, body, faults) + "<figcaption>" + caption(d, *measures, faults) +
           "</figcaption></figure>\n";
}

std::string fault_list(const Stone& stone) {
    if (!stone.faults) {
        return "<p>Not stated.</p>\n";
    }
    if (stone.faults->empty()) {
        return "<p>None seen.</p>\n";
    }
    std::string text = "<ol class=\"faults\">";
    for (const Fault& fault : *stone.faults) {
        text += "<li>" + isolated(in_words(fault)) + "</li>";
    }
    return text + "</ol>\n";
}

} // namespace trayworth::output
