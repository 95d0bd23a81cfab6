#include "valuation/selection.hpp"

#include "core/grades.hpp"
#include "core/nearest.hpp"
#include "core/nomenclature.hpp"
#include "weight/weigh.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <span>
#include <vector>

#include <fmt/format.h>

namespace trayworth::valuation {
namespace {

using Names = std::span<const std::string_view>;

constexpr std::array<std::string_view, 14> field_names{
    "id",    "name",    "type",     "tone",   "transparency", "pattern", "fault",
    "basis", "refused", "warnings", "weight", "low",          "likely",  "high"};
constexpr std::array<std::string_view, 2> yes_and_no{"yes", "no"};
constexpr std::array<std::string_view, 2> bases{name_of(weight::Basis::weighed),
                                                name_of(weight::Basis::estimated)};
constexpr std::string_view no_faults = "none";

template<class Enum, std::size_t N>
constexpr std::array<std::string_view, N> names_of(const std::array<Named<Enum>, N>& entries) {
    std::array<std::string_view, N> names;
    for (std::size_t i = 0; i < N; ++i) {
        names[i] = entries[i].name;
    }
    return names;
}
constexpr auto type_names = names_of(stone_types);
constexpr auto transparency_names = names_of(transparencies);

// The words that a field may have, where the program knows them all.
Names words_of(Field field) {
    switch (field) {
    case Field::type:
        return type_names;
    case Field::tone:
        return tone_names;
    case Field::transparency:
        return transparency_names;
    case Field::basis:
        return bases;
    case Field::refused:
    case Field::warnings:
        return yes_and_no;
    default:
        return {};
    }
}

constexpr bool is_number(Field field) {
    return field >= Field::weight;
}
// Tones are numbered, darkest first, and compared by their numbers.
constexpr bool is_ordered(Field field) {
    return is_number(field) || field == Field::tone;
}

std::string did_you_mean(std::string_view text, Names known) {
    const std::optional<std::string_view> near = nearest(text, known);
    return near ? fmt::format(" (did you mean \"{}\"?)", *near) : "";
}

std::string_view trimmed(std::string_view text) {
    text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
    return text.substr(0, text.find_last_not_of(' ') + 1);
}

std::optional<Comparison> comparison_from(std::string_view text) {
    constexpr std::array<std::string_view, 6> signs{"=", "!=", "<", "<=", ">", ">="};
    const auto* sign = std::find(signs.begin(), signs.end(), text);
    return sign == signs.end() ? std::nullopt
                               : std::optional(static_cast<Comparison>(sign - signs.begin()));
}

std::optional<double> number_from(std::string_view text) {
    double number = 0;
    const char* end = text.data() + text.size();
    const auto [stopped, failure] =
        std::from_chars(text.data(), end, number, std::chars_format::fixed);
    const bool whole = failure == std::errc{} && stopped == end && std::isfinite(number);
    return whole ? std::optional(number) : std::nullopt;
}

bool holds(Comparison comparison, double value, double with) {
    switch (comparison) {
    case Comparison::equal:
        return value == with;
    case Comparison::not_equal:
        return value != with;
    case Comparison::less:
        return value < with;
    case Comparison::less_or_equal:
        return value <= with;
    case Comparison::greater:
        return value > with;
    case Comparison::greater_or_equal:
        return value >= with;
    }
    return false;
}

bool one_of(const Condition& condition, std::initializer_list<std::string_view> words) {
    const bool found = std::find(words.begin(), words.end(), condition.word) != words.end();
    return found == (condition.comparison == Comparison::equal);
}

char small(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool contains(std::string_view text, std::string_view part) {
    return std::search(text.begin(), text.end(), part.begin(), part.end(),
                       [](char a, char b) { return small(a) == small(b); }) != text.end();
}

bool name_matches(const Condition& condition, const Candidate& candidate) {
    if (candidate.valuation == nullptr && !candidate.stone.type) {
        return false;
    }
    const std::string name = candidate.valuation != nullptr ? candidate.valuation->nomenclature.name
                                                            : name_stone(candidate.stone).name;
    return contains(name, condition.word) == (condition.comparison == Comparison::equal);
}

bool tone_matches(const Condition& condition, const Stone& stone) {
    if (!stone.body_tone) {
        return false;
    }
    if (condition.comparison == Comparison::not_equal) {
        return condition.number < stone.body_tone->low || condition.number > stone.body_tone->high;
    }
    bool any = false;
    for (int tone = stone.body_tone->low; tone <= stone.body_tone->high; ++tone) {
        any = any || holds(condition.comparison, tone, condition.number);
    }
    return any;
}

bool transparency_matches(const Condition& condition, const Stone& stone) {
    if (!stone.transparency) {
        return false;
    }
    bool any = false;
    for (const Named<Transparency>& step : transparencies) {
        const bool within =
            step.value >= stone.transparency->low && step.value <= stone.transparency->high;
        any = any || (within && step.name == condition.word);
    }
    return any == (condition.comparison == Comparison::equal);
}

bool fault_matches(const Condition& condition, const Stone& stone) {
    if (!stone.faults) {
        return false;
    }
    const bool any =
        condition.word == no_faults
            ? stone.faults->empty()
            : std::any_of(stone.faults->begin(), stone.faults->end(),
                          [&](const Fault& fault) { return fault.kind == condition.word; });
    return any == (condition.comparison == Comparison::equal);
}

bool yes_matches(const Condition& condition, bool yes) {
    return one_of(condition, {yes ? "yes" : "no"});
}

Parsed<Condition> refused(std::string error) {
    return {std::nullopt, std::move(error)};
}

} // namespace

Parsed<Condition> condition_from(std::string_view text) {
    constexpr std::string_view signs = "=!<>";
    const std::size_t at = text.find_first_of(signs);
    if (at == std::string_view::npos) {
        return refused(fmt::format("\"{}\" is no condition: write a field, a comparison and a "
                                   "value, such as fault=crack or likely>=100.",
                                   text));
    }
    const std::size_t end = std::min(text.find_first_not_of(signs, at), text.size());
    const std::string_view name = trimmed(text.substr(0, at));
    const std::string_view sign = text.substr(at, end - at);
    const std::string_view value = trimmed(text.substr(end));

    const auto* named = std::find(field_names.begin(), field_names.end(), name);
    if (named == field_names.end()) {
        return refused(fmt::format("\"{}\": there is no field \"{}\"{}; the fields are {}.", text,
                                   name, did_you_mean(name, field_names),
                                   fmt::join(field_names, ", ")));
    }
    const auto field = static_cast<Field>(named - field_names.begin());
    const std::optional<Comparison> comparison = comparison_from(sign);
    if (!comparison) {
        return refused(fmt::format(
            "\"{}\": \"{}\" compares nothing; the comparisons are = != < <= > >=.", text, sign));
    }
    if (!is_ordered(field) && *comparison > Comparison::not_equal) {
        return refused(fmt::format("\"{}\": {} is a word and takes = and != only.", text, name));
    }
    if (value.empty()) {
        return refused(fmt::format("\"{}\": what {} is compared with is missing.", text, name));
    }

    Condition condition{field, *comparison, std::string(value)};
    if (is_number(field)) {
        const std::optional<double> number = number_from(value);
        if (!number) {
            return refused(fmt::format("\"{}\": {} is compared with a number such as 2.5, not "
                                       "\"{}\".",
                                       text, name, value));
        }
        condition.number = *number;
        return {std::move(condition)};
    }
    const Names known = words_of(field);
    const auto word = std::find(known.begin(), known.end(), value);
    if (!known.empty() && word == known.end()) {
        return refused(fmt::format("\"{}\": {} is never \"{}\"{}; it is one of {}.", text, name,
                                   value, did_you_mean(value, known), fmt::join(known, ", ")));
    }
    condition.number = static_cast<double>(word - known.begin() + 1);
    return {std::move(condition)};
}

std::vector<std::string> conditions_after(std::string_view typed) {
    constexpr std::string_view signs = "=!<>";
    const std::size_t end = typed.find_last_of(signs) + 1; // 0 where there is none
    const std::string_view name = typed.substr(0, typed.find_first_of(signs));
    std::vector<std::string> all;
    for (std::size_t i = 0; i < field_names.size(); ++i) {
        const auto field = static_cast<Field>(i);
        if (end == 0 && field_names[i].starts_with(typed)) {
            const auto append = [&](std::string_view sign) {
                all.push_back(fmt::format("{}{}", field_names[i], sign));
            };
            if (is_number(field)) {
                append(">=");
                append("<=");
            } else {
                append("=");
            }
        }
        if (end != 0 && field_names[i] == name) {
            for (const std::string_view word : words_of(field)) {
                all.push_back(fmt::format("{}{}", typed.substr(0, end), word));
            }
        }
    }
    return all;
}

bool matches(const Condition& condition, const Candidate& candidate) {
    const Stone& stone = candidate.stone;
    const Valuation* valuation = candidate.valuation;
    const auto number = [&](double value) {
        return holds(condition.comparison, value, condition.number);
    };
    switch (condition.field) {
    case Field::id:
        return stone.id && one_of(condition, {*stone.id});
    case Field::name:
        return name_matches(condition, candidate);
    case Field::type:
        return stone.type && one_of(condition, {name_of(*stone.type)});
    case Field::tone:
        return tone_matches(condition, stone);
    case Field::transparency:
        return transparency_matches(condition, stone);
    case Field::pattern:
        return stone.play_of_colour && stone.play_of_colour->pattern &&
               one_of(condition, {stone.play_of_colour->pattern->first,
                                  stone.play_of_colour->pattern->second});
    case Field::fault:
        return fault_matches(condition, stone);
    case Field::basis:
        return valuation != nullptr && one_of(condition, {name_of(valuation->weight.basis)});
    case Field::refused:
        return yes_matches(condition, valuation == nullptr);
    case Field::warnings:
        return yes_matches(condition, candidate.warned);
    case Field::weight:
        return valuation != nullptr && number(valuation->weight.ct.value);
    case Field::low:
        return valuation != nullptr && number(valuation->range.low);
    case Field::likely:
        return valuation != nullptr && number(valuation->likely);
    case Field::high:
        return valuation != nullptr && number(valuation->range.high);
    }
    return false;
}

Parsed<Order> order_from(std::string_view text) {
    Order order;
    std::string_view name = text;
    if (name.starts_with('-')) {
        order.reversed = true;
        name.remove_prefix(1);
    }
    const auto* named = std::find(order_names.begin(), order_names.end(), name);
    if (named == order_names.end()) {
        return {std::nullopt,
                fmt::format("there is no order by \"{}\"{}; it is one of {}, with a - before it "
                            "for the reverse.",
                            name, did_you_mean(name, order_names), fmt::join(order_names, ", "))};
    }
    order.key = static_cast<SortKey>(named - order_names.begin() + 1);
    return {order};
}

bool goes_before(std::string_view a, std::string_view b) {
    constexpr auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    // The number that a text begins with, without its leading zeros.
    constexpr auto take_number = [](std::string_view& text) {
        constexpr std::string_view digits = "0123456789";
        const std::size_t end = std::min(text.find_first_not_of(digits), text.size());
        std::string_view number = text.substr(0, end);
        number.remove_prefix(std::min(number.find_first_not_of('0'), number.size()));
        text.remove_prefix(end);
        return number;
    };
    std::string_view x = a;
    std::string_view y = b;
    while (!x.empty() && !y.empty()) {
        if (is_digit(x.front()) && is_digit(y.front())) {
            const std::string_view m = take_number(x);
            const std::string_view n = take_number(y);
            if (m != n) {
                return m.size() != n.size() ? m.size() < n.size() : m < n;
            }
        } else if (x.front() != y.front()) {
            return static_cast<unsigned char>(x.front()) < static_cast<unsigned char>(y.front());
        } else {
            x.remove_prefix(1);
            y.remove_prefix(1);
        }
    }
    return x.empty() && y.empty() ? a < b : x.empty();
}

} // namespace trayworth::valuation
