// Symbols
//   V      volume, mm3: area of the outline x effective height
//   rho    density, g/cm3
//   y      weight, ct: V rho / 200, since 1 ct = 200 mg (CGPM 1907) and 1 g/cm3 = 1 mg/mm3
//   x, u   an input and its standard uncertainty
//   u_i    contribution of input i to u(y): (y(x_i + u_i) - y(x_i - u_i)) / 2, the other inputs at
//          their estimates                                     JCGM 100:2008, 5.1.3, Note 2
//   u(y)   root of the sum of the squared contributions        JCGM 100:2008, 5.1.2
//
// Inputs are taken as independent, with one exception: a round stone's length and width are one
// diameter measured twice with one caliper (a square one's, one side), so their errors are fully
// correlated (JCGM 100, 5.2.2, Note 1) and their geometric mean d, which keeps the area of a stone
// slightly out of round, is one input. It enters the area squared: its relative contribution is
// 2 u(d) / d.
#include "core/quantity.hpp"
#include "weight/outline.hpp"
#include "weight/profile.hpp"
#include "weight/weigh.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace trayworth::weight {
namespace {

// In the order in which the budget lists them; the density comes last.
enum Slot : std::size_t {
    slot_outline_form,
    slot_length,
    slot_width,
    slot_depth,
    slot_wall,
    slot_dome,
    slot_back,
    slot_wall_share,
    slot_fill,
    slot_dome_form,
    slot_area,
    slots,
};

struct Input {
    Uncertain x;
    std::string_view source; // empty: the volume does not depend on it
};

struct VolumeModel {
    Outline outline = Outline::oval;
    Profile profile = Profile::filled;
    std::array<Input, slots> inputs;

    [[nodiscard]] bool uses(Slot slot) const { return !inputs[slot].source.empty(); }

    [[nodiscard]] double volume(const std::array<double, slots>& x) const {
        double area = x[slot_area];
        if (!uses(slot_area)) {
            const double width = uses(slot_width) ? x[slot_width] : x[slot_length];
            area = outline_area(outline, x[slot_length], width, x[slot_outline_form]);
        }
        const Heights heights{
            .depth = x[slot_depth],
            .wall = x[slot_wall],
            .dome = x[slot_dome],
            .back = x[slot_back],
            .wall_share = x[slot_wall_share],
            .fill = x[slot_fill],
            .dome_form = x[slot_dome_form],
        };
        return std::max(area, 0.0) * effective_height(profile, heights);
    }
};

bool is_one_measure(Outline outline) {
    return outline == Outline::round || outline == Outline::square;
}

// The diameter d = sqrt(L W) of a disc with the ellipse's area; u of its fully correlated parts
// adds linearly, u(d)/d = (u(L)/L + u(W)/W) / 2.
Uncertain mean_of_one_caliper(const Uncertain& length, const Uncertain& width) {
    const double mean = std::sqrt(length.value * width.value);
    const double u = (length.u * width.value + width.u * length.value) / (2 * mean);
    return {mean, u, length.distribution};
}

void put_outline(VolumeModel& model, const Measurements& m) {
    if (m.area) {
        model.inputs[slot_area] = {*m.area, "area"};
        return;
    }
    const Uncertain form = outline_form(m.outline);
    model.inputs[slot_outline_form].x = form;
    if (form.u > 0) {
        model.inputs[slot_outline_form].source = "outline form";
    }
    if (is_one_measure(m.outline)) {
        model.inputs[slot_length] = {m.width ? mean_of_one_caliper(m.length, *m.width) : m.length,
                                     m.outline == Outline::round ? "diameter" : "side"};
        return;
    }
    model.inputs[slot_length] = {m.length, "length"};
    if (m.width) {
        model.inputs[slot_width] = {*m.width, "width"};
    }
}

// A height of the dome that only a word gives, if the word is possible.
std::optional<Uncertain> dome_from_word(const Measurements& m) {
    if (!m.dome_word) {
        return std::nullopt;
    }
    const double width = m.width ? m.width->value : m.length.value;
    const double back = m.back ? m.back->value : 0;
    return dome_from(*m.dome_word, width, m.depth.value - back);
}

void put_profile(VolumeModel& model, const Measurements& m) {
    auto& inputs = model.inputs;
    const bool flat = m.back_word == "flat";
    std::optional<Uncertain> dome = m.dome;
    std::string_view dome_source = "dome";
    if (!dome && !m.wall) {
        dome = dome_from_word(m);
        dome_source = "dome from its word";
    }
    model.profile = profile_from(m.wall.has_value(), dome.has_value(), m.back.has_value(), flat);

    const auto put_back = [&] {
        if (m.back && !flat) {
            inputs[slot_back] = {*m.back, "back"};
        }
    };
    switch (model.profile) {
    case Profile::parts:
        inputs[slot_wall] = {*m.wall, "wall"};
        inputs[slot_dome] = {*dome, dome_source};
        put_back();
        break;
    case Profile::wall:
        inputs[slot_depth] = {m.depth, "depth"};
        inputs[slot_wall] = {*m.wall, "wall"};
        break;
    case Profile::difference:
        inputs[slot_depth] = {m.depth, "depth"};
        inputs[slot_dome] = {*dome, dome_source};
        put_back();
        break;
    case Profile::shared:
        inputs[slot_depth] = {m.depth, "depth"};
        inputs[slot_dome] = {*dome, dome_source};
        inputs[slot_wall_share] = {wall_share(), "wall share"};
        break;
    case Profile::filled:
        inputs[slot_depth] = {m.depth, "depth"};
        inputs[slot_fill] = {default_fill(), "fill"};
        put_back();
        break;
    }
    if (model.profile != Profile::filled || model.uses(slot_back)) {
        inputs[slot_dome_form] = {dome_form(), "dome form"};
    }
}

Uncertain combined(double value, double variance) {
    return variance > 0 ? normal(value, std::sqrt(variance)) : exact(value);
}

} // namespace

Estimate estimate(const Measurements& measurements) {
    VolumeModel model{.outline = measurements.outline, .inputs = {}};
    put_outline(model, measurements);
    put_profile(model, measurements);

    std::array<double, slots> x{};
    for (std::size_t i = 0; i < slots; ++i) {
        x[i] = model.inputs[i].x.value;
    }
    const Density density{measurements.density.value};
    const double volume = model.volume(x);

    Estimate result;
    result.density = measurements.density;
    result.density_source = measurements.density_source;
    result.budget.reserve(slots + 1);
    double volume_variance = 0;
    for (std::size_t i = 0; i < slots; ++i) {
        const Input& input = model.inputs[i];
        if (input.source.empty()) {
            continue;
        }
        x[i] = input.x.value + input.x.u;
        const double above = model.volume(x);
        x[i] = input.x.value - input.x.u;
        const double below = model.volume(x);
        x[i] = input.x.value;
        const double contribution = (above - below) / 2;
        volume_variance += contribution * contribution;
        result.budget.push_back({
            .source = input.source,
            .value = input.x.value,
            .u = input.x.u,
            .contribution = weight_of(Volume{contribution}, density).value,
        });
    }
    result.budget.push_back({
        .source = "density",
        .value = measurements.density.value,
        .u = measurements.density.u,
        .contribution = weight_of(Volume{volume}, Density{measurements.density.u}).value,
    });

    double variance = 0;
    for (const BudgetLine& line : result.budget) {
        variance += line.contribution * line.contribution;
    }
    for (BudgetLine& line : result.budget) {
        line.share = variance > 0 ? line.contribution * line.contribution / variance : 0;
    }
    result.volume = combined(volume, volume_variance);
    result.ct = combined(weight_of(Volume{volume}, density).value, variance);
    return result;
}

} // namespace trayworth::weight
