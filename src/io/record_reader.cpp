#include "io/record_reader.hpp"

#include "core/bounds.hpp"
#include "core/date.hpp"
#include "core/decimal.hpp"
#include "core/money.hpp"
#include "core/nearest.hpp"
#include "io/json_errors.hpp"
#include "io/json_slips.hpp"
#include "io/locate.hpp"
#include "io/parse_json.hpp"
#include "io/record_fields.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <iterator>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace trayworth::io {
namespace {

constexpr std::string_view record_format = "trayworth/stone/1";
constexpr std::array<std::string_view, 3> dome_words{"low", "medium", "high"};
constexpr std::array<std::string_view, 3> back_words{"flat", "convex", "double"};

struct Scalar {
    enum class Kind { null, boolean, number, string } kind = Kind::null;
    bool flag = false;
    double number = 0;
    double resolution = 0;
    std::string_view text{}; // valid during the event that brings it
};

std::string_view name_of(Scalar::Kind kind) {
    static constexpr std::array<std::string_view, 4> names{"null", "true or false", "a number",
                                                           "a text"};
    return names[static_cast<std::size_t>(kind)];
}

// The fields in which a grader may straddle: [a, b] in place of a.
bool takes_two(Place within, Field field) {
    using enum Field;
    switch (field) {
    case body_tone:
    case transparency:
    case grade:
    case pattern:
    case coverage:
    case directionality:
    case share:
    case severity:
    case polish:
    case dome:
    case area_mm2:
    case length:
    case width:
    case depth:
    case wall:
    case weight_ct:
    case density:
    case value:
        return true;
    case back:
        return within == Place::dimensions;
    default:
        return false;
    }
}

bool is_reading(Place within, Field field) {
    using enum Field;
    switch (field) {
    case area_mm2:
    case length:
    case width:
    case depth:
    case wall:
    case weight_ct:
    case density:
        return true;
    case dome:
    case back:
        return within == Place::dimensions;
    default:
        return false;
    }
}

class RecordHandler final : public JsonHandler {
public:
    RecordHandler(Stone& stone, Diagnostics& diagnostics, Place root)
        : stone_(stone), diagnostics_(diagnostics), root_(root), first_(diagnostics.size()) {
        levels_.reserve(usual_depth);
    }

    [[nodiscard]] const std::vector<std::string>& extensions() const { return extensions_; }
    bool null() override { return scalar({Scalar::Kind::null}); }
    bool boolean(bool flag) override { return scalar({Scalar::Kind::boolean, flag}); }
    bool number_integer(nlohmann::json::number_integer_t n) override {
        return number(static_cast<double>(n), 1);
    }
    bool number_unsigned(nlohmann::json::number_unsigned_t n) override {
        return number(static_cast<double>(n), 1);
    }
    bool number_float(double n, const std::string& text) override {
        return number(n, resolution_of(text));
    }
    bool string(std::string& text) override {
        if (text.size() > bounds::text_length && recorded() &&
            characters_in(text) > bounds::text_length) {
            return refuse_scalar(Code::text_size, text_too_long(), "Keep it in a file of its own.");
        }
        return scalar({Scalar::Kind::string, false, 0, 0, text});
    }
    bool binary(nlohmann::json::binary_t&) override { return false; }

    bool start_object(std::size_t) override {
        if (skipping() || !has_room()) {
            return deeper();
        }
        if (collecting_) {
            return refuse_element("an object");
        }
        const std::optional<Place> inside = object_here();
        if (!inside) {
            wrong_type("an object");
            return deeper();
        }
        enter(*inside);
        return true;
    }

    bool end_object() override {
        if (skip_depth_ > 0) {
            return shallower();
        }
        finish_object();
        levels_.pop_back();
        return true;
    }

    bool start_array(std::size_t) override {
        if (skipping() || !has_room()) {
            return deeper();
        }
        if (collecting_) {
            return refuse_element("an array");
        }
        if (levels_.empty() || is_array(levels_.back().place)) {
            wrong_type("an array");
            return deeper();
        }
        const Level& level = levels_.back();
        const std::optional<Place> inside = array_of(level.place, level.key);
        if (inside) {
            enter(*inside);
            empty_list(*inside);
        } else if (takes_two(level.place, level.key)) {
            collecting_ = true;
            pair_.clear();
            pair_.reserve(most_elements_kept);
        } else {
            wrong_type("an array");
            return deeper();
        }
        return true;
    }

    bool end_array() override {
        if (skip_depth_ > 0) {
            return shallower();
        }
        if (!collecting_) {
            const Level closed = levels_.back();
            levels_.pop_back();
            if (closed.place == Place::colours && closed.index == 0) {
                error(Code::value_range, pointer(), "The list of colours is empty.",
                      "Name each colour with its share, or write \"play_of_colour\": null when "
                      "there is none.");
            }
            return true;
        }
        collecting_ = false;
        if (pair_.size() == 2) {
            assign(pair_[0], &pair_[1]);
        } else if (!pair_refused_) {
            const bool numbers = std::all_of(pair_.begin(), pair_.end(), [](const Scalar& end) {
                return end.kind == Scalar::Kind::number;
            });
            error(Code::value_type, pointer(),
                  fmt::format("A range has two ends, and {} has {}.", quoted_key(), pair_.size()),
                  pair_.size() > 2 && numbers
                      ? "Write [low, high], with a point in decimals and not a comma: 2.5."
                      : "Write [low, high], or the one grade without brackets.");
        }
        pair_refused_ = false;
        return true;
    }

    bool key(std::string& name) override {
        if (name.size() > bounds::name_length && characters_in(name) > bounds::name_length) {
            return stop(Code::text_size, object_pointer(), name_too_long(),
                        "Shorten it, or keep it as a text.");
        }
        if (skip_depth_ > 0) {
            return true;
        }
        Level& level = levels_.back();
        level.keyed = false;
        skipped_.clear();
        const std::optional<Field> field = field_in(level.place, name);
        if (!field) {
            return other_field(level.place, name);
        }
        level.key = *field;
        level.keyed = true;
        const std::uint64_t bit = std::uint64_t{1} << static_cast<unsigned>(*field);
        if ((level.seen & bit) != 0) {
            repeated(pointer());
        }
        level.seen |= bit;
        return !stopped_;
    }

    bool parse_error(std::size_t, const std::string&, const nlohmann::json::exception&) override {
        syntax_failed_ = true;
        return false;
    }

    // Whether the text stopped being JSON.
    [[nodiscard]] bool syntax_failed() const { return syntax_failed_; }
    // Whether it was read to its end.
    [[nodiscard]] bool complete() const { return !syntax_failed_ && !stopped_; }

    // What can only be judged once the record is complete, the tray's defaults included.
    void check_whole() {
        if (!faulty("/brightness")) {
            check_brightness();
        }
        if (stone_.play_of_colour && !faulty("/play_of_colour")) {
            require_part(stone_.play_of_colour->colours.has_value(), "/play_of_colour/colours",
                         Place::play_of_colour);
            require_part(stone_.play_of_colour->pattern.has_value(), "/play_of_colour/pattern",
                         Place::play_of_colour);
        }
        // A currency that a tray gives to stones without a cost asks for nothing.
        if (stone_.cost && (cost_given_ || stone_.cost->amount) && !faulty("/cost")) {
            require_part(stone_.cost->amount.has_value(), "/cost/amount", Place::cost);
            require_part(stone_.cost->currency.has_value(), "/cost/currency", Place::cost);
        }
        if (stone_.sale && !faulty("/sale")) {
            check_sale(*stone_.sale);
        }
    }

private:
    struct Level {
        Place place = Place::root;
        Field key = Field::id; // means nothing until `keyed`
        bool keyed = false;    // false at a key that is not one of the fields
        std::uint64_t seen = 0;
        std::size_t index = 0; // elements so far, in an array
    };

    // Whether something at or below the pointer was refused already.
    [[nodiscard]] bool faulty(std::string_view pointer) const {
        return std::any_of(diagnostics_.begin() + static_cast<std::ptrdiff_t>(first_),
                           diagnostics_.end(), [pointer](const Diagnostic& diagnostic) {
                               return diagnostic.pointer.starts_with(pointer);
                           });
    }

    void check_brightness() {
        if (!stone_.brightness || !stone_.brightness->grade) {
            return;
        }
        if (stone_.no_play_of_colour) {
            error(Code::value_range, "/brightness/grade",
                  "A stone without play-of-colour has no grade of brightness.",
                  "Write \"brightness\": null, or describe the play-of-colour.");
            return;
        }
        const Brightness& brightness = *stone_.brightness;
        if (!brightness.steps || !brightness.brightest) {
            error(Code::brightness_scale, "/brightness",
                  fmt::format("A brightness grade means nothing without {}.",
                              brightness.steps       ? "its direction"
                              : brightness.brightest ? "the number of steps of its scale"
                                                     : "its scale"),
                  "State \"steps\" (how many grades) and \"brightest\" (which grade is the "
                  "brightest), here or in the tray.");
            return;
        }
        const int steps = *brightness.steps;
        if (*brightness.brightest != 1 && *brightness.brightest != steps) {
            error(
                Code::brightness_scale, "/brightness/brightest",
                fmt::format("The brightest of {} grades is 1 or {}, not {}.", steps, steps,
                            *brightness.brightest),
                "On a scale from 0, where 0 is no play-of-colour, count only the grades above 0.");
            return;
        }
        const Range<double> grade = *brightness.grade;
        if (grade.low < 1 || grade.high > steps) {
            error(Code::value_range, "/brightness/grade",
                  fmt::format("A grade on a scale of {} lies between 1 and {}.", steps, steps),
                  grade.low == 0 ? "Grade 0 says that there is no play-of-colour: write "
                                   "\"play_of_colour\": null and \"brightness\": null."
                                 : "Correct the grade, or the number of steps of its scale.");
        }
    }

    // What a tray gives to stones that have not been offered asks for nothing.
    void check_sale(const Sale& sale) {
        if (!sale_given_ && !sale.price && !sale.unsold_at) {
            return;
        }
        if (sale.price && sale.unsold_at) {
            error(Code::value_range, "/sale/unsold_at",
                  "A stone that has sold is not unsold: \"price\" and \"unsold_at\" exclude each "
                  "other.",
                  "Keep \"price\" if it sold, \"unsold_at\" if it did not.");
        }
        require_part(sale.price || sale.unsold_at, "/sale/price", Place::sale);
        require_part(sale.currency.has_value(), "/sale/currency", Place::sale);
        require_part(sale.date.has_value(), "/sale/date", Place::sale);
        require_part(sale.market_level.has_value(), "/sale/market_level", Place::sale);
    }

    // ---- where we are

    [[nodiscard]] std::string pointer() const { return pointer_through(levels_.size()); }
    // Of the object that the key stands in.
    [[nodiscard]] std::string object_pointer() const {
        return levels_.empty() ? std::string() : pointer_through(levels_.size() - 1);
    }
    [[nodiscard]] std::string pointer_through(std::size_t depth) const {
        std::string text;
        for (const Level& level : std::span(levels_).first(depth)) {
            if (is_array(level.place)) {
                text += "/" + std::to_string(level.index == 0 ? 0 : level.index - 1);
            } else if (level.keyed) {
                text += "/";
                text += io::name_of(level.key);
            }
        }
        return text;
    }
    [[nodiscard]] std::string quoted_key() const {
        return fmt::format("\"{}\"", io::name_of(levels_.back().key));
    }

    [[gnu::cold]] void error(Code code,
                             std::string where,
                             std::string message,
                             std::string hint,
                             Target target = Target::value) {
        if (diagnostics_.size() - first_ < bounds::errors) {
            diagnostics_.push_back({code, Severity::error, std::move(where), std::move(message),
                                    std::move(hint), target});
        } else if (!stopped_) {
            stop(Code::errors_too_many, "", errors_too_many(), "Correct these first.");
        }
    }

    // What follows is not read. Returns false, for the parser.
    [[gnu::cold]] bool stop(Code code, std::string where, std::string message, std::string hint) {
        stopped_ = true;
        diagnostics_.push_back(
            {code, Severity::error, std::move(where), std::move(message), std::move(hint)});
        return false;
    }

    // ---- what is passed over

    // Whether the value that begins here is part of what is passed over.
    bool skipping() {
        if (skip_depth_ > 0) {
            return true;
        }
        return std::exchange(skip_value_, false);
    }
    bool deeper() {
        return ++skip_depth_ + levels_.size() <= bounds::nesting ||
               stop(Code::json_too_deep, skipped_.empty() ? pointer() : skipped_,
                    fmt::format("The text is nested deeper than {} levels.", bounds::nesting),
                    "A record needs five; remove what encloses it.");
    }
    bool shallower() {
        --skip_depth_;
        return true;
    }

    // A field of one's own, or an unknown one.
    bool other_field(Place place, const std::string& name) {
        const bool record_level = place == Place::record || place == Place::envelope;
        if (record_level && name.starts_with("x-")) {
            return extension(name);
        }
        unknown_field(place, name);
        skip_value_ = true;
        return !stopped_;
    }

    bool extension(const std::string& name) {
        std::string where = object_pointer() + "/" + pointer_token(name);
        if (std::find(extension_pointers_.begin(), extension_pointers_.end(), where) !=
            extension_pointers_.end()) {
            repeated(where);
        }
        if (extensions_.size() == bounds::own_fields) {
            return stop(Code::list_size, object_pointer(),
                        fmt::format("There are more than {} fields of your own.",
                                    grouped(bounds::own_fields)),
                        "Keep together in one what belongs together.");
        }
        skipped_ = where;
        extension_pointers_.push_back(std::move(where));
        extensions_.push_back(name);
        skip_value_ = true;
        return true;
    }

    [[gnu::cold]] void repeated(std::string where) {
        Diagnostic twice = repeated_key(std::move(where));
        error(twice.code, std::move(twice.pointer), std::move(twice.message), std::move(twice.hint),
              twice.target);
        skip_value_ = true;
    }

    [[gnu::cold]] void unknown_field(Place place, const std::string& name) {
        std::vector<std::string_view> known;
        for (const Field field : fields_of(place)) {
            known.push_back(io::name_of(field));
        }
        const std::optional<std::string_view> near = nearest(name, known);
        std::string names;
        for (const std::string_view field : known) {
            names += fmt::format("{}{}", names.empty() ? "" : ", ", field);
        }
        std::string hint = near ? fmt::format("Did you mean \"{}\"?", *near)
                                : fmt::format("Known here: {}.", names);
        if (place == Place::record && !near) {
            hint += " A field of your own begins with \"x-\".";
        }
        skipped_ = object_pointer() + "/" + pointer_token(name);
        error(Code::field_unknown, skipped_,
              fmt::format("\"{}\" is not a field of {}.", name, name_of_object(place)),
              std::move(hint), Target::key);
    }

    // ---- what is too much

    // Whether the value that is here is kept, and not passed over.
    [[nodiscard]] bool recorded() const { return skip_depth_ == 0 && !skip_value_; }

    bool refuse_scalar(Code code, std::string message, std::string hint) {
        if (!collecting_) {
            count_element();
        }
        pair_refused_ = collecting_;
        error(code, pointer(), std::move(message), std::move(hint));
        return !stopped_;
    }

    static std::size_t most_in(Place list) {
        switch (list) {
        case Place::colours:
            return bounds::colours;
        case Place::faults:
            return bounds::faults;
        default:
            return bounds::treatments;
        }
    }

    // Whether the value that begins here finds room in its list; outside of lists it does.
    bool has_room() {
        return levels_.empty() || !is_array(levels_.back().place) || list_has_room();
    }
    bool list_has_room() {
        const Level& list = levels_.back();
        const std::size_t most = most_in(list.place);
        if (list.index == most) {
            error(Code::list_size, pointer_through(levels_.size() - 1),
                  fmt::format("The list has more than {} entries.", most),
                  "Name what matters for the value, each once.");
            count_element();
        }
        return list.index < most;
    }

    static std::string_view name_of_object(Place place) {
        switch (place) {
        case Place::envelope:
            return "a tray";
        case Place::record:
            return "a record";
        case Place::brightness:
            return "\"brightness\"";
        case Place::play_of_colour:
            return "\"play_of_colour\"";
        case Place::colour:
            return "a colour";
        case Place::fault:
            return "a fault";
        case Place::cut:
            return "\"cut\"";
        case Place::dimensions:
            return "\"dimensions_mm\"";
        case Place::cost:
            return "\"cost\"";
        case Place::sale:
            return "\"sale\"";
        default:
            return "a reading";
        }
    }

    // ---- objects and arrays

    [[nodiscard]] std::optional<Place> object_here() const {
        if (levels_.empty()) {
            return root_;
        }
        const Level& level = levels_.back();
        switch (level.place) {
        case Place::envelope:
            return level.key == Field::tray ? std::optional(Place::record) : std::nullopt;
        case Place::record:
            switch (level.key) {
            case Field::brightness:
                return Place::brightness;
            case Field::play_of_colour:
                return Place::play_of_colour;
            case Field::cut:
                return Place::cut;
            case Field::dimensions_mm:
                return Place::dimensions;
            case Field::cost:
                return Place::cost;
            case Field::sale:
                return Place::sale;
            case Field::weight_ct:
            case Field::density:
                return Place::reading;
            default:
                return std::nullopt;
            }
        case Place::colours:
            return Place::colour;
        case Place::faults:
            return Place::fault;
        case Place::cut:
        case Place::dimensions:
            return is_reading(level.place, level.key) ? std::optional(Place::reading)
                                                      : std::nullopt;
        default:
            return std::nullopt;
        }
    }

    static std::optional<Place> array_of(Place place, Field key) {
        if (place == Place::record && key == Field::treatments) {
            return Place::treatments;
        }
        if (place == Place::record && key == Field::faults) {
            return Place::faults;
        }
        if (place == Place::play_of_colour && key == Field::colours) {
            return Place::colours;
        }
        // The stones of an envelope were taken out of it: what is left is empty.
        if (place == Place::envelope && key == Field::stones) {
            return Place::faults;
        }
        return std::nullopt;
    }

    void enter(Place inside) {
        count_element();
        levels_.push_back({inside});
        switch (inside) {
        case Place::brightness:
            if (!stone_.brightness) {
                stone_.brightness.emplace();
            }
            break;
        case Place::play_of_colour:
            stone_.no_play_of_colour = false;
            if (!stone_.play_of_colour) {
                stone_.play_of_colour.emplace();
            }
            break;
        case Place::cost:
            cost_given_ = true;
            if (!stone_.cost) {
                stone_.cost.emplace();
            }
            break;
        case Place::sale:
            sale_given_ = true;
            if (!stone_.sale) {
                stone_.sale.emplace();
            }
            break;
        case Place::colour:
            stone_.play_of_colour->colours->emplace_back();
            break;
        case Place::fault:
            stone_.faults->emplace_back();
            break;
        case Place::reading:
            reading_ = {};
            reading_given_ = false;
            limits_given_ = false;
            break;
        default:
            break;
        }
    }

    void count_element() {
        if (!levels_.empty() && is_array(levels_.back().place)) {
            ++levels_.back().index;
        }
    }

    void empty_list(Place inside) {
        if (levels_[levels_.size() - 2].place == Place::envelope) {
            return;
        }
        if (inside == Place::treatments) {
            stone_.treatments.emplace();
        } else if (inside == Place::faults) {
            stone_.faults.emplace();
        } else {
            stone_.play_of_colour->colours.emplace().reserve(usual_colours);
        }
    }

    [[nodiscard]] bool seen(Field field) const {
        return (levels_.back().seen >> static_cast<unsigned>(field) & 1U) != 0;
    }

    void require(Field field) {
        if (!seen(field)) {
            require_part(false, fmt::format("{}/{}", object_pointer(), io::name_of(field)),
                         levels_.back().place);
        }
    }

    // `pointer` ends with the name of what has to be in an object of this kind.
    void require_part(bool given, std::string_view pointer, Place object) {
        if (!given) {
            missing_part(pointer, object);
        }
    }
    [[gnu::cold]] void missing_part(std::string_view pointer, Place object) {
        const std::string_view name = pointer.substr(pointer.rfind('/') + 1);
        error(Code::field_missing, std::string(pointer),
              fmt::format("\"{}\" is missing from {}.", name, name_of_object(object)),
              fmt::format("Add it, as \"{}\": {}.", name, example_of(name)));
    }

    // Of what has to be in an object.
    static std::string_view example_of(std::string_view name) {
        static constexpr std::array<std::pair<std::string_view, std::string_view>, 14> examples{{
            {"colour", "\"green\""},
            {"share", "0.6"},
            {"kind", "\"crack\""},
            {"place", "\"face\""},
            {"severity", "\"minor\""},
            {"value", "3.61"},
            {"tray", "{} when the stones share nothing"},
            {"colours", "[{\"colour\": \"green\", \"share\": 1}]"},
            {"pattern", "\"flash\""},
            {"amount", "120"},
            {"currency", "\"AUD\""},
            {"price", "250"},
            {"date", "\"2026-11-28\""},
            {"market_level", "\"retail\""},
        }};
        return std::find_if(examples.begin(), examples.end(),
                            [name](const auto& example) { return example.first == name; })
            ->second;
    }

    void finish_object() {
        switch (levels_.back().place) {
        case Place::colour:
            require(Field::colour);
            require(Field::share);
            break;
        case Place::fault:
            require(Field::kind);
            require(Field::place);
            require(Field::severity);
            break;
        case Place::reading:
            finish_reading();
            break;
        case Place::envelope:
            require(Field::tray);
            break;
        default:
            break;
        }
    }

    void finish_reading() {
        const Level& outer = levels_[levels_.size() - 2];
        const bool weight = outer.place == Place::record && outer.key == Field::weight_ct;
        if (!reading_given_) {
            // The scale's uncertainty alone: a tray's default, or a stone's beside a tray's weight.
            const bool may_lack_value = root_ == Place::envelope || stone_.weight_ct;
            if (weight && may_lack_value && reading_.standard_uncertainty) {
                stone_.weight_uncertainty = reading_.standard_uncertainty;
            } else {
                require(Field::value);
            }
            return;
        }
        if (limits_given_ && reading_.standard_uncertainty) {
            error(Code::value_type, object_pointer(),
                  "A reading is given by limits or with an uncertainty, not both.",
                  "Keep [low, high] when you know limits, the value and its uncertainty when you "
                  "know those.");
        }
        set_reading(outer.key, reading_);
    }

    void set_reading(Field field, const Reading& reading) {
        using enum Field;
        Dimensions& mm = stone_.dimensions_mm;
        switch (field) {
        case weight_ct:
            stone_.weight_ct = reading;
            break;
        case density:
            stone_.density = reading;
            stone_.density_variety.reset();
            break;
        case area_mm2:
            stone_.cut.area_mm2 = reading;
            break;
        case length:
            mm.length = reading;
            break;
        case width:
            mm.width = reading;
            break;
        case depth:
            mm.depth = reading;
            break;
        case wall:
            mm.wall = reading;
            break;
        case dome:
            mm.dome = reading;
            break;
        case back:
            mm.back = reading;
            break;
        default:
            break;
        }
    }

    // ---- values

    bool number(double value, double resolution) {
        if (!(std::abs(value) <= bounds::number) && recorded()) {
            return refuse_scalar(
                Code::number_size,
                fmt::format("{} is larger than any number a record can hold.", value),
                fmt::format("Numbers lie between -{0:.0f} and {0:.0f}.", bounds::number));
        }
        return scalar({Scalar::Kind::number, false, value, resolution});
    }

    bool scalar(const Scalar& value) {
        if (skipping()) {
            return true;
        }
        if (collecting_) {
            if (pair_.size() <
                most_elements_kept) { // a longer list is as wrong as one of this length
                std::string& kept = pair_texts_[pair_.size()];
                kept.assign(value.text);
                pair_.push_back(value);
                pair_.back().text = kept;
            }
            return true;
        }
        if (levels_.empty()) {
            wrong_type(name_of(value.kind));
            return true;
        }
        if (has_room()) {
            count_element();
            assign(value, nullptr);
        }
        return !stopped_;
    }

    [[gnu::cold]] bool refuse_element(std::string_view found) {
        error(Code::value_type, pointer(), fmt::format("The ends of a range are not {}.", found),
              "Write [low, high], or the one grade without brackets.");
        pair_refused_ = true;
        return deeper();
    }

    [[gnu::cold]] void wrong_type(std::string_view found) {
        if (levels_.empty()) {
            error(Code::value_type, "", fmt::format("A record has to be an object, not {}.", found),
                  "Write the record between { and }.");
            return;
        }
        count_element();
        mistyped(found);
    }

    [[gnu::cold]] void mistyped(std::string_view found) {
        const Level& level = levels_.back();
        const std::string_view wanted = expected(level.place, level.key);
        const bool quoted = found == "a text" && wanted.find("number") != std::string_view::npos;
        error(Code::value_type, pointer(),
              is_array(level.place)
                  ? fmt::format("An entry here has to be {}, not {}.", wanted, found)
                  : fmt::format("\"{}\" has to be {}, not {}.", io::name_of(level.key), wanted,
                                found),
              quoted ? "Write the number without quotes and without a unit."
                     : "Write it as the record's format has it: see \"trayworth schema record\".");
    }

    static std::string_view expected(Place within, Field field) {
        using enum Field;
        if (within == Place::treatments) {
            return "a text in plain words";
        }
        if (within == Place::colours) {
            return "an object with \"colour\" and \"share\"";
        }
        if (within == Place::faults) {
            return "an object with \"kind\", \"place\" and \"severity\"";
        }
        if (is_reading(within, field)) {
            return "a number above 0, [low, high], or {\"value\", \"uncertainty\"}";
        }
        switch (field) {
        case body_tone:
            return "a tone \"N1\" to \"N9\", or two of them";
        case grade:
        case coverage:
        case share:
        case value:
            return "a number, or [low, high]";
        case amount:
        case price:
        case unsold_at:
        case days:
        case uncertainty:
            return "a number";
        case steps:
        case brightest:
            return "a whole number";
        case hydrophane:
        case mounted:
            return "true or false";
        case treatments:
        case faults:
        case colours:
        case stones:
            return "an array";
        case brightness:
        case play_of_colour:
        case cut:
        case dimensions_mm:
        case cost:
        case sale:
        case tray:
            return "an object";
        case pattern:
        case directionality:
        case severity:
        case polish:
        case dome:
        case transparency:
            return "a word, or two of them";
        default:
            return "a text";
        }
    }

    // `second` is the other end of a range, or nothing.
    void assign(const Scalar& first, const Scalar* second) {
        const Level& level = levels_.back();
        switch (level.place) {
        case Place::record:
            assign_record(level.key, first, second);
            break;
        case Place::brightness:
            assign_brightness(level.key, first, second);
            break;
        case Place::play_of_colour:
            assign_play(level.key, first, second);
            break;
        case Place::colour:
            assign_colour(level.key, first, second);
            break;
        case Place::fault:
            assign_fault(level.key, first, second);
            break;
        case Place::cut:
            assign_cut(level.key, first, second);
            break;
        case Place::dimensions:
            if (level.key == Field::uncertainty) {
                take_number(first, 0, stone_.dimensions_mm.uncertainty);
            } else {
                take_reading(first, second);
            }
            break;
        case Place::reading:
            if (level.key == Field::uncertainty) {
                take_number(first, 0, reading_.standard_uncertainty);
            } else if (const std::optional<Reading> read = reading_from(first, second)) {
                reading_.low = read->low;
                reading_.high = read->high;
                reading_.resolution = read->resolution;
                reading_given_ = true;
                limits_given_ = second != nullptr;
            } else {
                reading_given_ = true; // and refused
                reading_.low = reading_.high = 1;
            }
            break;
        case Place::cost:
            assign_cost(level.key, first);
            break;
        case Place::sale:
            assign_sale(level.key, first);
            break;
        case Place::treatments:
            if (const std::optional<std::string_view> text = text_from(first)) {
                stone_.treatments->emplace_back(*text);
            }
            break;
        case Place::envelope:
            if (level.key == Field::format) {
                check_format(first);
                break;
            }
            [[fallthrough]];
        default:
            mistyped(name_of(first.kind));
        }
    }

    void assign_record(Field field, const Scalar& first, const Scalar* second) {
        using enum Field;
        const bool null = first.kind == Scalar::Kind::null && second == nullptr;
        switch (field) {
        case format:
            check_format(first);
            break;
        case id:
            take_text(first, stone_.id);
            break;
        case type:
            stone_.type = one_of(stone_types, first);
            break;
        case body_tone:
            take_tone(first, second);
            break;
        case body_hue:
            if (null) {
                stone_.body_hue.reset();
            } else {
                take_text(first, stone_.body_hue);
            }
            break;
        case transparency:
            take_transparency(first, second);
            break;
        case hydrophane:
            take_flag(first, stone_.hydrophane);
            break;
        case mounted:
            take_flag(first, stone_.mounted);
            break;
        case notes:
            take_text(first, stone_.notes);
            break;
        case brightness:
            if (null) {
                stone_.brightness.reset();
            } else {
                mistyped(name_of(first.kind));
            }
            break;
        case play_of_colour:
            if (null) {
                stone_.play_of_colour.reset();
                stone_.no_play_of_colour = true;
            } else {
                mistyped(name_of(first.kind));
            }
            break;
        case density:
            if (first.kind == Scalar::Kind::string && second == nullptr) {
                take_text(first, stone_.density_variety);
                stone_.density.reset();
                break;
            }
            [[fallthrough]];
        case weight_ct:
            take_reading(first, second);
            break;
        default:
            mistyped(name_of(first.kind));
        }
    }

    void assign_brightness(Field field, const Scalar& first, const Scalar* second) {
        Brightness& brightness = *stone_.brightness;
        if (field == Field::grade) {
            // A stone's grade is judged with its scale, once both are known.
            const bool tray = root_ == Place::envelope;
            brightness.grade = range_from(first, second, tray ? 1 : -bounds::number,
                                          tray ? most_brightness_steps : bounds::number);
        } else if (field == Field::steps) {
            take_whole(first, fewest_brightness_steps, most_brightness_steps, brightness.steps);
        } else {
            take_whole(first, 1, most_brightness_steps, brightness.brightest);
        }
    }

    void assign_play(Field field, const Scalar& first, const Scalar* second) {
        PlayOfColour& play = *stone_.play_of_colour;
        if (field == Field::pattern) {
            take_words(first, second, play.pattern);
        } else if (field == Field::directionality) {
            take_words(first, second, play.directionality);
        } else if (field == Field::coverage) {
            play.coverage = range_from(first, second, 0, 1);
        } else {
            mistyped(name_of(first.kind));
        }
    }

    void assign_colour(Field field, const Scalar& first, const Scalar* second) {
        ColourShare& colour = stone_.play_of_colour->colours->back();
        if (field == Field::colour) {
            if (const std::optional<std::string_view> text = text_from(first)) {
                colour.colour = *text;
            }
        } else {
            colour.share = range_from(first, second, 0, 1);
        }
    }

    void assign_fault(Field field, const Scalar& first, const Scalar* second) {
        Fault& fault = stone_.faults->back();
        if (field == Field::severity) {
            std::optional<Words> words;
            take_words(first, second, words);
            fault.severity = words.value_or(Words{});
        } else if (const std::optional<std::string_view> text = text_from(first)) {
            (field == Field::kind ? fault.kind : fault.place) = *text;
        }
    }

    void assign_cut(Field field, const Scalar& first, const Scalar* second) {
        Cut& cut = stone_.cut;
        switch (field) {
        case Field::outline:
            take_text(first, cut.outline);
            break;
        case Field::dome:
            take_words(first, second, cut.dome);
            if (cut.dome) {
                known_word(cut.dome->first, dome_words);
                if (!cut.dome->is_point()) {
                    known_word(cut.dome->second, dome_words);
                }
            }
            break;
        case Field::back:
            take_text(first, cut.back);
            if (cut.back) {
                known_word(*cut.back, back_words);
            }
            break;
        case Field::polish:
            take_words(first, second, cut.polish);
            break;
        default:
            take_reading(first, second);
        }
    }

    void assign_cost(Field field, const Scalar& first) {
        Cost& cost = *stone_.cost;
        if (field == Field::amount) {
            take_number(first, 0, cost.amount);
        } else if (field == Field::note) {
            take_text(first, cost.note);
        } else {
            take_currency(first, cost.currency);
        }
    }

    void assign_sale(Field field, const Scalar& first) {
        Sale& sale = *stone_.sale;
        switch (field) {
        case Field::price:
            take_positive(first, sale.price);
            break;
        case Field::unsold_at:
            take_positive(first, sale.unsold_at);
            break;
        case Field::currency:
            take_currency(first, sale.currency);
            break;
        case Field::date:
            take_text(first, sale.date);
            if (sale.date && !date_from(*sale.date)) {
                error(Code::value_unknown, pointer(),
                      fmt::format("\"{}\" is not a date.", *sale.date),
                      "Write it as ISO 8601 has it: \"2026-11-28\".");
            }
            break;
        case Field::market_level:
            take_text(first, sale.market_level);
            break;
        default:
            take_number(first, 0, sale.days);
        }
    }

    // ---- typed takers: each reports and leaves its target alone when the value will not do

    std::optional<std::string_view> text_from(const Scalar& value) {
        if (value.kind != Scalar::Kind::string) {
            mistyped(name_of(value.kind));
            return std::nullopt;
        }
        if (value.text.empty()) {
            error(Code::value_range, pointer(), "The text is empty.",
                  "Write it, or leave the field out.");
            return std::nullopt;
        }
        return value.text;
    }

    void take_text(const Scalar& value, std::optional<std::string>& target) {
        if (const std::optional<std::string_view> text = text_from(value)) {
            target.emplace(*text);
        }
    }

    void take_currency(const Scalar& value, std::optional<std::string>& target) {
        take_text(value, target);
        if (target && !currency_from(*target)) {
            error(Code::value_unknown, pointer(),
                  fmt::format("\"{}\" is not a currency of ISO 4217.", *target),
                  "Write its three letters, for example \"AUD\".");
        }
    }

    void take_flag(const Scalar& value, std::optional<bool>& target) {
        if (value.kind == Scalar::Kind::boolean) {
            target = value.flag;
        } else {
            mistyped(name_of(value.kind));
        }
    }

    void take_words(const Scalar& first, const Scalar* second, std::optional<Words>& target) {
        const std::optional<std::string_view> one = text_from(first);
        const std::optional<std::string_view> two = second == nullptr ? one : text_from(*second);
        if (one && two) {
            target.emplace(Words{std::string(*one), std::string(*two)});
        }
    }

    void known_word(std::string_view word, std::span<const std::string_view> known) {
        if (std::find(known.begin(), known.end(), word) == known.end()) {
            unknown_word(word, known);
        }
    }

    [[gnu::cold]] void unknown_word(std::string_view word,
                                    std::span<const std::string_view> known) {
        std::string names;
        for (const std::string_view name : known) {
            names += fmt::format("{}{}", names.empty() ? "" : ", ", name);
        }
        const std::optional<std::string_view> near = nearest(word, known);
        error(Code::value_unknown, pointer(), fmt::format("\"{}\" is not one of: {}.", word, names),
              near ? fmt::format("Did you mean \"{}\"?", *near) : "Use one of them.");
    }

    template<class Enum, std::size_t N>
    std::optional<Enum> one_of(const std::array<Named<Enum>, N>& known, const Scalar& value) {
        const std::optional<std::string_view> text = text_from(value);
        if (!text) {
            return std::nullopt;
        }
        std::array<std::string_view, N> names;
        for (std::size_t i = 0; i < N; ++i) {
            if (known[i].name == *text) {
                return known[i].value;
            }
            names[i] = known[i].name;
        }
        unknown_word(*text, names);
        return std::nullopt;
    }

    [[gnu::cold]] void reversed(std::string_view low, std::string_view high) {
        error(Code::range_reversed, pointer(),
              fmt::format("The range runs from {} to {}, backwards.", low, high),
              fmt::format("Write [{1}, {0}].", low, high));
    }

    std::optional<int> tone_in(const Scalar& value) {
        const std::optional<std::string_view> text = text_from(value);
        if (!text) {
            return std::nullopt;
        }
        const std::optional<int> tone = tone_from(*text);
        if (!tone) {
            unknown_word(*text, tone_names);
        }
        return tone;
    }

    void take_tone(const Scalar& first, const Scalar* second) {
        const std::optional<int> low = tone_in(first);
        const std::optional<int> high = second == nullptr || !low ? low : tone_in(*second);
        if (!low || !high) {
            return;
        }
        if (*low > *high) {
            reversed(fmt::format("\"{}\"", tone_name(*low)),
                     fmt::format("\"{}\"", tone_name(*high)));
            return;
        }
        stone_.body_tone = Range<int>{*low, *high};
    }

    void take_transparency(const Scalar& first, const Scalar* second) {
        const std::optional<Transparency> low = one_of(transparencies, first);
        const std::optional<Transparency> high =
            second == nullptr || !low ? low : one_of(transparencies, *second);
        if (!low || !high) {
            return;
        }
        if (*low > *high) {
            reversed(fmt::format("\"{}\"", trayworth::name_of(*low)),
                     fmt::format("\"{}\"", trayworth::name_of(*high)));
            return;
        }
        stone_.transparency = Range<Transparency>{*low, *high};
    }

    std::optional<Range<double>>
    range_from(const Scalar& first, const Scalar* second, double least, double most) {
        const double high_end = second == nullptr ? first.number : second->number;
        for (const Scalar* end : {&first, second}) {
            if (end != nullptr && end->kind != Scalar::Kind::number) {
                mistyped(name_of(end->kind));
                return std::nullopt;
            }
        }
        if (first.number > high_end) {
            reversed(fmt::format("{}", first.number), fmt::format("{}", high_end));
            return std::nullopt;
        }
        if (first.number < least || high_end > most) {
            const bool percent = most == 1 && first.number > 1 && high_end <= 100;
            const double found = first.number < least ? first.number : high_end;
            error(Code::value_range, pointer(),
                  most == bounds::number
                      ? fmt::format("{} is {} or more, not {}.", quoted_key(), least, found)
                      : fmt::format("{} lies between {} and {}, not at {}.", quoted_key(), least,
                                    most, found),
                  percent
                      ? fmt::format("Write a share of one: {} % is {}.", high_end, high_end / 100)
                      : "Correct the number.");
            return std::nullopt;
        }
        return Range<double>{first.number, high_end};
    }

    std::optional<Reading> reading_from(const Scalar& first, const Scalar* second) {
        const std::optional<Range<double>> range =
            range_from(first, second, -bounds::number, bounds::number);
        if (!range) {
            return std::nullopt;
        }
        if (range->low <= 0) {
            not_positive(range->low, "Measure again, or leave the field out.");
            return std::nullopt;
        }
        return Reading{range->low, range->high, second == nullptr ? first.resolution : 0, {}};
    }

    void take_reading(const Scalar& first, const Scalar* second) {
        if (const std::optional<Reading> reading = reading_from(first, second)) {
            set_reading(levels_.back().key, *reading);
        }
    }

    void take_number(const Scalar& value, double least, std::optional<double>& target) {
        if (const std::optional<Range<double>> range =
                range_from(value, nullptr, least, bounds::number)) {
            target = range->low;
        }
    }

    void take_positive(const Scalar& value, std::optional<double>& target) {
        take_number(value, -bounds::number, target);
        if (target && *target <= 0) {
            not_positive(*target, "Correct the number, or leave the field out.");
        }
    }

    [[gnu::cold]] void not_positive(double found, std::string hint) {
        error(Code::value_range, pointer(),
              fmt::format("{} is more than 0, not {}.", quoted_key(), found), std::move(hint));
    }

    void take_whole(const Scalar& value, int least, int most, std::optional<int>& target) {
        if (value.kind == Scalar::Kind::number && value.number != std::floor(value.number)) {
            mistyped("a number with a fraction");
            return;
        }
        if (const std::optional<Range<double>> range = range_from(value, nullptr, least, most)) {
            target = static_cast<int>(range->low);
        }
    }

    void check_format(const Scalar& value) {
        const std::optional<std::string_view> text = text_from(value);
        if (text && *text != record_format) {
            error(Code::format_version, pointer(),
                  fmt::format("The format is \"{}\", and this program reads \"{}\".", *text,
                              record_format),
                  "Use the program of that version, or convert the record.");
        }
    }

    static constexpr std::size_t most_elements_kept = 3;
    static constexpr std::size_t usual_depth = 4;
    static constexpr std::size_t usual_colours = 4;

    Stone& stone_;
    Diagnostics& diagnostics_;
    Place root_;
    std::size_t first_; // of this record's diagnostics
    std::vector<Level> levels_;
    std::vector<std::string> extensions_;
    std::vector<std::string> extension_pointers_;
    std::string skipped_;      // pointer of the field that is passed over, unknown or of one's own
    std::vector<Scalar> pair_; // the ends of a range, as far as they were read
    std::array<std::string, most_elements_kept> pair_texts_;
    Reading reading_;
    std::size_t skip_depth_ = 0;
    bool skip_value_ = false;
    bool collecting_ = false;
    bool pair_refused_ = false;
    bool reading_given_ = false;
    bool limits_given_ = false;
    bool cost_given_ = false;
    bool sale_given_ = false;
    bool syntax_failed_ = false;
    bool stopped_ = false;
};

// Keys that stand twice inside a field of one's own.
void report_repeated(const std::vector<std::string>& names,
                     const std::vector<std::string_view>& spans,
                     Diagnostics& diagnostics) {
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (spans[i].find('{') == std::string_view::npos) {
            continue;
        }
        for (const std::string& pointer : repeated_keys(spans[i], Comments::refused)) {
            diagnostics.push_back(
                repeated_key(fmt::format("/{}{}", pointer_token(names[i]), pointer)));
        }
    }
}

void keep_extensions(Stone& stone,
                     const std::vector<std::string>& names,
                     const std::vector<std::string_view>& spans) {
    for (std::size_t i = 0; i < names.size(); ++i) {
        std::erase_if(stone.extensions,
                      [&](const Extension& known) { return known.name == names[i]; });
        stone.extensions.push_back({names[i], std::string(spans[i])});
    }
}

// Reads a text that is not JSON as far as its slips can be mended. The slips are appended, then
// what else is wrong; the offset of each is returned.
[[gnu::cold]] std::vector<std::size_t>
read_broken(std::string_view text, Stone& stone, Place root, Diagnostics& diagnostics) {
    Mended mended = mend_json(text);
    std::move(mended.slips.begin(), mended.slips.end(), std::back_inserter(diagnostics));
    const std::size_t from = diagnostics.size();
    RecordHandler handler(stone, diagnostics, root);
    parse_json(mended.text, handler);
    if (handler.complete() && root == Place::record) {
        handler.check_whole();
    }
    const std::vector<std::size_t> more =
        locate(mended.text, wanted_by(std::span(diagnostics).subspan(from)));
    mended.offsets.insert(mended.offsets.end(), more.begin(), more.end());
    return std::move(mended.offsets);
}

// Of a text that the parser is not given.
std::optional<std::size_t> unreadable(std::string_view text, Diagnostics& diagnostics) {
    if (const std::optional<std::size_t> stray = stray_byte(text, diagnostics)) {
        return stray;
    }
    if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
        diagnostics.push_back({Code::json_syntax, Severity::error, "", "There is nothing to read.",
                               "Give a stone, a tray, an array of stones, or NDJSON."});
        return text.size();
    }
    return std::nullopt;
}

Passage passage_of(const Frame& frame) {
    return {frame.text, frame.origin, frame.before};
}

void move_to_frame(std::span<Diagnostic> diagnostics, const Frame& frame, const std::string& file) {
    for (Diagnostic& diagnostic : diagnostics) {
        diagnostic.pointer.insert(0, frame.pointer);
        diagnostic.file = file;
    }
}

} // namespace

ReadRecord read_record(const Frame& frame,
                       const Stone* defaults,
                       const std::string& file,
                       Diagnostics& diagnostics) {
    if (frame.broken) {
        diagnostics.push_back(*frame.broken);
        diagnostics.back().file = file;
        return {};
    }
    const std::size_t from = diagnostics.size();
    const std::string_view text = frame.text;
    ReadRecord record{defaults == nullptr ? Stone{} : *defaults};
    std::vector<std::size_t> offsets;
    std::vector<std::string_view> spans; // of the fields of one's own
    RecordHandler handler(record.stone, diagnostics, Place::record);
    if (const std::optional<std::size_t> offset = unreadable(text, diagnostics)) {
        offsets.push_back(*offset);
    } else {
        parse_json(text, handler);
        if (handler.complete()) {
            handler.check_whole();
            if (!handler.extensions().empty()) { // a second walk over the text
                spans = member_texts(text, handler.extensions());
                report_repeated(handler.extensions(), spans, diagnostics);
            }
        } else if (handler.syntax_failed()) {
            diagnostics.erase(diagnostics.begin() + static_cast<std::ptrdiff_t>(from),
                              diagnostics.end());
            record.stone = defaults == nullptr ? Stone{} : *defaults;
            offsets = read_broken(text, record.stone, Place::record, diagnostics);
        }
    }
    record.accepted = diagnostics.size() == from; // the reader only ever reports errors
    if (!record.accepted) {
        const std::span<Diagnostic> found = std::span(diagnostics).subspan(from);
        if (frame.table != nullptr) {
            frame.table->place(found, frame.row);
        } else {
            if (offsets.empty()) {
                offsets = locate(text, wanted_by(found));
            }
            place_all(found, passage_of(frame), offsets);
        }
        move_to_frame(found, frame, file);
    } else {
        keep_extensions(record.stone, handler.extensions(), spans);
    }
    return record;
}

std::optional<Stone>
read_tray(const Envelope& envelope, const std::string& file, Diagnostics& diagnostics) {
    const std::size_t from = diagnostics.size();
    const std::string text = envelope.head + (envelope.tail_to_come ? "]}" : envelope.tail);
    Stone stone;
    std::vector<std::size_t> offsets;
    if (const std::optional<std::size_t> stray = stray_byte(text, diagnostics)) {
        offsets.push_back(*stray);
    } else {
        RecordHandler handler(stone, diagnostics, Place::envelope);
        parse_json(text, handler);
        if (handler.syntax_failed()) {
            diagnostics.erase(diagnostics.begin() + static_cast<std::ptrdiff_t>(from),
                              diagnostics.end());
            stone = {};
            offsets = read_broken(text, stone, Place::envelope, diagnostics);
        }
    }
    const std::span<Diagnostic> found = std::span(diagnostics).subspan(from);
    if (offsets.empty()) {
        offsets = locate(text, wanted_by(found));
    }
    for (std::size_t i = 0; i < found.size(); ++i) {
        found[i].file = file;
        if (envelope.tail_to_come || offsets[i] < envelope.head.size()) {
            // The brackets that stand for a tail are in no file: a fault there is the head's end.
            place(found[i], {envelope.head, envelope.head_origin},
                  std::min(offsets[i], envelope.head.size()));
        } else {
            place(found[i], {envelope.tail, envelope.tail_origin},
                  offsets[i] - envelope.head.size());
        }
    }
    if (!found.empty()) {
        return std::nullopt;
    }
    stone.id.reset(); // the tray's own
    return stone;
}

void place_in_frame(Diagnostics& diagnostics,
                    std::size_t from,
                    const Frame& frame,
                    const std::string& file) {
    if (diagnostics.size() == from) {
        return;
    }
    const std::span<Diagnostic> found = std::span(diagnostics).subspan(from);
    if (frame.table != nullptr) {
        frame.table->place(found, frame.row);
    } else {
        place_all(found, passage_of(frame), locate(frame.text, wanted_by(found)));
    }
    move_to_frame(found, frame, file);
}

} // namespace trayworth::io
