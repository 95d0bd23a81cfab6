#include "valuation/sensitivity.hpp"

#include "core/decimal.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include <fmt/format.h>

namespace trayworth::valuation {
namespace {

constexpr int finest_short_scale = 7;
constexpr double share_step = 0.05;
constexpr double weight_step = 0.1; // ct
// Sums of decimals such as 1.86 + 0.1 as they are written.
constexpr int written_digits = 12;

double plus(double x, double step) {
    return to_significant(x + step, written_digits);
}

std::string joined_ends(std::string_view a, std::string_view b, std::string_view between) {
    return a == b ? std::string(a) : fmt::format("{} {} {}", a, between, b);
}

std::string text_of(Range<double> range) {
    return joined_ends(fmt::format("{}", range.low), fmt::format("{}", range.high), "to");
}
std::string text_of(Range<int> tone) {
    return joined_ends(tone_name(tone.low), tone_name(tone.high), "to");
}
std::string text_of(Range<Transparency> range) {
    return joined_ends(name_of(range.low), name_of(range.high), "or");
}
std::string text_of(const Words& words) {
    return joined_ends(words.first, words.second, "or");
}
std::string text_of(bool yes) {
    return yes ? "yes" : "no";
}
const std::string& text_of(const std::string& word) {
    return word;
}
template<class T>
std::string text_of(const std::optional<T>& value) {
    return value ? std::string(text_of(*value)) : "not stated";
}

// One word of the record that a category factor may read, and that a grader calls.
struct WordOf {
    std::string_view name;
    std::string read;
    bool is_boolean = false;
};

std::optional<WordOf> word_of(const Stone& stone, pricing::WordField field) {
    using pricing::WordField;
    switch (field) {
    case WordField::pattern:
        return WordOf{"pattern", text_of(stone.play_of_colour->pattern)};
    case WordField::directionality:
        return WordOf{"directionality", text_of(stone.play_of_colour->directionality)};
    case WordField::outline:
        return WordOf{"outline", text_of(stone.cut.outline)};
    case WordField::dome:
        return WordOf{"dome", text_of(stone.cut.dome)};
    case WordField::back:
        return WordOf{"back", text_of(stone.cut.back)};
    case WordField::polish:
        return WordOf{"polish", text_of(stone.cut.polish)};
    case WordField::body_hue:
        return WordOf{"body hue", text_of(stone.body_hue)};
    case WordField::hydrophane:
        return WordOf{"hydrophane", text_of(stone.hydrophane), true};
    case WordField::mounted:
    case WordField::treatments:
    case WordField::transparency: // an axis of its own
    case WordField::type:
        break;
    }
    return std::nullopt;
}

void set_word(Stone& stone, pricing::WordField field, const std::string& word) {
    using pricing::WordField;
    switch (field) {
    case WordField::pattern:
        stone.play_of_colour->pattern = Words{word, word};
        break;
    case WordField::directionality:
        stone.play_of_colour->directionality = Words{word, word};
        break;
    case WordField::outline:
        stone.cut.outline = word;
        break;
    case WordField::dome:
        stone.cut.dome = Words{word, word};
        break;
    case WordField::back:
        stone.cut.back = word;
        break;
    case WordField::polish:
        stone.cut.polish = Words{word, word};
        break;
    case WordField::body_hue:
        stone.body_hue = word;
        break;
    case WordField::hydrophane:
        stone.hydrophane = word == "yes";
        break;
    case WordField::mounted:
    case WordField::treatments:
    case WordField::transparency:
    case WordField::type:
        break;
    }
}

class Finder {
public:
    Finder(const Stone& stone, const Request& request, Sensitivity& result)
        : stone_(stone), request_{request.matrix, request.level, 0, request.seed, Explain::no},
          result_(result) {}

    void find() {
        body_tone();
        brightness();
        transparency();
        colours();
        coverage();
        words();
        weight();
        faults();
        std::stable_sort(result_.axes.begin(), result_.axes.end(),
                         [likely = result_.valuation.likely](const Axis& a, const Axis& b) {
                             return a.size(likely) > b.size(likely);
                         });
    }

private:
    Axis& axis(std::string name, std::string_view field, std::string read) {
        axis_ = Axis{std::move(name), std::string(field), std::move(read), {}};
        return axis_;
    }

    // Values the stone once `change` has been made to it.
    template<class Change>
    Step tried(std::string to, NewValue value, Change change) const {
        Step step{std::move(to), std::move(value), std::nullopt};
        Stone edited = stone_;
        change(edited);
        Diagnostics found;
        if (const std::optional<Valuation> valuation = valuation::value(edited, request_, found)) {
            step.likely = valuation->likely;
        } else {
            const auto error = std::find_if(found.begin(), found.end(), [](const Diagnostic& d) {
                return d.severity == Severity::error;
            });
            step.refused = *error;
        }
        return step;
    }

    template<class Change>
    void step(std::string to, NewValue value, Change change) {
        axis_.steps.push_back(tried(std::move(to), std::move(value), change));
    }

    void finish() {
        if (!axis_.steps.empty()) {
            result_.axes.push_back(std::move(axis_));
        }
    }

    void body_tone() {
        const Range<int> tone = *stone_.body_tone;
        axis("body tone", "/body_tone", text_of(tone));
        for (const int by : {1, -1}) {
            const Range<int> to{tone.low + by, tone.high + by};
            if (to.low >= darkest_tone && to.high <= lightest_tone) {
                step(text_of(to), to, [to](Stone& stone) { stone.body_tone = to; });
            }
        }
        finish();
    }

    void brightness() {
        const Brightness& brightness = *stone_.brightness;
        const double size = *brightness.steps <= finest_short_scale ? 0.5 : 1;
        const Range<double> grade = *brightness.grade;
        axis("brightness", "/brightness/grade",
             fmt::format("{} of {}", text_of(grade), *brightness.steps));
        const double up = *brightness.brightest == 1 ? -size : size;
        for (const double by : {-up, up}) {
            const Range<double> to{plus(grade.low, by), plus(grade.high, by)};
            if (to.low >= 1 && to.high <= *brightness.steps) {
                step(text_of(to), to, [to](Stone& stone) { stone.brightness->grade = to; });
            }
        }
        finish();
    }

    void transparency() {
        const Range<Transparency> now = *stone_.transparency;
        axis("transparency", "/transparency", text_of(now));
        for (const int by : {1, -1}) {
            const int low = static_cast<int>(now.low) + by;
            const int high = static_cast<int>(now.high) + by;
            if (low < 0 || high >= static_cast<int>(transparencies.size())) {
                continue;
            }
            const Range<Transparency> to{static_cast<Transparency>(low),
                                         static_cast<Transparency>(high)};
            step(text_of(to), to, [to](Stone& stone) { stone.transparency = to; });
        }
        finish();
    }

    [[nodiscard]] bool is_for_stone(const pricing::Factor& factor) const {
        return factor.stones.admits(*stone_.type, stone_.transparency->low) ||
               factor.stones.admits(*stone_.type, stone_.transparency->high);
    }

    void colours() {
        const auto& stated = stone_.play_of_colour->colours;
        const auto factor =
            std::find_if(request_.matrix.factors.begin(), request_.matrix.factors.end(),
                         [this](const pricing::Factor& one) {
                             return std::holds_alternative<pricing::ShareWeighted>(one.rule) &&
                                    is_for_stone(one);
                         });
        if (!stated || stated->size() < 2 || factor == request_.matrix.factors.end()) {
            return;
        }
        const std::vector<pricing::Entry>& values =
            std::get<pricing::ShareWeighted>(factor->rule).values;
        const auto price = [&](const ColourShare& colour) {
            return pricing::find(values, colour.colour)->spread.log_middle;
        };
        std::size_t cheapest = 0;
        std::size_t dearest = 0;
        for (std::size_t i = 1; i < stated->size(); ++i) {
            cheapest = price((*stated)[i]) < price((*stated)[cheapest]) ? i : cheapest;
            dearest = price((*stated)[i]) > price((*stated)[dearest]) ? i : dearest;
        }
        if (cheapest == dearest) {
            return;
        }
        std::string read;
        for (const ColourShare& colour : *stated) {
            read += fmt::format("{}{} {}", read.empty() ? "" : ", ", colour.colour,
                                text_of(*colour.share));
        }
        axis("colours", "/play_of_colour/colours", std::move(read));
        move_share(dearest, cheapest);
        move_share(cheapest, dearest);
        finish();
    }

    void move_share(std::size_t from, std::size_t to) {
        std::vector<ColourShare> moved = *stone_.play_of_colour->colours;
        Range<double>& less = *moved[from].share;
        Range<double>& more = *moved[to].share;
        less = {plus(less.low, -share_step), plus(less.high, -share_step)};
        more = {plus(more.low, share_step), plus(more.high, share_step)};
        if (less.low < 0 || more.high > 1) {
            return;
        }
        step(fmt::format("{} {}, {} {}", moved[to].colour, text_of(more), moved[from].colour,
                         text_of(less)),
             moved, [&](Stone& stone) { stone.play_of_colour->colours = moved; });
    }

    void coverage() {
        const std::optional<Range<double>>& now = stone_.play_of_colour->coverage;
        if (!now) {
            return;
        }
        axis("coverage", "/play_of_colour/coverage", text_of(*now));
        for (const double by : {-share_step, share_step}) {
            const Range<double> to{std::clamp(plus(now->low, by), 0.0, 1.0),
                                   std::clamp(plus(now->high, by), 0.0, 1.0)};
            if (to != *now) {
                step(text_of(to), to, [to](Stone& stone) { stone.play_of_colour->coverage = to; });
            }
        }
        finish();
    }

    // The words that the matrix prices in a field, from every factor that is for the stone.
    [[nodiscard]] std::vector<std::string> priced_words(pricing::WordField field) const {
        std::vector<std::string> words;
        for (const pricing::Factor& factor : request_.matrix.factors) {
            const auto* rule = std::get_if<pricing::Category>(&factor.rule);
            if (rule == nullptr || rule->field != field || !is_for_stone(factor)) {
                continue;
            }
            for (const pricing::Entry& entry : rule->values) {
                if (std::find(words.begin(), words.end(), entry.name) == words.end()) {
                    words.push_back(entry.name);
                }
            }
        }
        return words;
    }

    void words() {
        for (std::size_t i = 0; i < pricing::word_field_pointers.size(); ++i) {
            const auto field = static_cast<pricing::WordField>(i);
            if (const std::optional<WordOf> word = word_of(stone_, field)) {
                axis(std::string(word->name), pricing::word_field_pointers[i], word->read);
                nearest_words(field, word->is_boolean);
                finish();
            }
        }
    }

    void nearest_words(pricing::WordField field, bool is_boolean) {
        std::optional<Step> below;
        std::optional<Step> above;
        const double likely = result_.valuation.likely;
        for (const std::string& word : priced_words(field)) {
            const NewValue value = is_boolean ? NewValue(word == "yes") : NewValue(word);
            Step step = tried(word, value, [&](Stone& stone) { set_word(stone, field, word); });
            if (!step.likely) {
                axis_.steps.push_back(std::move(step));
            } else if (*step.likely < likely && (!below || *step.likely > *below->likely)) {
                below = std::move(step);
            } else if (*step.likely > likely && (!above || *step.likely < *above->likely)) {
                above = std::move(step);
            }
        }
        for (std::optional<Step>* found : {&below, &above}) {
            if (*found) {
                axis_.steps.push_back(std::move(**found));
            }
        }
    }

    // The weight as a record would state it.
    [[nodiscard]] Reading stated_weight() const {
        const weight::Weight& weight = result_.valuation.weight;
        if (weight.basis == weight::Basis::estimated) {
            const double ct = weight.ct.value;
            return {ct, ct, 0, to_significant(weight.ct.u)};
        }
        Reading reading = *stone_.weight_ct;
        if (!reading.standard_uncertainty) {
            reading.standard_uncertainty = stone_.weight_uncertainty;
        }
        if (reading.low == reading.high && !reading.standard_uncertainty) {
            reading = {plus(reading.low, -reading.resolution / 2),
                       plus(reading.high, reading.resolution / 2)};
        }
        return reading;
    }

    void weight() {
        const Reading now = stated_weight();
        const double middle = result_.valuation.weight.ct.value;
        axis("weight", "/weight_ct", fmt::format("{} ct", middle));
        for (const double by : {-weight_step, weight_step}) {
            Reading to = now;
            to.low = plus(now.low, by);
            to.high = plus(now.high, by);
            to.resolution = 0;
            if (to.low > 0) {
                step(fmt::format("{} ct", plus(middle, by)), to,
                     [&](Stone& stone) { stone.weight_ct = to; });
            }
        }
        finish();
    }

    void faults() {
        if (!stone_.faults) {
            return;
        }
        for (std::size_t i = 0; i < stone_.faults->size(); ++i) {
            std::vector<Fault> others = *stone_.faults;
            const Fault fault = others[i];
            others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
            axis(fmt::format("{}, {}", fault.kind, fault.place), "/faults",
                 text_of(fault.severity));
            step("without it", others, [&](Stone& stone) { stone.faults = others; });
            finish();
        }
    }

    const Stone& stone_;
    Request request_;
    Sensitivity& result_;
    Axis axis_; // at hand
};

} // namespace

double Axis::size(double likely) const {
    double largest = -1; // below that of an axis that is priced and without effect
    for (const Step& step : steps) {
        if (step.likely) {
            largest = std::max(largest, std::abs(*step.likely - likely));
        }
    }
    return largest;
}

std::optional<Sensitivity>
sensitivity(const Stone& stone, const Request& request, Diagnostics& diagnostics) {
    std::optional<Valuation> valuation = value(stone, request, diagnostics);
    if (!valuation) {
        return std::nullopt;
    }
    Sensitivity result{std::move(*valuation), {}};
    Finder(stone, request, result).find();
    return result;
}

} // namespace trayworth::valuation
