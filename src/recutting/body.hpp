// The body of a stone as its measures give it, and what is left of it when some is taken off.
//
// It is the body of the weight model: the same area, profile and volume as weight::estimate(), but
// with every height known, so that it can be cut. Its density has no part in it: a stone that was
// weighed keeps the scale's weight in proportion to the volume that is left.
#pragma once

#include "core/stone.hpp"
#include "core/uncertain.hpp"
#include "weight/outline.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace trayworth::recutting {

// Where it is taken off.
enum class Way : std::uint8_t {
    face,    // the dome is made flatter, wall and outline stay
    back,    // a convex back is made flatter, then the wall goes, then the dome from below
    outline, // the edge goes all round, the heights stay
    weight,  // carats alone, of a stone whose measures are not known
};
inline constexpr std::array<std::string_view, 4> way_names{"face", "back", "outline", "weight"};
constexpr std::string_view name_of(Way way) {
    return way_names[static_cast<std::size_t>(way)];
}

struct Body {
    weight::Outline outline = weight::Outline::oval;
    double length = 0; // mm, as are the heights
    double width = 0;
    double form = 0;      // of the outline
    double area_part = 1; // the measured area over that of outline, length, width and form
    double wall = 0;
    double dome = 0;
    double back = 0;      // height of a convex back
    double dome_form = 0; // volume / (area x height) of dome and back

    [[nodiscard]] double depth() const { return wall + dome + back; }
    [[nodiscard]] double area() const;   // mm2
    [[nodiscard]] double volume() const; // mm3
};

// What a body is made from, each with its uncertainty.
struct Measures {
    weight::Outline outline = weight::Outline::oval;
    std::string_view back_word; // as recorded; empty when it is not
    std::optional<Words> dome_word;
    Uncertain length;
    Uncertain width;
    Uncertain depth;
    std::optional<Uncertain> wall;
    std::optional<Uncertain> dome;
    std::optional<Uncertain> back;
    std::optional<Uncertain> area;
    Uncertain form;
    Uncertain dome_form;
    Uncertain fill;
    Uncertain wall_share;
};

// Nothing without outline (or measured area), length, width and depth, or with an outline that the
// weight model does not know. The stone has passed weight::weigh().
std::optional<Measures> measures_of(const Stone& stone);

// The body at given values of the measures; `value(source, input)` says where between its limits an
// input is. Sources are named as weight::estimate() names them in its budget.
template<class Value>
Body body_of(const Measures& m, Value value);
// At the likely values.
Body body_of(const Measures& m);

// The most that can go that way, in mm; some stone is left then. Of the outline: all round.
double most(const Body& body, Way way);

// What is left when so much is taken off, 0 <= mm <= most(body, way).
Body taken_off(const Body& body, Way way, double mm);

// The record of what is left of a stone: its measures less what `before` lost in becoming `after`,
// its weight in proportion to the volumes. `ct` is the stone's weight now.
Stone record_of(const Stone& stone, const Uncertain& ct, const Body& before, const Body& after);

// ---- implementation of the template

// Heights from what is known of them, as weight::effective_height() reads them.
Body resolved(const Measures& m, const Measures& at);

template<class Value>
Body body_of(const Measures& m, Value value) {
    Measures at = m;
    const auto put = [&](std::string_view source, Uncertain& input) {
        input.value = value(source, input);
    };
    const auto put_optional = [&](std::string_view source, std::optional<Uncertain>& input) {
        if (input) {
            put(source, *input);
        }
    };
    put("length", at.length);
    put("width", at.width);
    put("depth", at.depth);
    put_optional("wall", at.wall);
    put_optional("dome", at.dome);
    put_optional("back", at.back);
    put_optional("area", at.area);
    put("outline form", at.form);
    put("dome form", at.dome_form);
    put("fill", at.fill);
    put("wall share", at.wall_share);
    return resolved(m, at);
}

} // namespace trayworth::recutting
