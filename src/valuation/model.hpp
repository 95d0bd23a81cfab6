// A stone read against a matrix: the value as a product, ready to be evaluated at any input.
//
// Symbols
//   V = w * prod_i f_i(x)      value in the matrix's currency
//   w                          weight, ct; variable 0
//   f_1                        price per carat, from the grid
//   f_2, f_3, ...              the matrix's factors, the faults, the market level
//   x                          the variables: grades as a position on their scale, straddles
//   between
//                              two words as a position from 0 to 1, shares, millimetres, and for
//                              each [low, high] of the matrix a z with ln f = m + z h (z = -1 is
//                              low, z = 1 is high, u(z) = 1 / k)
//
// The same model serves the linear rule (JCGM 100) and the simulation (JCGM 101).
#pragma once

#include "core/diagnostic.hpp"
#include "core/stone.hpp"
#include "core/uncertain.hpp"
#include "pricing/matrix.hpp"
#include "weight/weigh.hpp"

#include <cstddef>
#include <memory_resource>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace trayworth::valuation {

struct Variable {
    pricing::InputKind kind = pricing::InputKind::measuring;
    Uncertain input;
};

// Either one of the variables or a number that is exact.
struct Coordinate {
    std::optional<std::size_t> variable;
    double constant = 0;

    [[nodiscard]] double at(std::span<const double> x) const {
        return variable ? x[*variable] : constant;
    }
};

struct PricePerCarat {
    const pricing::Grid* grid = nullptr;
    const pricing::Grid* other = nullptr; // when the transparency straddles two grids
    Coordinate tone;
    Coordinate brightness; // on the matrix's scale
    Coordinate mapping;    // added to brightness
    Coordinate between;    // 0 is grid, 1 is other
    Coordinate market;
};

struct BetweenWords {
    const pricing::Entry* first = nullptr;
    const pricing::Entry* second = nullptr; // the same when there is no straddle
    Coordinate position;
    Coordinate spread;
};

struct Colours {
    struct Part {
        const pricing::Entry* colour = nullptr;
        Coordinate share;
    };
    std::pmr::vector<Part> parts;
    Coordinate spread;
};

struct AlongCurve {
    const pricing::Curve* curve = nullptr;
    Coordinate x;
    std::optional<Coordinate> per;
    Coordinate spread;
};

// A factor that is for one end only of a straddled transparency counts in proportion: ln f times
// the position t between the ends, or times 1 - t.
struct OneEnd {
    Coordinate position; // 0 is the more transparent end
    bool opaque_end = false;

    [[nodiscard]] double share(std::span<const double> x) const {
        return opaque_end ? position.at(x) : 1 - position.at(x);
    }
};

struct Term {
    std::variant<PricePerCarat, BetweenWords, Colours, AlongCurve> rule;
    std::optional<OneEnd> only{};
};

double log_value(const Term& term, std::span<const double> x);

// The z of the interval that the term has in the matrix.
Coordinate spread_of(const Term& term);

// m and h, where ln f is m + z h; nothing for colours, whose mean has no such form.
std::optional<pricing::Spread> interval(const Term& term, std::span<const double> x);

// Appends where ln f may turn as that variable moves between the limits and the others stay at x:
// between these points it rises or falls all the way.
void add_turning_points(const Term& term,
                        std::span<const double> x,
                        std::size_t variable,
                        Range<double> limits,
                        std::pmr::vector<double>& points);

// A number of the matrix that went into a mean: a cell of a grid, a point of a curve or a word of a
// straddle (their geometric mean, by weight), a colour (the arithmetic mean). The weights sum to 1.
struct CellUsed {
    std::string pointer;
    std::string at; // "N3 at brightness 2", "at 0.9", "slight"
    double weight = 0;
    double low = 0;
    double high = 0;
    std::string file{}; // where it comes from, if the matrix extends another
};

// One line of the computation: a term, or what one straddled grade adds to a term's range.
struct Line {
    std::size_t term = 0;
    bool carries_value = true; // false: likely factor 1, a range only
    // The variables that make this line's range, in Model::inputs; spreads first, so that a limit
    // lies at the low end or the high end of a factor.
    std::size_t first_input = 0;
    std::size_t input_count = 0;
};

// A line in words.
struct Row {
    std::string step;           // "price per carat", "pattern", ...
    std::string field;          // JSON Pointer into the record
    std::string matrix_pointer; // JSON Pointer into the matrix
    std::string read;           // what was read there, in words
    std::string note;           // how it was used, where that is not plain from `read`
    std::vector<CellUsed> cells;
    bool arithmetic = false; // the mean of the cells; else geometric
    std::string file{};      // where `matrix_pointer` comes from, if the matrix extends another
};

struct Model {
    explicit Model(std::pmr::memory_resource* memory)
        : variables(memory), terms(memory), lines(memory), inputs(memory) {}

    std::pmr::vector<Variable> variables; // the first is the weight
    std::pmr::vector<Term> terms;
    std::pmr::vector<Line> lines; // a term's own line first, then those of its straddles
    std::pmr::vector<std::size_t> inputs;
    // Only where the reasons are wanted:
    std::vector<std::string> sources; // of the variables, as the uncertainty budget names them
    std::vector<Row> rows;            // of the lines

    [[nodiscard]] std::span<const std::size_t> inputs_of(const Line& line) const {
        return std::span(inputs).subspan(line.first_input, line.input_count);
    }
};

// Whether the reasons are wanted in words.
enum class Explain : bool { no, yes };

// Errors and warnings are appended with pointers from the record's root; nothing is returned when
// there is an error. The matrix must outlive the model, and so must the memory that it stands in.
std::optional<Model> build(const Stone& stone,
                           const weight::Weight& weight,
                           const pricing::Matrix& matrix,
                           const pricing::Entry& level,
                           Explain explain,
                           Diagnostics& diagnostics,
                           std::pmr::memory_resource* memory = std::pmr::get_default_resource());

// What a record must state before a grade can be priced: each field that is missing is an error.
void require_grading(const Stone& stone, Diagnostics& diagnostics);

} // namespace trayworth::valuation
