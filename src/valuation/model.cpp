#include "valuation/model.hpp"

#include "core/decimal.hpp"
#include "core/nearest.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/compile.h>

namespace trayworth::valuation {
namespace {

using pricing::Entry;
using pricing::InputKind;
using pricing::Spread;

template<class... Ts>
struct Overloaded : Ts... {
    using Ts::operator()...;
};
template<class... Ts>
Overloaded(Ts...) -> Overloaded<Ts...>; // clang 14 needs to be told

// Keeps the mean defined when every share is at the end of a range that begins at zero.
constexpr double least_share = 1e-9;

Spread between(const Spread& first, const Spread& second, double t) {
    return {(1 - t) * first.log_middle + t * second.log_middle,
            (1 - t) * first.log_half + t * second.log_half};
}

std::string from_to(double low, double high) {
    return low == high ? fmt::format(FMT_COMPILE("{}"), low)
                       : fmt::format(FMT_COMPILE("{} to {}"), low, high);
}

std::string in_four_digits(double x) {
    constexpr int digits = 4;
    return fmt::format(FMT_COMPILE("{}"), to_significant(x, digits));
}

// One word of a record, or the two between which it straddles.
struct WordsRead {
    std::string_view first;
    std::string_view second;

    [[nodiscard]] bool is_point() const { return first == second; }
};

std::string either(const WordsRead& words) {
    return words.is_point() ? std::string(words.first)
                            : std::string(words.first).append(" or ").append(words.second);
}

// What the record says in a field that holds one word; nothing when it does not say.
std::optional<WordsRead> words_in(const Stone& stone, pricing::WordField field) {
    const auto one = [](const auto& value) -> std::optional<WordsRead> {
        if (!value) {
            return std::nullopt;
        }
        using Value = std::decay_t<decltype(*value)>;
        if constexpr (std::is_same_v<Value, Words>) {
            return WordsRead{value->first, value->second};
        } else if constexpr (std::is_same_v<Value, bool>) {
            const std::string_view word = *value ? "yes" : "no";
            return WordsRead{word, word};
        } else if constexpr (std::is_same_v<Value, Range<Transparency>>) {
            return WordsRead{name_of(value->low), name_of(value->high)};
        } else if constexpr (std::is_same_v<Value, StoneType>) {
            return WordsRead{name_of(*value), name_of(*value)};
        } else {
            return WordsRead{*value, *value};
        }
    };
    const PlayOfColour* play = stone.play_of_colour ? &*stone.play_of_colour : nullptr;
    switch (field) {
    case pricing::WordField::pattern:
        return play != nullptr ? one(play->pattern) : std::nullopt;
    case pricing::WordField::directionality:
        return play != nullptr ? one(play->directionality) : std::nullopt;
    case pricing::WordField::outline:
        return one(stone.cut.outline);
    case pricing::WordField::dome:
        return one(stone.cut.dome);
    case pricing::WordField::back:
        return one(stone.cut.back);
    case pricing::WordField::polish:
        return one(stone.cut.polish);
    case pricing::WordField::body_hue:
        return one(stone.body_hue);
    case pricing::WordField::hydrophane:
        return one(stone.hydrophane);
    case pricing::WordField::mounted:
        return one(stone.mounted);
    case pricing::WordField::transparency:
        return one(stone.transparency);
    case pricing::WordField::type:
        return one(stone.type);
    case pricing::WordField::treatments:
        break; // a list
    }
    return std::nullopt;
}

std::optional<Uncertain> length_in(const std::optional<Reading>& reading,
                                   const Dimensions& dimensions) {
    if (!reading) {
        return std::nullopt;
    }
    return dimensions.with_uncertainty(*reading).uncertain();
}

class Builder {
public:
    Builder(const Stone& stone,
            const pricing::Matrix& matrix,
            Explain explain,
            Diagnostics& diagnostics,
            std::pmr::memory_resource* memory)
        : stone_(stone), matrix_(matrix), explain_(explain == Explain::yes),
          diagnostics_(diagnostics), memory_(memory), model_(memory), shared_(memory) {
        constexpr std::size_t usual = 16;
        model_.variables.reserve(usual);
        model_.terms.reserve(usual);
        model_.lines.reserve(usual);
        model_.inputs.reserve(2 * usual);
        shared_.reserve(usual);
        if (explain_) {
            model_.sources.reserve(usual);
            model_.rows.reserve(usual);
        }
    }

    Model build(const weight::Weight& weight, const Entry& level) {
        variable(
            InputKind::measuring, [&] { return fmt::format("weight ({})", name_of(weight.basis)); },
            weight.ct);
        price_per_carat();
        for (const pricing::Factor& factor : matrix_.factors) {
            const bool low = factor.stones.admits(*stone_.type, stone_.transparency->low);
            const bool high = factor.stones.admits(*stone_.type, stone_.transparency->high);
            only_.reset();
            if (low != high) {
                only_ = OneEnd{transparency(), high};
            }
            if (low || high) {
                apply(factor);
            }
        }
        only_.reset();
        refuse_unpriced_lists();
        if (level.name != matrix_.market_level) {
            add(between(level, level, exactly(0), {&level, 0}, InputKind::market_level,
                        [] { return "market level"; }),
                [&] {
                    Row row =
                        row_of("market level", "", "/market_levels/" + pointer_token(level.name));
                    row.read = level.name;
                    row.note = "from the matrix's own level, " + matrix_.market_level;
                    return row;
                });
        }
        if (matrix_.conversion) {
            convert(*matrix_.conversion);
        }
        return std::move(model_);
    }

private:
    void convert(const pricing::Conversion& conversion) {
        const Entry& rate = conversion.rate;
        add(between(rate, rate, exactly(0), {&rate, 0}, InputKind::market_level,
                    [] { return "exchange rate"; }),
            [&] {
                Row row = row_of("currency", "", "/currency");
                row.read = fmt::format("{}, rate of {}", rate.name, conversion.date);
                row.note =
                    fmt::format("{0} {1} for 1 {2}, as stated; all steps above are in {2}",
                                rate.figures.likely, matrix_.currency.code, conversion.from.code);
                return row;
            });
    }

    static Coordinate exactly(double value) { return {std::nullopt, value}; }

    // Which part of the record or of the matrix an input comes from.
    struct InputId {
        const void* part = nullptr;
        std::size_t index = 0;

        friend bool operator==(const InputId&, const InputId&) = default;
    };

    // `source()` names an input for the budget; it is asked only when the value is explained.
    template<class Source>
    Coordinate variable(InputKind kind, Source source, Uncertain input) {
        if (input.u == 0 && !model_.variables.empty()) {
            return exactly(input.value);
        }
        model_.variables.push_back({kind, input});
        if (explain_) {
            model_.sources.emplace_back(source());
        }
        return {model_.variables.size() - 1, 0};
    }

    // An input that enters twice is one input.
    template<class Source>
    Coordinate shared(InputId id, InputKind kind, Source source, Uncertain input) {
        const auto known = std::find_if(shared_.begin(), shared_.end(),
                                        [id](const auto& one) { return one.first == id; });
        if (known != shared_.end()) {
            return known->second;
        }
        const Coordinate coordinate = variable(kind, source, input);
        shared_.emplace_back(id, coordinate);
        return coordinate;
    }

    // From the more transparent end of a straddle, 0, to the more opaque one, 1.
    Coordinate transparency() {
        return shared(
            {&stone_.transparency, 0}, InputKind::grading, [] { return "grade: transparency"; },
            rectangular(0, 1));
    }

    template<class Source>
    Coordinate
    spread_variable(InputId id, InputKind kind, Source source, const Spread& a, const Spread& b) {
        if (a.log_half == 0 && b.log_half == 0) {
            return exactly(0);
        }
        return shared(id, kind, source, normal(0, 1 / matrix_.coverage_factor));
    }

    template<class Source>
    BetweenWords between(const Entry& first,
                         const Entry& second,
                         Coordinate position,
                         InputId id,
                         InputKind kind,
                         Source source) {
        return {&first, &second, position,
                spread_variable(id, kind, source, first.spread, second.spread)};
    }

    static Row row_of(std::string step, std::string field, std::string matrix_pointer) {
        Row row;
        row.step = std::move(step);
        row.field = std::move(field);
        row.matrix_pointer = std::move(matrix_pointer);
        return row;
    }

    // Lines are filled one at a time, so that the inputs of a line stand together.
    void depend(Line& line, const Coordinate& coordinate) {
        if (coordinate.variable) {
            if (line.input_count++ == 0) {
                line.first_input = model_.inputs.size();
            }
            model_.inputs.push_back(*coordinate.variable);
        }
    }

    // `words()` gives the line's row; it is asked only when the value is explained.
    template<class Words>
    void add_line(const Line& line, Words words) {
        model_.lines.push_back(line);
        if (explain_) {
            Row& row = model_.rows.emplace_back(words());
            if (line.carries_value && !matrix_.sources.empty()) {
                row.file = matrix_.origin_of(row.matrix_pointer);
                for (CellUsed& cell : row.cells) {
                    cell.file = matrix_.origin_of(cell.pointer);
                }
            }
        }
    }

    void error(Code code, std::string pointer, std::string message, std::string hint) {
        diagnostics_.push_back(
            {code, Severity::error, std::move(pointer), std::move(message), std::move(hint)});
    }

    // A term with one line that holds the range of all its variables.
    template<class T, class Words>
    void add(T term, Words words) {
        Line line{model_.terms.size()};
        depend(line, term.spread);
        if constexpr (std::is_same_v<T, BetweenWords>) {
            depend(line, term.position);
        } else if constexpr (std::is_same_v<T, Colours>) {
            for (const Colours::Part& part : term.parts) {
                depend(line, part.share);
            }
        } else {
            depend(line, term.x);
            if (term.per) {
                depend(line, *term.per);
            }
        }
        if (only_) {
            depend(line, only_->position);
        }
        model_.terms.push_back({std::move(term), only_});
        add_line(line, [&] {
            Row row = words();
            if (only_) {
                row.note +=
                    fmt::format("{}to the power 0.5: for one end of the straddled transparency",
                                row.note.empty() ? "" : "; ");
            }
            return row;
        });
    }

    // ---- the grid

    void price_per_carat() {
        PricePerCarat price;
        price.grid = grid(stone_.transparency->low);
        price.other =
            stone_.transparency->is_point() ? price.grid : grid(stone_.transparency->high);
        const Brightness& brightness = *stone_.brightness;
        const BrightnessScale scale{*brightness.steps, *brightness.brightest};
        const Range<double> on_matrix =
            ordered(map_brightness(brightness.grade->low, scale, matrix_.brightness),
                    map_brightness(brightness.grade->high, scale, matrix_.brightness));
        if (price.grid == nullptr || price.other == nullptr) {
            return;
        }
        const Range<double> reach = reach_of(on_matrix, scale);
        bool priced = priced_over(*price.grid, reach);
        if (price.other == price.grid) {
            price.other = nullptr;
        } else {
            priced = priced_over(*price.other, reach) && priced;
        }
        if (!priced) {
            return;
        }
        add_price(price, scale, on_matrix);
    }

    // What a grade may mean on the matrix's scale, the uncertainty of the mapping included.
    [[nodiscard]] Range<double> reach_of(Range<double> on_matrix, BrightnessScale scale) const {
        const double half =
            scale.steps == matrix_.brightness.steps ? 0 : matrix_.mapping_half_width;
        return {std::max(on_matrix.low - half, 1.0),
                std::min(on_matrix.high + half, static_cast<double>(matrix_.brightness.steps))};
    }

    const pricing::Grid* grid(Transparency transparency) {
        const pricing::Grid* found = matrix_.grid_for(*stone_.type, transparency);
        if (found == nullptr) {
            error(Code::not_priced, "/type",
                  fmt::format("The matrix \"{}\" has no grid for a stone of type {}, {}.",
                              matrix_.name, name_of(*stone_.type), name_of(transparency)),
                  "Add a grid for that class to the matrix, or use a matrix that prices it.");
        }
        return found;
    }

    // Every cell that the straddles can reach must be there.
    bool priced_over(const pricing::Grid& grid, Range<double> brightness) {
        const Range<int> tone = *stone_.body_tone;
        if (tone.low < grid.tones.front() || tone.high > grid.tones.back()) {
            error(Code::not_priced, "/body_tone",
                  fmt::format("The grid \"{}\" prices body tones {} to {}, not {}.", grid.name,
                              tone_name(static_cast<int>(grid.tones.front())),
                              tone_name(static_cast<int>(grid.tones.back())),
                              tone.low < grid.tones.front() ? tone_name(tone.low)
                                                            : tone_name(tone.high)),
                  fmt::format("Add the row to {}, or regrade.", grid.pointer));
            return false;
        }
        if (brightness.low < grid.brightness.front() || brightness.high > grid.brightness.back()) {
            error(Code::not_priced, "/brightness/grade",
                  fmt::format("The grid \"{}\" prices brightness {} to {}, not {}.", grid.name,
                              grid.brightness.front(), grid.brightness.back(),
                              from_to(brightness.low, brightness.high)),
                  fmt::format("Add the column to {}, or regrade.", grid.pointer));
            return false;
        }
        const pricing::AxisPlace top = pricing::place_on(grid.tones, tone.low);
        const pricing::AxisPlace bottom = pricing::place_on(grid.tones, tone.high);
        const pricing::AxisPlace left = pricing::place_on(grid.brightness, brightness.low);
        const pricing::AxisPlace right = pricing::place_on(grid.brightness, brightness.high);
        for (std::size_t row = top.below; row <= bottom.above; ++row) {
            for (std::size_t column = left.below; column <= right.above; ++column) {
                if (!grid.cell(row, column)) {
                    error(Code::not_priced, "/body_tone",
                          fmt::format("The grid \"{}\" has no price for {}.", grid.name,
                                      grid.cell_name(row, column)),
                          fmt::format("Give the cell {} a price, or regrade.",
                                      grid.cell_pointer(row, column)));
                    return false;
                }
            }
        }
        return true;
    }

    void add_price(PricePerCarat price, BrightnessScale scale, Range<double> on_matrix) {
        const Range<int> tone = *stone_.body_tone;
        const Range<double> grade = *stone_.brightness->grade;
        price.tone = variable(
            InputKind::grading, [] { return "grade: body tone"; },
            rectangular(tone.low, tone.high));
        price.brightness = variable(
            InputKind::grading, [] { return "grade: brightness"; },
            rectangular(on_matrix.low, on_matrix.high));
        if (scale.steps != matrix_.brightness.steps) {
            price.mapping = variable(
                InputKind::grading, [] { return "brightness scale"; },
                rectangular(-matrix_.mapping_half_width, matrix_.mapping_half_width));
        }
        if (price.other != nullptr) {
            price.between = transparency();
        }
        price.market = variable(
            InputKind::prices, [] { return "price spread of the grid"; },
            normal(0, 1 / matrix_.coverage_factor));
        const auto tones = [tone] {
            return tone.is_point() ? std::string(tone_name(tone.low))
                                   : fmt::format(FMT_COMPILE("{} to {}"), tone_name(tone.low),
                                                 tone_name(tone.high));
        };
        const auto grades = [grade, scale] {
            return fmt::format(FMT_COMPILE("{} of {}"), from_to(grade.low, grade.high),
                               scale.steps);
        };
        Line line{model_.terms.size()};
        depend(line, price.market);
        add_line(line, [&] { return grid_row(price, tones(), grades()); });
        straddle(price.tone, "body tone", "/body_tone", tones);
        straddle(price.brightness, "brightness", "/brightness/grade", grades);
        if (scale != matrix_.brightness) {
            Line mapping{line.term, false};
            depend(mapping, price.mapping);
            add_line(mapping, [&] { return mapping_row(scale, grades(), on_matrix); });
        }
        straddle(price.between, "transparency", "/transparency",
                 [this] { return either(*words_in(stone_, pricing::WordField::transparency)); });
        model_.terms.push_back({price});
    }

    Row grid_row(const PricePerCarat& price, const std::string& tones, const std::string& grades) {
        Row row = row_of("price per carat", "/body_tone", price.grid->pointer + "/per_carat");
        row.read = fmt::format(FMT_COMPILE("{}, brightness {}"), tones, grades);
        add_cells(*price.grid, price, price.other == nullptr ? 1 : 0.5, row.cells);
        row.note = fmt::format(FMT_COMPILE("grid \"{}\""), price.grid->name);
        if (price.other != nullptr) {
            add_cells(*price.other, price, 0.5, row.cells);
            row.note = fmt::format(FMT_COMPILE("grids \"{}\" and \"{}\""), price.grid->name,
                                   price.other->name);
        }
        if (row.cells.size() == 1) {
            row.matrix_pointer = row.cells.front().pointer;
        } else {
            row.note += ": the geometric mean of the cells by their weights";
        }
        return row;
    }

    static CellUsed
    cell_used(std::string pointer, std::string at, double weight, const Spread& spread) {
        return {std::move(pointer), std::move(at), weight, spread.low(), spread.high()};
    }

    void add_cells(const pricing::Grid& grid,
                   const PricePerCarat& price,
                   double share,
                   std::vector<CellUsed>& cells) const {
        const pricing::Grid::Neighbours around =
            grid.neighbours(middle(price.tone), middle(price.brightness));
        cells.reserve(cells.size() + around.size());
        for (const pricing::Grid::Neighbour& near : around) {
            if (near.weight > 0) {
                cells.push_back(cell_used(grid.cell_pointer(near.row, near.column),
                                          grid.cell_name(near.row, near.column),
                                          near.weight * share, *grid.cell(near.row, near.column)));
            }
        }
    }

    // The range that one straddled grade adds to the price per carat.
    template<class Read>
    void
    straddle(const Coordinate& grade, std::string_view step, std::string_view field, Read read) {
        if (!grade.variable) {
            return;
        }
        Line line{model_.terms.size(), false};
        depend(line, grade);
        add_line(line, [&] {
            Row row = row_of(fmt::format(FMT_COMPILE("{} straddles"), step), std::string(field),
                             model_.rows.front().matrix_pointer);
            row.read = read();
            return row;
        });
    }

    [[nodiscard]] Row
    mapping_row(BrightnessScale scale, const std::string& grades, Range<double> on_matrix) const {
        const BrightnessScale own = matrix_.brightness;
        Row row = row_of("brightness scale", "/brightness/grade", "/brightness");
        row.read = fmt::format("{} ({} is brightest)", grades, scale.brightest);
        row.note = fmt::format(
            "read as {:.4g}{} of {} ({} is brightest) by relative position", on_matrix.low,
            on_matrix.is_point() ? "" : fmt::format(" to {:.4g}", on_matrix.high), own.steps,
            own.brightest);
        return row;
    }

    // ---- the factors

    void apply(const pricing::Factor& factor) {
        std::visit(Overloaded{[&](const pricing::Category& rule) { category(factor, rule); },
                              [&](const pricing::ShareWeighted& rule) { shares(factor, rule); },
                              [&](const pricing::Curve& rule) { curve(factor, rule); },
                              [&](const pricing::Faults& rule) { faults(factor, rule); }},
                   factor.rule);
    }

    void absent(const pricing::Factor& factor, std::string_view field) {
        if (!factor.if_absent) {
            error(Code::field_missing, std::string(field),
                  fmt::format("The matrix prices \"{}\" and the record does not state it.",
                              factor.name),
                  fmt::format("State {} in the record, or give {} an \"if_absent\".", field,
                              factor.pointer));
            return;
        }
        if (factor.if_absent->spread.is_one()) {
            return;
        }
        const Entry& entry = *factor.if_absent;
        add(between(entry, entry, exactly(0), {&factor, 0}, InputKind::factors,
                    [&] { return "factor: " + factor.name; }),
            [&] {
                Row row = row_of(factor.name, std::string(field), factor.pointer + "/if_absent");
                row.read = "not stated";
                return row;
            });
    }

    // A list that nobody stated may well be empty: without a factor for that, it is taken to be.
    void
    absent_list(const pricing::Factor& factor, const std::string& field, std::string_view valued) {
        if (factor.if_absent) {
            absent(factor, field);
            return;
        }
        diagnostics_.push_back(
            {Code::not_stated, Severity::warning, field,
             fmt::format("\"{}\" is not stated; the stone is valued {}.", field.substr(1), valued),
             fmt::format("State \"{}\": [] when the stone was examined and none were found.",
                         field.substr(1))});
    }

    // Where a word stands, for a diagnostic: what it is, in which field, priced where.
    struct Whereabouts {
        std::string what;
        std::string field;
        std::string matrix_pointer;
    };

    // `whereabouts()` is asked only when the word has no price.
    template<class Where>
    const Entry*
    priced(const std::vector<Entry>& entries, std::string_view name, Where whereabouts) {
        const Entry* entry = pricing::find(entries, name);
        if (entry == nullptr) {
            std::vector<std::string_view> names;
            names.reserve(entries.size());
            for (const Entry& known : entries) {
                names.emplace_back(known.name);
            }
            not_priced(name, names, whereabouts());
        }
        return entry;
    }

    void
    not_priced(std::string_view name, const std::vector<std::string_view>& known, Whereabouts at) {
        const std::optional<std::string_view> near = nearest(name, known);
        error(Code::not_priced, std::move(at.field),
              fmt::format("The matrix has no price for {} \"{}\".", at.what, name),
              near ? fmt::format("Did you mean \"{}\"? Otherwise add it to {}.", *near,
                                 at.matrix_pointer)
                   : fmt::format("Priced are: {}. Use one of them, or add it to {}.",
                                 fmt::join(known, ", "), at.matrix_pointer));
    }

    // One word or a straddle of two. `where()` is asked for the row and for diagnostics; `grade` is
    // the record's field, `spread` the part of the matrix whose interval it has.
    template<class Where>
    bool add_words(const std::vector<Entry>& entries,
                   const WordsRead& words,
                   InputId grade,
                   InputId spread,
                   std::string_view step,
                   Where where) {
        const auto end = [&](std::string_view suffix) {
            Whereabouts at = where();
            at.field += words.is_point() ? "" : suffix;
            return at;
        };
        const Entry* first = priced(entries, words.first, [&] { return end("/0"); });
        const Entry* second =
            words.is_point() ? first : priced(entries, words.second, [&] { return end("/1"); });
        if (first == nullptr || second == nullptr) {
            return false;
        }
        const auto source = [&](std::string_view kind) { return std::string(kind) + where().what; };
        const Coordinate position = words.is_point()
                                        ? exactly(0)
                                        : shared(
                                              grade, InputKind::grading,
                                              [&] { return source("grade: "); }, rectangular(0, 1));
        add(between(*first, *second, position, spread, InputKind::factors,
                    [&] { return source("factor: "); }),
            [&] {
                Whereabouts at = where();
                Row row =
                    row_of(std::string(step), std::move(at.field), std::move(at.matrix_pointer));
                if (words.is_point()) {
                    row.matrix_pointer += "/" + pointer_token(words.first);
                } else {
                    for (const Entry* entry : {first, second}) {
                        row.cells.push_back(
                            cell_used(row.matrix_pointer + "/" + pointer_token(entry->name),
                                      entry->name, 0.5, entry->spread));
                    }
                    row.note = "the geometric mean of both";
                }
                row.read = either(words);
                return row;
            });
        return true;
    }

    void category(const pricing::Factor& factor, const pricing::Category& rule) {
        if (rule.field == pricing::WordField::treatments) {
            treatments(factor, rule);
            return;
        }
        const std::string_view& field =
            pricing::word_field_pointers[static_cast<std::size_t>(rule.field)];
        const std::optional<WordsRead> read = words_in(stone_, rule.field);
        if (!read) {
            absent(factor, field);
            return;
        }
        add_words(rule.values, *read, {&field, 0}, {&factor, 0}, factor.name, [&] {
            return Whereabouts{factor.name, std::string(field), factor.pointer + "/values"};
        });
    }

    // Each treatment multiplies.
    void treatments(const pricing::Factor& factor, const pricing::Category& rule) {
        treatments_priced_ = true;
        if (!stone_.treatments) {
            absent_list(factor, "/treatments", "as untreated");
            return;
        }
        for (std::size_t i = 0; i < stone_.treatments->size(); ++i) {
            const std::string& treatment = (*stone_.treatments)[i];
            const Entry* entry = priced(rule.values, treatment, [&] {
                return Whereabouts{"the treatment", fmt::format("/treatments/{}", i),
                                   factor.pointer + "/values"};
            });
            if (entry == nullptr) {
                continue;
            }
            add_words(rule.values, {treatment, treatment}, {}, {entry, 0}, factor.name, [&] {
                return Whereabouts{factor.name + " " + treatment, fmt::format("/treatments/{}", i),
                                   factor.pointer + "/values"};
            });
        }
    }

    void shares(const pricing::Factor& factor, const pricing::ShareWeighted& rule) {
        const std::string_view field = "/play_of_colour/colours";
        if (!stone_.play_of_colour || !stone_.play_of_colour->colours ||
            stone_.play_of_colour->colours->empty()) {
            absent(factor, field);
            return;
        }
        const std::vector<ColourShare>& colours = *stone_.play_of_colour->colours;
        Colours term{std::pmr::vector<Colours::Part>(memory_), {}};
        term.parts.reserve(colours.size());
        Spread widest;
        double total = 0;
        std::string read;
        for (std::size_t i = 0; i < colours.size(); ++i) {
            const ColourShare& colour = colours[i];
            const Entry* entry = priced(rule.values, colour.colour, [&] {
                return Whereabouts{"colour", fmt::format("{}/{}/colour", field, i),
                                   factor.pointer + "/values"};
            });
            if (entry == nullptr) {
                return;
            }
            if (entry->spread.log_half > widest.log_half) {
                widest = entry->spread;
            }
            const Range<double> share = *colour.share;
            total += (share.low + share.high) / 2;
            if (explain_) {
                read += fmt::format(FMT_COMPILE("{}{} {}"), i == 0 ? "" : ", ", colour.colour,
                                    from_to(share.low, share.high));
            }
            term.parts.push_back({entry, shared(
                                             {&colours, i}, InputKind::grading,
                                             [] { return "grade: shares of colour"; },
                                             rectangular(share.low, share.high))});
        }
        if (total <= 0) {
            error(Code::value_range, std::string(field), "The shares of colour are all zero.",
                  "Give each colour the share of the play-of-colour that it has.");
            return;
        }
        const bool sums_to_one = std::abs(total - 1) <= share_tolerance;
        term.spread = spread_variable(
            {&factor, 0}, InputKind::factors, [&] { return "factor: " + factor.name; }, widest,
            widest);
        add(std::move(term), [&] {
            Row row = row_of(factor.name, std::string(field), factor.pointer + "/values");
            row.read = std::move(read);
            row.cells = colours_used(colours, rule, row.matrix_pointer, total);
            row.note = "arithmetic mean of the colours' factors weighted by share";
            if (!sums_to_one) {
                row.note += fmt::format(", divided by their sum {:.4g}", total);
            }
            return row;
        });
    }

    static std::vector<CellUsed> colours_used(const std::vector<ColourShare>& colours,
                                              const pricing::ShareWeighted& rule,
                                              const std::string& values,
                                              double total) {
        std::vector<CellUsed> used;
        used.reserve(colours.size());
        for (const ColourShare& colour : colours) {
            used.push_back(cell_used(values + "/" + pointer_token(colour.colour), colour.colour,
                                     (colour.share->low + colour.share->high) / 2 / total,
                                     pricing::find(rule.values, colour.colour)->spread));
        }
        return used;
    }

    std::optional<Coordinate> number_in(pricing::NumberField field) {
        const InputId id{&pricing::number_field_pointers[static_cast<std::size_t>(field)], 0};
        const Dimensions& mm = stone_.dimensions_mm;
        const auto millimetres =
            [&](std::string_view which,
                const std::optional<Reading>& reading) -> std::optional<Coordinate> {
            const std::optional<Uncertain> length = length_in(reading, mm);
            if (!length) {
                return std::nullopt;
            }
            return shared(
                id, InputKind::measuring,
                [&] { return fmt::format(FMT_COMPILE("dimension: {}"), which); }, *length);
        };
        switch (field) {
        case pricing::NumberField::weight:
            return Coordinate{0, 0};
        case pricing::NumberField::coverage:
            if (stone_.play_of_colour && stone_.play_of_colour->coverage) {
                const Range<double> coverage = *stone_.play_of_colour->coverage;
                return shared(
                    id, InputKind::grading, [] { return "grade: coverage"; },
                    rectangular(coverage.low, coverage.high));
            }
            return std::nullopt;
        case pricing::NumberField::length:
            return millimetres("length", mm.length);
        case pricing::NumberField::width:
            return millimetres("width", mm.width);
        case pricing::NumberField::depth:
            return millimetres("depth", mm.depth);
        }
        return std::nullopt;
    }

    [[nodiscard]] double middle(const Coordinate& coordinate) const {
        return coordinate.variable ? model_.variables[*coordinate.variable].input.value
                                   : coordinate.constant;
    }

    void curve(const pricing::Factor& factor, const pricing::Curve& rule) {
        const auto pointer_of = [](pricing::NumberField field) {
            return pricing::number_field_pointers[static_cast<std::size_t>(field)];
        };
        const std::optional<Coordinate> x = number_in(rule.field);
        std::optional<Coordinate> per;
        if (rule.per) {
            per = number_in(*rule.per);
        }
        if (!x || (rule.per && !per)) {
            absent(factor, pointer_of(x ? *rule.per : rule.field));
            return;
        }
        const double at = middle(*x) / (per ? middle(*per) : 1);
        if (!(at >= rule.at.front() && at <= rule.at.back())) {
            error(Code::not_priced, std::string(pointer_of(rule.field)),
                  fmt::format("The curve \"{}\" runs from {} to {} and is not extrapolated to "
                              "{:.4g}.",
                              factor.name, rule.at.front(), rule.at.back(), at),
                  fmt::format("Add a point to {}/points, or correct the record.", factor.pointer));
            return;
        }
        const pricing::AxisPlace place = rule.place(at);
        const Coordinate spread = spread_variable(
            {&factor, 0}, InputKind::factors, [&] { return "factor: " + factor.name; },
            rule.factors[place.below], rule.factors[place.above]);
        add(AlongCurve{&rule, *x, per, spread},
            [&] { return curve_row(factor, rule, pointer_of(rule.field), at, place); });
    }

    static Row curve_row(const pricing::Factor& factor,
                         const pricing::Curve& rule,
                         std::string_view field,
                         double at,
                         const pricing::AxisPlace& place) {
        Row row = row_of(factor.name, std::string(field), factor.pointer + "/points");
        row.read = in_four_digits(at);
        if (place.weight_above == 0) {
            row.matrix_pointer += "/" + std::to_string(place.below);
        } else {
            row.cells.reserve(2);
            const auto use = [&](std::size_t point, double weight) {
                row.cells.push_back(
                    cell_used(fmt::format(FMT_COMPILE("{}/{}/factor"), row.matrix_pointer, point),
                              fmt::format(FMT_COMPILE("at {}"), rule.at[point]), weight,
                              rule.factors[point]));
            };
            use(place.below, 1 - place.weight_above);
            use(place.above, place.weight_above);
            row.note = rule.log_spacing
                           ? "between two points of the curve, placed by the logarithm: their "
                             "geometric mean by weight"
                           : "between two points of the curve: their geometric mean by weight";
        }
        return row;
    }

    void faults(const pricing::Factor& factor, const pricing::Faults& rule) {
        faults_priced_ = true;
        if (!stone_.faults) {
            absent_list(factor, "/faults", "as free of faults");
            return;
        }
        for (std::size_t i = 0; i < stone_.faults->size(); ++i) {
            fault(factor, rule, (*stone_.faults)[i], i);
        }
    }

    template<class Named, class Where>
    const Named* named(const std::vector<Named>& known, std::string_view name, Where whereabouts) {
        const auto found = std::find_if(known.begin(), known.end(),
                                        [name](const Named& item) { return item.name == name; });
        if (found != known.end()) {
            return &*found;
        }
        std::vector<std::string_view> names;
        names.reserve(known.size());
        for (const Named& item : known) {
            names.emplace_back(item.name);
        }
        not_priced(name, names, whereabouts());
        return nullptr;
    }

    void fault(const pricing::Factor& factor,
               const pricing::Faults& rule,
               const Fault& fault,
               std::size_t index) {
        const auto field = [index](std::string_view name) {
            return "/faults/" + std::to_string(index) + "/" + std::string(name);
        };
        const auto in_values = [&] { return factor.pointer + "/values"; };
        const auto in_kind = [&] { return in_values() + "/" + pointer_token(fault.kind); };
        const auto in_place = [&] { return in_kind() + "/" + pointer_token(fault.place); };
        const pricing::FaultKind* kind = named(rule.kinds, fault.kind, [&] {
            return Whereabouts{"fault", field("kind"), in_values()};
        });
        if (kind == nullptr) {
            return;
        }
        const pricing::FaultPlace* place = named(kind->places, fault.place, [&] {
            return Whereabouts{fault.kind + " in the place", field("place"), in_kind()};
        });
        if (place == nullptr) {
            return;
        }
        const WordsRead severity{fault.severity.first, fault.severity.second};
        const bool added =
            add_words(place->severities, severity, {&fault, 0}, {place, 0}, fault.kind, [&] {
                return Whereabouts{fault.kind + ", " + fault.place, field("severity"), in_place()};
            });
        if (added && explain_) {
            model_.rows.back().read = fault.place + ", " + either(severity);
        }
    }

    // What the record states and the matrix has no factor for must not drop out of the value.
    void refuse_unpriced_lists() {
        const auto refuse = [this](std::string_view field, std::string_view kind) {
            error(Code::not_priced, std::string(field),
                  fmt::format("The record states {} and the matrix has no factor that prices them.",
                              field.substr(1)),
                  fmt::format("Add a factor of kind \"{}\" over {} to the matrix.", kind, field));
        };
        if (!treatments_priced_ && stone_.treatments && !stone_.treatments->empty()) {
            refuse("/treatments", "category");
        }
        if (!faults_priced_ && stone_.faults && !stone_.faults->empty()) {
            refuse("/faults", "fault");
        }
    }

    const Stone& stone_;
    const pricing::Matrix& matrix_;
    bool explain_;
    Diagnostics& diagnostics_;
    std::pmr::memory_resource* memory_;
    Model model_;
    std::pmr::vector<std::pair<InputId, Coordinate>> shared_;
    std::optional<OneEnd> only_; // of the factor at hand
    bool treatments_priced_ = false;
    bool faults_priced_ = false;
};

} // namespace

std::optional<Spread> interval(const Term& term, std::span<const double> x) {
    const auto scaled = [&](Spread spread) {
        if (term.only) {
            const double share = term.only->share(x);
            spread = {share * spread.log_middle, share * spread.log_half};
        }
        return spread;
    };
    if (const auto* price = std::get_if<PricePerCarat>(&term.rule)) {
        const double tone = price->tone.at(x);
        const double brightness = price->brightness.at(x) + price->mapping.at(x);
        Spread found = price->grid->price(tone, brightness);
        if (price->other != nullptr) {
            found = between(found, price->other->price(tone, brightness), price->between.at(x));
        }
        return scaled(found);
    }
    if (const auto* words = std::get_if<BetweenWords>(&term.rule)) {
        return scaled(between(words->first->spread, words->second->spread, words->position.at(x)));
    }
    if (const auto* along = std::get_if<AlongCurve>(&term.rule)) {
        return scaled(along->curve->factor(along->x.at(x) / (along->per ? along->per->at(x) : 1)));
    }
    return std::nullopt;
}

double log_value(const Term& term, std::span<const double> x) {
    const double z = spread_of(term).at(x);
    if (const std::optional<Spread> spread = interval(term, x)) {
        return spread->at(z);
    }
    double sum = 0;
    double shares = 0;
    for (const Colours::Part& part : std::get<Colours>(term.rule).parts) {
        const double share = std::max(part.share.at(x), least_share);
        sum += share * std::exp(part.colour->spread.at(z));
        shares += share;
    }
    const double log_mean = std::log(sum / shares);
    return term.only ? term.only->share(x) * log_mean : log_mean;
}

Coordinate spread_of(const Term& term) {
    return std::visit(Overloaded{[](const PricePerCarat& t) { return t.market; },
                                 [](const auto& t) { return t.spread; }},
                      term.rule);
}

void add_turning_points(const Term& term,
                        std::span<const double> x,
                        std::size_t variable,
                        Range<double> limits,
                        std::pmr::vector<double>& points) {
    const auto add = [&](double point) {
        if (point > limits.low && point < limits.high) {
            points.push_back(point);
        }
    };
    if (const auto* price = std::get_if<PricePerCarat>(&term.rule)) {
        for (const pricing::Grid* grid : {price->grid, price->other}) {
            if (grid == nullptr) {
                continue;
            }
            if (price->tone.variable == variable) {
                std::for_each(grid->tones.begin(), grid->tones.end(), add);
            }
            for (const double step : grid->brightness) {
                if (price->brightness.variable == variable) {
                    add(step - price->mapping.at(x));
                } else if (price->mapping.variable == variable) {
                    add(step - price->brightness.at(x));
                }
            }
        }
    } else if (const auto* along = std::get_if<AlongCurve>(&term.rule)) {
        for (const double at : along->curve->at) {
            if (along->x.variable == variable) {
                add(along->per ? at * along->per->at(x) : at);
            } else if (along->per && along->per->variable == variable && at > 0) {
                add(along->x.at(x) / at);
            }
        }
    }
}

std::optional<Model> build(const Stone& stone,
                           const weight::Weight& weight,
                           const pricing::Matrix& matrix,
                           const pricing::Entry& level,
                           Explain explain,
                           Diagnostics& diagnostics,
                           std::pmr::memory_resource* memory) {
    Diagnostics own;
    require_grading(stone, own);
    std::optional<Model> model;
    if (!has_errors(own)) {
        model = Builder(stone, matrix, explain, own, memory).build(weight, level);
        if (has_errors(own)) {
            model.reset();
        }
    }
    diagnostics.insert(diagnostics.end(), own.begin(), own.end());
    return model;
}

void require_grading(const Stone& stone, Diagnostics& diagnostics) {
    const auto require = [&diagnostics](bool given, std::string_view field, std::string_view hint) {
        if (!given) {
            diagnostics.push_back(
                {Code::field_missing, Severity::error, std::string(field),
                 fmt::format("The record does not state \"{}\".", field.substr(1)),
                 std::string(hint)});
        }
    };
    require(stone.type.has_value(), "/type",
            "Add \"type\": solid, boulder, matrix, doublet, triplet, mosaic, synthetic or "
            "imitation.");
    require(stone.body_tone.has_value(), "/body_tone",
            "Add \"body_tone\": \"N1\" (darkest) to \"N9\" (lightest), or two where it straddles.");
    require(stone.transparency.has_value(), "/transparency",
            "Add \"transparency\": transparent, translucent or opaque, or two where it straddles.");
    if (stone.no_play_of_colour) {
        diagnostics.push_back({Code::not_priced, Severity::error, "/play_of_colour",
                               "A stone without play-of-colour has no brightness to be priced by.",
                               "Value common opal by other means; only its weight is computed."});
        return;
    }
    require(stone.brightness && stone.brightness->grade, "/brightness",
            "Add \"brightness\" with its grade, the number of steps of its scale, and which is "
            "brightest.");
    require(stone.play_of_colour.has_value(), "/play_of_colour",
            "Add \"play_of_colour\" with its colours and pattern, or null when there is none.");
}

} // namespace trayworth::valuation
