#include "io/matrix_reader.hpp"

#include "core/bounds.hpp"
#include "core/date.hpp"
#include "core/decimal.hpp"
#include "core/nearest.hpp"
#include "core/uncertain.hpp"
#include "io/document.hpp"
#include "io/json_errors.hpp"
#include "io/matrix_document.hpp"
#include "pricing/asking_price.hpp"
#include "pricing/lint.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>
#include <set>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace trayworth::io {
namespace {

using pricing::Spread;

constexpr std::string_view matrix_format = "trayworth/price-matrix/1";
constexpr double least_coverage = 0.5;
constexpr double most_coverage = 0.99;

constexpr std::array<std::string_view, 4> kinds{"category", "share-weighted", "curve", "fault"};
constexpr std::array<std::string_view, 2> spacings{"linear", "log"};

std::string type_of(const json& value) {
    if (value.is_number()) {
        return "a number";
    }
    if (value.is_string()) {
        return "a text";
    }
    if (value.is_boolean()) {
        return "true or false";
    }
    return value.is_object() ? "an object" : value.is_array() ? "an array" : "null";
}

std::string joined(std::span<const std::string_view> names) {
    std::string text;
    for (const std::string_view name : names) {
        text += fmt::format("{}{}", text.empty() ? "" : ", ", name);
    }
    return text;
}

class MatrixReader {
public:
    explicit MatrixReader(Diagnostics& diagnostics)
        : diagnostics_(diagnostics), first_(diagnostics.size()) {}

    pricing::Matrix read(const json& root) {
        pricing::Matrix matrix;
        if (!is_object(root, "", "A price matrix")) {
            return matrix;
        }
        known_only(root, "", OwnFields::allowed,
                   {"format", "name", "invented", "currency", "as_of", "market_level", "provenance",
                    "coverage", "common", "brightness", "market_levels", "grids", "factors",
                    "rounding", "list_prices", "accepted"});
        read_head(root, matrix);
        read_levels(root, matrix);
        read_grids(root, matrix);
        read_factors(root, matrix);
        read_rounding(root, matrix);
        read_list_prices(root, matrix);
        read_common(root, matrix);
        read_accepted(root, matrix);
        return matrix;
    }

private:
    void error(Code code,
               std::string pointer,
               std::string message,
               std::string hint,
               Target target = Target::value) {
        if (diagnostics_.size() - first_ < bounds::errors) {
            diagnostics_.push_back({code, Severity::error, std::move(pointer), std::move(message),
                                    std::move(hint), target});
        } else if (!full_) {
            full_ = true;
            diagnostics_.push_back({Code::errors_too_many, Severity::error, "", errors_too_many(),
                                    "Correct these first."});
        }
    }

    // ---- typed getters

    bool is_object(const json& value, const std::string& pointer, std::string_view what) {
        if (!value.is_object()) {
            error(Code::value_type, pointer,
                  fmt::format("{} has to be an object, not {}.", what, type_of(value)),
                  "Write it between { and }.");
        }
        return value.is_object();
    }

    bool is_array(const json& value, const std::string& pointer, std::string_view what) {
        if (!value.is_array()) {
            error(Code::value_type, pointer,
                  fmt::format("{} has to be an array, not {}.", what, type_of(value)),
                  "Write it between [ and ].");
        }
        return value.is_array();
    }

    bool few_enough(const json& list, const std::string& pointer, std::size_t most) {
        if (list.size() > most) {
            error(Code::list_size, pointer,
                  fmt::format("The list has more than {} entries.", grouped(most)),
                  "Is it the right file?");
        }
        return list.size() <= most;
    }

    enum class OwnFields : bool { refused, allowed };

    void known_only(const json& object,
                    const std::string& pointer,
                    OwnFields own,
                    std::initializer_list<std::string_view> known) {
        const std::span<const std::string_view> names(known.begin(), known.size());
        const bool allowed = own == OwnFields::allowed;
        for (const auto& [key, value] : object.items()) {
            if (full_) {
                return;
            }
            if ((allowed && key.starts_with("x-")) ||
                std::find(known.begin(), known.end(), key) != known.end()) {
                continue;
            }
            const std::optional<std::string_view> near = nearest(key, names);
            error(Code::field_unknown, pointer + "/" + pointer_token(key),
                  fmt::format("\"{}\" is not a field here.", key),
                  near ? fmt::format("Did you mean \"{}\"?", *near)
                       : fmt::format("Known here: {}.{}", joined(names),
                                     allowed ? " A field of your own begins with \"x-\"." : ""),
                  Target::key);
        }
    }

    const json* member(const json& object, const std::string& pointer, const char* name) {
        const auto found = object.find(name);
        if (found == object.end()) {
            error(Code::field_missing, fmt::format("{}/{}", pointer, name),
                  fmt::format("\"{}\" is missing.", name),
                  "Add it; \"trayworth matrix show\" prints a matrix that has one.");
            return nullptr;
        }
        return &*found;
    }

    std::string text(const json& object, const std::string& pointer, const char* name) {
        const json* value = member(object, pointer, name);
        return value == nullptr ? std::string() : text_at(*value, pointer + "/" + name);
    }

    std::string text_at(const json& value, const std::string& pointer) {
        if (!value.is_string() || value.get_ref<const std::string&>().empty()) {
            error(Code::value_type, pointer,
                  value.is_string() ? "The text is empty."
                                    : fmt::format("This has to be a text, not {}.", type_of(value)),
                  "Write it between double quotes.");
            return {};
        }
        auto text = value.get<std::string>();
        if (characters_in(text) > bounds::text_length) {
            error(Code::text_size, pointer, text_too_long(), "Keep it in a file of its own.");
            text.clear();
        }
        return text;
    }

    std::optional<double>
    number_at(const json& value, const std::string& pointer, double least, double most) {
        if (!value.is_number()) {
            error(Code::value_type, pointer,
                  fmt::format("This has to be a number, not {}.", type_of(value)),
                  "Write the number without quotes and with a decimal point.");
            return std::nullopt;
        }
        const auto number = value.get<double>();
        if (!(number >= least && number <= most)) {
            error(Code::value_range, pointer,
                  fmt::format("{} does not lie between {:.12g} and {:.12g}.", number, least, most),
                  "Correct the number.");
            return std::nullopt;
        }
        return number;
    }

    std::optional<double> number(const json& object,
                                 const std::string& pointer,
                                 const char* name,
                                 double least,
                                 double most) {
        const json* value = member(object, pointer, name);
        return value == nullptr ? std::nullopt
                                : number_at(*value, pointer + "/" + name, least, most);
    }

    std::optional<int>
    whole(const json& object, const std::string& pointer, const char* name, int least, int most) {
        const std::optional<double> found = number(object, pointer, name, least, most);
        if (found && *found != std::floor(*found)) {
            error(Code::value_type, pointer + "/" + name,
                  fmt::format("\"{}\" has to be a whole number, not {}.", name, *found),
                  "Correct the number.");
            return std::nullopt;
        }
        return found ? std::optional(static_cast<int>(*found)) : std::nullopt;
    }

    std::optional<Spread> spread_at(const json& value, const std::string& pointer) {
        static constexpr double least = 1e-9;
        if (value.is_number()) {
            const std::optional<double> both = number_at(value, pointer, least, bounds::number);
            return both ? std::optional(Spread::between(*both, *both)) : std::nullopt;
        }
        if (!value.is_array() || value.size() != 2) {
            error(Code::value_type, pointer,
                  fmt::format("This has to be a number above 0 or [low, high], not {}.",
                              value.is_array() ? fmt::format("an array of {}", value.size())
                                               : type_of(value)),
                  "Write [low, high] at the matrix's coverage, or one number.");
            return std::nullopt;
        }
        const std::optional<double> low =
            number_at(value[0], pointer + "/0", least, bounds::number);
        const std::optional<double> high =
            number_at(value[1], pointer + "/1", least, bounds::number);
        if (!low || !high) {
            return std::nullopt;
        }
        if (*low > *high) {
            error(Code::range_reversed, pointer,
                  fmt::format("The range runs from {} to {}, backwards.", *low, *high),
                  fmt::format("Write [{}, {}].", *high, *low));
            return std::nullopt;
        }
        return Spread::between(*low, *high);
    }

    bool holds_entries(const json& value, const std::string& pointer, std::string_view what) {
        if (!is_object(value, pointer, what)) {
            return false;
        }
        if (value.empty()) {
            error(Code::value_range, pointer, fmt::format("{} holds nothing.", what),
                  "Give at least one entry.");
        }
        return !value.empty();
    }

    std::vector<pricing::Entry>
    entries_at(const json& value, const std::string& pointer, std::string_view what) {
        std::vector<pricing::Entry> entries;
        if (!holds_entries(value, pointer, what)) {
            return entries;
        }
        for (const auto& [key, spread] : value.items()) {
            if (const auto found = spread_at(spread, pointer + "/" + pointer_token(key))) {
                entries.emplace_back(key, *found);
            }
        }
        return entries;
    }

    std::optional<std::size_t> index_of(const std::string& word,
                                        const std::string& pointer,
                                        std::span<const std::string_view> known) {
        const auto found = std::find(known.begin(), known.end(), word);
        if (found != known.end()) {
            return static_cast<std::size_t>(found - known.begin());
        }
        if (!word.empty()) { // an empty one was reported already
            const std::optional<std::string_view> near = nearest(word, known);
            error(Code::value_unknown, pointer,
                  fmt::format("\"{}\" is not one of: {}.", word, joined(known)),
                  near ? fmt::format("Did you mean \"{}\"?", *near) : "Use one of them.");
        }
        return std::nullopt;
    }

    template<class Enum, std::size_t N>
    std::uint8_t mask(const json& object,
                      const std::string& pointer,
                      const char* name,
                      const std::array<Named<Enum>, N>& known) {
        const auto found = object.find(name);
        if (found == object.end()) {
            return 0xff;
        }
        const std::string at = pointer + "/" + name;
        std::array<std::string_view, N> names;
        std::transform(known.begin(), known.end(), names.begin(),
                       [](const Named<Enum>& item) { return item.name; });
        std::uint8_t bits = 0;
        if (!is_array(*found, at, fmt::format("\"{}\"", name))) {
            return bits;
        }
        if (found->empty()) {
            error(Code::value_range, at, fmt::format("\"{}\" names no stones.", name),
                  "Name at least one.");
        }
        for (std::size_t i = 0; i < found->size(); ++i) {
            const std::string element = fmt::format("{}/{}", at, i);
            const auto index = index_of(text_at((*found)[i], element), element, names);
            if (!index) {
                continue;
            }
            const auto bit = static_cast<std::uint8_t>(1U << *index);
            if ((bits & bit) != 0) {
                error(Code::value_range, element,
                      fmt::format("\"{}\" is named twice.", names[*index]), "Name it once.");
            }
            bits = static_cast<std::uint8_t>(bits | bit);
        }
        return bits;
    }

    pricing::StoneClass stone_class(const json& object, const std::string& pointer) {
        return {mask(object, pointer, "type", stone_types),
                mask(object, pointer, "transparency", transparencies)};
    }

    // ---- the head

    void read_head(const json& root, pricing::Matrix& matrix) {
        const std::string format = text(root, "", "format");
        if (!format.empty() && format != matrix_format) {
            error(Code::format_version, "/format",
                  fmt::format("The format is \"{}\", and this program reads \"{}\".", format,
                              matrix_format),
                  "Use the program of that version, or convert the matrix.");
        }
        matrix.name = text(root, "", "name");
        matrix.provenance = text(root, "", "provenance");
        matrix.as_of = text(root, "", "as_of");
        if (!matrix.as_of.empty() && !date_from(matrix.as_of)) {
            error(Code::value_range, "/as_of", fmt::format("\"{}\" is not a date.", matrix.as_of),
                  "Write year, month and day as 2026-11-01.");
        }
        const std::string code = text(root, "", "currency");
        if (const std::optional<Currency> currency = currency_from(code)) {
            matrix.currency = *currency;
        } else if (!code.empty()) {
            error(Code::value_unknown, "/currency",
                  fmt::format("\"{}\" is not a currency of ISO 4217.", code),
                  "Write its three letters, for example \"AUD\".");
        }
        if (const auto found = root.find("invented"); found != root.end()) {
            if (found->is_boolean()) {
                matrix.invented = found->get<bool>();
            } else {
                error(Code::value_type, "/invented",
                      fmt::format("\"invented\" has to be true or false, not {}.", type_of(*found)),
                      "Write true when the prices are made up.");
            }
        }
        if (const auto coverage = number(root, "", "coverage", least_coverage, most_coverage)) {
            matrix.coverage = *coverage;
            matrix.coverage_factor = coverage_factor(*coverage);
        }
        read_brightness(root, matrix);
    }

    void read_brightness(const json& root, pricing::Matrix& matrix) {
        const json* scale = member(root, "", "brightness");
        if (scale == nullptr || !is_object(*scale, "/brightness", "\"brightness\"")) {
            return;
        }
        known_only(*scale, "/brightness", OwnFields::refused,
                   {"steps", "brightest", "mapping_half_width"});
        const auto steps =
            whole(*scale, "/brightness", "steps", fewest_brightness_steps, most_brightness_steps);
        const auto brightest = whole(*scale, "/brightness", "brightest", 1, most_brightness_steps);
        const auto half_width =
            number(*scale, "/brightness", "mapping_half_width", 0, most_brightness_steps);
        if (!steps || !brightest || !half_width) {
            return;
        }
        if (*brightest != 1 && *brightest != *steps) {
            error(Code::brightness_scale, "/brightness/brightest",
                  fmt::format("The brightest of {} grades is 1 or {}, not {}.", *steps, *steps,
                              *brightest),
                  "Correct the scale.");
            return;
        }
        matrix.brightness = {*steps, *brightest};
        matrix.mapping_half_width = *half_width;
    }

    void read_levels(const json& root, pricing::Matrix& matrix) {
        matrix.market_level = text(root, "", "market_level");
        if (const json* levels = member(root, "", "market_levels")) {
            matrix.market_levels = entries_at(*levels, "/market_levels", "\"market_levels\"");
        }
        if (matrix.market_level.empty() || matrix.market_levels.empty()) {
            return;
        }
        const pricing::Entry* own = pricing::find(matrix.market_levels, matrix.market_level);
        if (own == nullptr) {
            error(Code::value_unknown, "/market_level",
                  fmt::format("The matrix's own level \"{}\" is not among its market levels.",
                              matrix.market_level),
                  fmt::format("Add \"{}\": 1 to \"market_levels\".", matrix.market_level));
        } else if (!own->spread.is_one()) {
            error(Code::value_range, "/market_levels/" + pointer_token(matrix.market_level),
                  "The matrix's own level has another multiplier than 1.",
                  "Write 1: its prices are at this level as they stand.");
        }
    }

    // ---- grids

    void read_grids(const json& root, pricing::Matrix& matrix) {
        const json* grids = member(root, "", "grids");
        if (grids == nullptr || !is_array(*grids, "/grids", "\"grids\"")) {
            return;
        }
        if (!few_enough(*grids, "/grids", bounds::grids)) {
            return;
        }
        if (grids->empty()) {
            error(Code::value_range, "/grids", "The matrix has no grid.", "Add one.");
        }
        for (std::size_t i = 0; i < grids->size(); ++i) {
            read_grid((*grids)[i], fmt::format("/grids/{}", i), matrix);
        }
    }

    void read_grid(const json& value, const std::string& pointer, pricing::Matrix& matrix) {
        if (!is_object(value, pointer, "A grid")) {
            return;
        }
        known_only(value, pointer, OwnFields::allowed,
                   {"name", "type", "transparency", "body_tone", "brightness", "per_carat"});
        pricing::Grid grid;
        grid.pointer = pointer;
        grid.name = text(value, pointer, "name");
        const json* types = member(value, pointer, "type");
        const json* transparencies_named = member(value, pointer, "transparency");
        grid.stones = types != nullptr && transparencies_named != nullptr
                          ? stone_class(value, pointer)
                          : pricing::StoneClass{0, 0};
        for (const pricing::Grid& other : matrix.grids) {
            if (!grid.name.empty() && other.name == grid.name) {
                error(Code::value_range, pointer + "/name",
                      fmt::format("Two grids are named \"{}\".", grid.name),
                      "Give each a name of its own: a matrix that extends this one tells them "
                      "apart by it.");
            }
            if ((other.stones.types & grid.stones.types) != 0 &&
                (other.stones.transparencies & grid.stones.transparencies) != 0) {
                error(Code::value_range, pointer,
                      fmt::format("The grids \"{}\" and \"{}\" are both for the same stones.",
                                  other.name, grid.name),
                      "Give each class of stone, by type and transparency, one grid.");
            }
        }
        if (const json* tones = member(value, pointer, "body_tone")) {
            grid.tones = tone_axis(*tones, pointer + "/body_tone");
        }
        if (const json* steps = member(value, pointer, "brightness")) {
            const int most =
                matrix.brightness.steps > 0 ? matrix.brightness.steps : most_brightness_steps;
            grid.brightness = number_axis(*steps, pointer + "/brightness", 1, most);
        }
        const json* cells = member(value, pointer, "per_carat");
        if (cells != nullptr && !grid.tones.empty() && !grid.brightness.empty()) {
            read_cells(*cells, pointer + "/per_carat", grid);
        }
        matrix.grids.push_back(std::move(grid));
    }

    bool ascending(const std::vector<double>& axis, const std::string& pointer) {
        for (std::size_t i = 1; i < axis.size(); ++i) {
            if (!(axis[i - 1] < axis[i])) {
                error(Code::range_reversed, fmt::format("{}/{}", pointer, i),
                      "The entries do not ascend here.",
                      "Sort them from low to high, each once, and the cells with them.");
                return false;
            }
        }
        return true;
    }

    std::vector<double> tone_axis(const json& value, const std::string& pointer) {
        std::vector<double> axis;
        if (!is_array(value, pointer, "\"body_tone\"")) {
            return axis;
        }
        for (std::size_t i = 0; i < value.size(); ++i) {
            const std::string element = fmt::format("{}/{}", pointer, i);
            if (const auto tone = index_of(text_at(value[i], element), element, tone_names)) {
                axis.push_back(static_cast<double>(*tone) + darkest_tone);
            }
        }
        return axis_or_nothing(std::move(axis), value.size(), pointer);
    }

    std::vector<double>
    number_axis(const json& value, const std::string& pointer, double least, double most) {
        std::vector<double> axis;
        if (!is_array(value, pointer, "The axis")) {
            return axis;
        }
        for (std::size_t i = 0; i < value.size(); ++i) {
            if (const auto at =
                    number_at(value[i], fmt::format("{}/{}", pointer, i), least, most)) {
                axis.push_back(*at);
            }
        }
        return axis_or_nothing(std::move(axis), value.size(), pointer);
    }

    std::vector<double>
    axis_or_nothing(std::vector<double> axis, std::size_t wanted, const std::string& pointer) {
        if (wanted == 0) {
            error(Code::value_range, pointer, "The axis is empty.", "Give at least one entry.");
        }
        if (axis.size() != wanted || !ascending(axis, pointer)) {
            axis.clear();
        }
        return axis;
    }

    bool has_size(const json& value,
                  const std::string& pointer,
                  std::size_t wanted,
                  std::string_view what) {
        if (!is_array(value, pointer, what)) {
            return false;
        }
        if (value.size() != wanted) {
            error(Code::value_range, pointer,
                  fmt::format("{} has {} {}, and its axis has {}.", what, value.size(),
                              value.size() == 1 ? "entry" : "entries", wanted),
                  "Give one entry for each; null where there is no price.");
            return false;
        }
        return true;
    }

    void read_cells(const json& rows, const std::string& pointer, pricing::Grid& grid) {
        grid.cells.resize(grid.tones.size() * grid.brightness.size());
        if (!has_size(rows, pointer, grid.tones.size(), "\"per_carat\"")) {
            return;
        }
        for (std::size_t row = 0; row < rows.size(); ++row) {
            const std::string at = fmt::format("{}/{}", pointer, row);
            if (!has_size(rows[row], at, grid.brightness.size(), "A row of prices")) {
                continue;
            }
            for (std::size_t column = 0; column < rows[row].size(); ++column) {
                const json& cell = rows[row][column];
                if (!cell.is_null()) {
                    grid.cells[row * grid.brightness.size() + column] =
                        spread_at(cell, fmt::format("{}/{}", at, column));
                }
            }
        }
    }

    // ---- factors

    void read_factors(const json& root, pricing::Matrix& matrix) {
        const json* factors = member(root, "", "factors");
        if (factors == nullptr || !is_array(*factors, "/factors", "\"factors\"")) {
            return;
        }
        if (!few_enough(*factors, "/factors", bounds::factors)) {
            return;
        }
        for (std::size_t i = 0; i < factors->size(); ++i) {
            read_factor((*factors)[i], fmt::format("/factors/{}", i), matrix);
        }
    }

    void read_factor(const json& value, const std::string& pointer, pricing::Matrix& matrix) {
        if (!is_object(value, pointer, "A factor")) {
            return;
        }
        pricing::Factor factor;
        factor.pointer = pointer;
        factor.name = text(value, pointer, "name");
        for (const pricing::Factor& other : matrix.factors) {
            if (!factor.name.empty() && other.name == factor.name) {
                error(Code::value_range, pointer + "/name",
                      fmt::format("Two factors are named \"{}\".", factor.name),
                      "Give each a name of its own: the reasons are told apart by it.");
            }
        }
        factor.stones = stone_class(value, pointer);
        if (const auto absent = value.find("if_absent"); absent != value.end()) {
            if (const auto spread = spread_at(*absent, pointer + "/if_absent")) {
                factor.if_absent.emplace("not stated", *spread);
            }
        }
        const std::string field = text(value, pointer, "field");
        const auto kind = index_of(text(value, pointer, "kind"), pointer + "/kind", kinds);
        if (!kind) {
            return;
        }
        switch (*kind) {
        case 0:
            factor.rule = category(value, pointer, field);
            break;
        case 1:
            factor.rule = share_weighted(value, pointer, field);
            break;
        case 2:
            factor.rule = curve(value, pointer, field);
            break;
        default:
            factor.rule = faults(value, pointer, field);
        }
        matrix.factors.push_back(std::move(factor));
    }

    pricing::Category
    category(const json& value, const std::string& pointer, const std::string& field) {
        known_only(value, pointer, OwnFields::allowed,
                   {"name", "kind", "field", "type", "transparency", "if_absent", "values"});
        pricing::Category rule;
        if (const auto at = index_of(field, pointer + "/field", pricing::word_field_pointers)) {
            rule.field = static_cast<pricing::WordField>(*at);
        }
        if (const json* values = member(value, pointer, "values")) {
            rule.values = entries_at(*values, pointer + "/values", "\"values\"");
        }
        return rule;
    }

    pricing::ShareWeighted
    share_weighted(const json& value, const std::string& pointer, const std::string& field) {
        static constexpr std::array<std::string_view, 1> only{"/play_of_colour/colours"};
        known_only(value, pointer, OwnFields::allowed,
                   {"name", "kind", "field", "type", "transparency", "if_absent", "values"});
        index_of(field, pointer + "/field", only);
        pricing::ShareWeighted rule;
        if (const json* values = member(value, pointer, "values")) {
            rule.values = entries_at(*values, pointer + "/values", "\"values\"");
        }
        return rule;
    }

    pricing::Curve curve(const json& value, const std::string& pointer, const std::string& field) {
        known_only(value, pointer, OwnFields::allowed,
                   {"name", "kind", "field", "per", "type", "transparency", "if_absent", "spacing",
                    "points"});
        pricing::Curve rule;
        if (const auto at = index_of(field, pointer + "/field", pricing::number_field_pointers)) {
            rule.field = static_cast<pricing::NumberField>(*at);
        }
        if (const auto per = value.find("per"); per != value.end()) {
            const std::string word = text_at(*per, pointer + "/per");
            constexpr auto first = static_cast<std::size_t>(pricing::NumberField::length);
            const auto lengths = std::span(pricing::number_field_pointers).subspan(first);
            if (const auto at = index_of(word, pointer + "/per", lengths)) {
                rule.per = static_cast<pricing::NumberField>(first + *at);
            }
        }
        const auto spacing =
            index_of(text(value, pointer, "spacing"), pointer + "/spacing", spacings);
        rule.log_spacing = spacing == std::size_t{1};
        if (const json* points = member(value, pointer, "points")) {
            read_points(*points, pointer + "/points", rule);
        }
        return rule;
    }

    void read_points(const json& points, const std::string& pointer, pricing::Curve& rule) {
        if (!is_array(points, pointer, "\"points\"")) {
            return;
        }
        for (std::size_t i = 0; i < points.size(); ++i) {
            const std::string at = fmt::format("{}/{}", pointer, i);
            if (!is_object(points[i], at, "A point")) {
                continue;
            }
            known_only(points[i], at, OwnFields::refused, {"at", "factor"});
            const double least = rule.log_spacing ? 1e-9 : 0;
            const auto x = number(points[i], at, "at", least, bounds::number);
            const json* factor = member(points[i], at, "factor");
            const auto spread =
                factor == nullptr ? std::nullopt : spread_at(*factor, at + "/factor");
            if (x && spread) {
                rule.at.push_back(*x);
                rule.places.push_back(rule.log_spacing ? std::log(*x) : *x);
                rule.factors.push_back(*spread);
            }
        }
        if (points.size() < 2) {
            error(Code::value_range, pointer, "A curve has two points at least.", "Add one.");
        } else if (rule.at.size() == points.size()) {
            ascending(rule.at, pointer);
        }
    }

    pricing::Faults
    faults(const json& value, const std::string& pointer, const std::string& field) {
        static constexpr std::array<std::string_view, 1> only{"/faults"};
        known_only(value, pointer, OwnFields::allowed,
                   {"name", "kind", "field", "type", "transparency", "if_absent", "values"});
        index_of(field, pointer + "/field", only);
        pricing::Faults rule;
        const json* values = member(value, pointer, "values");
        if (values == nullptr || !holds_entries(*values, pointer + "/values", "\"values\"")) {
            return rule;
        }
        for (const auto& [kind, places] : values->items()) {
            const std::string at = pointer + "/values/" + pointer_token(kind);
            pricing::FaultKind fault{kind, {}};
            if (holds_entries(places, at, "A fault")) {
                for (const auto& [place, severities] : places.items()) {
                    fault.places.push_back(
                        {place, entries_at(severities, at + "/" + pointer_token(place),
                                           "A place of a fault")});
                }
            }
            rule.kinds.push_back(std::move(fault));
        }
        require_few_severities(rule, pointer + "/values");
        return rule;
    }

    // Each is a column wherever the factor is laid out.
    void require_few_severities(const pricing::Faults& rule, const std::string& pointer) {
        std::set<std::string_view> names;
        for (const pricing::FaultKind& kind : rule.kinds) {
            for (const auto& place : kind.places) {
                for (const pricing::Entry& severity : place.severities) {
                    names.insert(severity.name);
                }
            }
        }
        if (names.size() > bounds::severities) {
            error(Code::list_size, pointer,
                  fmt::format("The faults have more than {} severities.", bounds::severities),
                  "Is it the right file?");
        }
    }

    void read_common(const json& root, pricing::Matrix& matrix) {
        const auto common = root.find("common");
        if (common == root.end() || !is_object(*common, "/common", "\"common\"")) {
            return;
        }
        known_only(*common, "/common", OwnFields::refused,
                   {"prices", "factors", "market_level", "grading", "measuring"});
        for (std::size_t kind = 0; kind < matrix.common.size(); ++kind) {
            const std::string name(pricing::input_kind_names[kind]);
            if (const auto found = common->find(name); found != common->end()) {
                if (const auto share = number_at(*found, "/common/" + name, 0, 1)) {
                    matrix.common[kind] = *share;
                }
            }
        }
    }

    void read_rounding(const json& root, pricing::Matrix& matrix) {
        const json* steps = member(root, "", "rounding");
        if (steps == nullptr || !is_array(*steps, "/rounding", "\"rounding\"")) {
            return;
        }
        std::vector<double> from;
        for (std::size_t i = 0; i < steps->size(); ++i) {
            const std::string at = fmt::format("/rounding/{}", i);
            if (!is_object((*steps)[i], at, "A step of rounding")) {
                continue;
            }
            known_only((*steps)[i], at, OwnFields::refused, {"from", "to_nearest"});
            const auto start = number((*steps)[i], at, "from", 0, largest_amount);
            const auto step = number((*steps)[i], at, "to_nearest", 0.001, bounds::number);
            if (start && step) {
                matrix.rounding.push_back({*start, *step});
                from.push_back(*start);
            }
        }
        if (steps->empty() || (from.size() == steps->size() && from.front() != 0)) {
            error(Code::value_range, "/rounding", "The first step of rounding is not from 0.",
                  "Begin with {\"from\": 0, \"to_nearest\": 1}.");
        }
        ascending(from, "/rounding");
    }

    void read_accepted(const json& root, pricing::Matrix& matrix) {
        const auto accepted = root.find("accepted");
        if (accepted == root.end() || !is_array(*accepted, "/accepted", "\"accepted\"")) {
            return;
        }
        for (std::size_t i = 0; i < accepted->size(); ++i) {
            const std::string at = fmt::format("/accepted/{}", i);
            const json& value = (*accepted)[i];
            if (!is_object(value, at, "What is accepted")) {
                continue;
            }
            known_only(value, at, OwnFields::refused, {"code", "at", "reason"});
            const std::string code = text(value, at, "code");
            const std::optional<Code> known = code_from(code);
            if (!code.empty() && !(known && pricing::is_lint_code(*known))) {
                error(Code::value_unknown, at + "/code",
                      fmt::format("\"{}\" is no warning that can be accepted.", code),
                      "Copy the code of the warning, the word between [ and ].");
            }
            matrix.accepted.push_back({known.value_or(Code::grid_gap), text(value, at, "at"),
                                       text(value, at, "reason"), at});
        }
    }

    void read_list_prices(const json& root, pricing::Matrix& matrix) {
        const auto steps = root.find("list_prices");
        if (steps == root.end() || matrix.currency.code.empty() ||
            !is_array(*steps, "/list_prices", "\"list_prices\"")) {
            return;
        }
        if (steps->empty()) {
            error(Code::value_range, "/list_prices", "There is no step of list prices.",
                  "Give at least one, or leave \"list_prices\" out.");
        }
        std::vector<double> from;
        for (std::size_t i = 0; i < steps->size(); ++i) {
            const std::string at = fmt::format("/list_prices/{}", i);
            if (const auto step = list_step((*steps)[i], at, matrix.currency)) {
                from.push_back((*steps)[i]["from"].get<double>());
                matrix.list_prices.push_back(*step);
            }
        }
        if (matrix.list_prices.size() == steps->size() && ascending(from, "/list_prices")) {
            check_prices(matrix.list_prices);
        }
    }

    void check_prices(const std::vector<pricing::ListStep>& steps) {
        for (std::size_t i = 0; i < steps.size(); ++i) {
            const pricing::ListStep* next = i + 1 < steps.size() ? &steps[i + 1] : nullptr;
            if (!pricing::lists_a_price(steps[i], next)) {
                error(Code::value_range, fmt::format("/list_prices/{}", i),
                      fmt::format("No list price lies between {} and {}, where the next step "
                                  "begins.",
                                  plain(steps[i].from), plain(next->from)),
                      "Take the step out, or make \"to_nearest\" smaller.");
            }
        }
    }

    std::optional<pricing::ListStep>
    list_step(const json& step, const std::string& pointer, const Currency& currency) {
        if (!is_object(step, pointer, "A step of list prices")) {
            return std::nullopt;
        }
        known_only(step, pointer, OwnFields::refused, {"from", "to_nearest", "ending"});
        const auto from = amount(step, pointer, "from", 0, largest_amount, currency);
        const auto every = amount(step, pointer, "to_nearest", 0.001, bounds::number, currency);
        const auto ending = step.contains("ending")
                                ? amount(step, pointer, "ending", 0, bounds::number, currency)
                                : std::optional(Money{0, currency.minor_digits});
        if (!from || !every || !ending) {
            return std::nullopt;
        }
        if (ending->minor >= every->minor) {
            error(Code::value_range, pointer + "/ending",
                  fmt::format("The ending, {}, is not below {}, the distance of the prices.",
                              plain(*ending), plain(*every)),
                  "Write an ending below \"to_nearest\": 5 to the nearest 10 lists 5, 15, 25 and "
                  "so on.");
            return std::nullopt;
        }
        return pricing::ListStep{*from, *every, *ending};
    }

    // A number that is a whole number of the currency's minor units.
    std::optional<Money> amount(const json& object,
                                const std::string& pointer,
                                const char* name,
                                double least,
                                double most,
                                const Currency& currency) {
        const auto found = number(object, pointer, name, least, most);
        if (!found) {
            return std::nullopt;
        }
        const Money money = to_money(*found, currency);
        if (static_cast<double>(money.minor) / power_of_ten(money.minor_digits) != *found) {
            error(Code::value_range, fmt::format("{}/{}", pointer, name),
                  fmt::format("{} is no amount of {}, which has {} decimals.", *found,
                              currency.code, currency.minor_digits),
                  "Round it to them.");
            return std::nullopt;
        }
        return money;
    }

    Diagnostics& diagnostics_;
    std::size_t first_;
    bool full_ = false; // as many errors were told as are told
};

} // namespace

pricing::Matrix matrix_from(const json& document, Diagnostics& diagnostics) {
    return MatrixReader(diagnostics).read(document);
}

std::optional<pricing::Matrix>
read_matrix(std::string_view text, const std::string& file, Diagnostics& diagnostics) {
    pricing::Matrix matrix;
    const bool sound =
        read_document("matrix", text, file, diagnostics, [&](const json& root, std::string_view) {
            matrix = matrix_from(root, diagnostics);
        });
    return sound ? std::optional(std::move(matrix)) : std::nullopt;
}

} // namespace trayworth::io
