#include "io/plan_reader.hpp"

#include "core/bounds.hpp"
#include "io/document.hpp"
#include "io/framer.hpp"
#include "io/record_reader.hpp"
#include "io/written_json.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace trayworth::io {
namespace {

using recutting::Alternative;
using recutting::Plan;
using recutting::PlanOutcome;

constexpr std::string_view plan_format = "trayworth/plan/1";
constexpr double most_money = 1e9;
constexpr double most_minutes = 1e6;
constexpr double sum_tolerance = 1e-6;    // thirds, written with six digits
constexpr std::size_t most_decisions = 8; // decisions one after the other
constexpr std::size_t most_alternatives = bounds::branches;
constexpr std::size_t most_outcomes = bounds::branches;

class PlanReader final : DocumentReader {
public:
    PlanReader(const WrittenJson& written, Diagnostics& diagnostics)
        : DocumentReader(diagnostics), written_(written) {}

    Plan read(const json& root, const WrittenJson& record) {
        Plan plan;
        if (!is_object(root, "", "A plan")) {
            return plan;
        }
        known_only(root, "", OwnFields::allowed,
                   {"format", "name", "currency", "rate_per_hour", "wealth", "alternatives"});
        const std::string format = text(root, "", "format");
        if (!format.empty() && format != plan_format) {
            error(Code::format_version, "/format",
                  fmt::format("The format is \"{}\", and this program reads \"{}\".", format,
                              plan_format),
                  "Use the program of that version, or convert the plan.");
        }
        if (const auto name = root.find("name"); name != root.end()) {
            plan.name = text_at(*name, "/name");
        }
        const std::string code = text(root, "", "currency");
        if (const std::optional<Currency> currency = currency_from(code)) {
            plan.currency = *currency;
        } else if (!code.empty()) {
            error(Code::value_unknown, "/currency",
                  fmt::format("\"{}\" is not a currency of ISO 4217.", code),
                  "Write its three letters, for example \"AUD\".");
        }
        plan.rate_per_hour = optional_number(root, "", "rate_per_hour", most_money);
        plan.wealth = optional_number(root, "", "wealth", most_money);
        if (const json* alternatives = member(root, "", "alternatives")) {
            plan.alternatives = read_alternatives(*alternatives, "/alternatives", record, 1);
        }
        if (takes_time_ && root.find("rate_per_hour") == root.end()) {
            error(Code::field_missing, "/rate_per_hour",
                  "The plan states minutes and not what an hour at the wheel is worth.",
                  "Add \"rate_per_hour\", in the plan's currency; 0 if your time is free.");
        }
        return plan;
    }

private:
    std::optional<double>
    optional_number(const json& object, const std::string& pointer, const char* name, double most) {
        const auto found = object.find(name);
        return found == object.end() ? std::nullopt
                                     : number_at(*found, pointer + "/" + name, 0, most);
    }

    recutting::Work read_work(const json& object, const std::string& pointer) {
        recutting::Work work;
        work.minutes = optional_number(object, pointer, "minutes", most_minutes).value_or(0);
        work.materials = optional_number(object, pointer, "materials", most_money).value_or(0);
        takes_time_ = takes_time_ || work.minutes > 0;
        return work;
    }

    std::vector<Alternative> read_alternatives(const json& value,
                                               const std::string& pointer,
                                               const WrittenJson& record,
                                               std::size_t depth) {
        std::vector<Alternative> alternatives;
        if (!is_array(value, pointer, "\"alternatives\"")) {
            return alternatives;
        }
        if (value.empty()) {
            error(Code::value_range, pointer, "There is no alternative.",
                  "Add one: leaving the stone as it is need not be among them.");
        }
        if (depth > most_decisions) {
            error(Code::value_range, pointer,
                  fmt::format("More than {} decisions follow one another.", most_decisions),
                  "Plan as far as can be foreseen, and plan again from there.");
            return alternatives;
        }
        for (std::size_t i = 0; i < value.size(); ++i) {
            if (++alternatives_ == most_alternatives + 1) {
                error(Code::value_range, pointer,
                      fmt::format("The plan has more than {} alternatives.", most_alternatives),
                      "Leave out those that are hardly likely to be best.");
            }
            if (alternatives_ > most_alternatives) {
                break;
            }
            const std::string at = fmt::format("{}/{}", pointer, i);
            std::optional<Alternative> alternative = read_alternative(value[i], at, record, depth);
            if (!alternative) {
                continue;
            }
            const bool named = std::any_of(
                alternatives.begin(), alternatives.end(), [&](const Alternative& other) {
                    return !other.name.empty() && other.name == alternative->name;
                });
            if (named) {
                error(Code::value_range, at + "/name",
                      fmt::format("Two alternatives are named \"{}\".", alternative->name),
                      "Give each a name of its own.");
            }
            alternatives.push_back(std::move(*alternative));
        }
        return alternatives;
    }

    std::optional<Alternative> read_alternative(const json& value,
                                                const std::string& pointer,
                                                const WrittenJson& record,
                                                std::size_t depth) {
        if (!is_object(value, pointer, "An alternative")) {
            return std::nullopt;
        }
        known_only(value, pointer, OwnFields::allowed,
                   {"name", "minutes", "materials", "outcomes"});
        Alternative alternative;
        alternative.pointer = pointer;
        alternative.name = text(value, pointer, "name");
        alternative.work = read_work(value, pointer);
        const json* outcomes = member(value, pointer, "outcomes");
        const std::string at = pointer + "/outcomes";
        if (outcomes == nullptr || !is_array(*outcomes, at, "\"outcomes\"")) {
            return alternative;
        }
        if (outcomes->empty()) {
            error(Code::value_range, at, "There is no outcome.",
                  "Add what comes of it, once for each way in which it may turn out.");
        }
        for (std::size_t i = 0; i < outcomes->size(); ++i) {
            if (++outcomes_ == most_outcomes + 1) {
                error(Code::value_range, at,
                      fmt::format("The plan has more than {} outcomes.", most_outcomes),
                      "Put outcomes that differ little together.");
            }
            if (outcomes_ > most_outcomes) {
                break;
            }
            alternative.outcomes.push_back(read_outcome((*outcomes)[i], fmt::format("{}/{}", at, i),
                                                        outcomes->size() == 1, record, depth));
        }
        if (alternative.outcomes.size() == outcomes->size()) {
            require_sum(alternative, at);
        }
        return alternative;
    }

    PlanOutcome read_outcome(const json& value,
                             const std::string& pointer,
                             bool only_one,
                             const WrittenJson& record,
                             std::size_t depth) {
        PlanOutcome outcome;
        outcome.pointer = pointer;
        outcome.changes_pointer = pointer;
        outcome.probability = point(-1.0); // not known
        if (!is_object(value, pointer, "An outcome")) {
            return outcome;
        }
        known_only(value, pointer, OwnFields::allowed,
                   {"name", "probability", "changes", "minutes", "materials", "alternatives"});
        if (!only_one || value.contains("name")) {
            outcome.name = text(value, pointer, "name");
        }
        if (!only_one || value.contains("probability")) {
            if (const json* probability = member(value, pointer, "probability")) {
                outcome.probability = read_probability(*probability, pointer + "/probability");
            }
        } else {
            outcome.probability = point(1.0);
        }
        outcome.work = read_work(value, pointer);
        WrittenJson changed = record;
        if (const auto changes = value.find("changes"); changes != value.end()) {
            outcome.changes_pointer = pointer + "/changes";
            if (is_object(*changes, outcome.changes_pointer, "\"changes\"")) {
                changed.merge_patch(written_[WrittenJson::json_pointer(outcome.changes_pointer)]);
            }
        }
        const std::size_t from = diagnostics_.size();
        outcome.stone = read_stone(changed, outcome.changes_pointer);
        if (diagnostics_.size() > from) {
            return outcome; // what follows changes the same record and would be refused with it
        }
        if (const auto later = value.find("alternatives"); later != value.end()) {
            outcome.alternatives =
                read_alternatives(*later, pointer + "/alternatives", changed, depth + 1);
        }
        return outcome;
    }

    Range<double> read_probability(const json& value, const std::string& pointer) {
        constexpr Range<double> unknown{-1, -1};
        if (value.is_number()) {
            const std::optional<double> p = number_at(value, pointer, 0, 1);
            return p ? point(*p) : unknown;
        }
        if (!value.is_array() || value.size() != 2) {
            error(Code::value_type, pointer,
                  fmt::format("This is a number from 0 to 1 or [low, high], not {}.",
                              value.is_array() ? fmt::format("an array of {}", value.size())
                                               : type_of(value)),
                  "Write 0.3, or [0.2, 0.4] where it is not known better.");
            return unknown;
        }
        const std::optional<double> low = number_at(value[0], pointer + "/0", 0, 1);
        const std::optional<double> high = number_at(value[1], pointer + "/1", 0, 1);
        if (!low || !high) {
            return unknown;
        }
        if (*low > *high) {
            error(Code::range_reversed, pointer,
                  fmt::format("The range runs from {} to {}, backwards.", *low, *high),
                  fmt::format("Write [{}, {}].", *high, *low));
            return unknown;
        }
        return {*low, *high};
    }

    // Numbers sum to 1; ranges hold numbers that do.
    void require_sum(const Alternative& alternative, const std::string& pointer) {
        double low = 0;
        double high = 0;
        for (const PlanOutcome& outcome : alternative.outcomes) {
            if (outcome.probability.low < 0) {
                return; // reported already
            }
            low += outcome.probability.low;
            high += outcome.probability.high;
        }
        if (low > 1 + sum_tolerance || high < 1 - sum_tolerance) {
            error(Code::value_range, pointer,
                  low == high
                      ? fmt::format("The probabilities sum to {:.6g}, not to 1.", low)
                      : fmt::format("The probabilities sum to {:.6g} at least and {:.6g} at most, "
                                    "and cannot sum to 1.",
                                    low, high),
                  "Something must happen, and one thing only: let them sum to 1.");
        }
    }

    // The changed record, read as any other; its faults are those of the changes.
    Stone read_stone(const WrittenJson& record, const std::string& changes_pointer) {
        const std::string record_text = text_of(record);
        Frame frame{};
        frame.text = record_text;
        Diagnostics found;
        ReadRecord read = read_record(frame, nullptr, "", found);
        for (Diagnostic& fault : found) {
            error(fault.code, changes_pointer + fault.pointer,
                  "With these changes the record is refused: " + fault.message,
                  std::move(fault.hint), fault.target);
        }
        return std::move(read.stone);
    }

    const WrittenJson& written_;
    std::size_t alternatives_ = 0;
    std::size_t outcomes_ = 0;
    bool takes_time_ = false;
};

} // namespace

std::optional<Plan> read_plan(std::string_view text,
                              const std::string& file,
                              std::string_view record,
                              Diagnostics& diagnostics) {
    Plan plan;
    const bool sound =
        read_document("plan", text, file, diagnostics,
                      [&](const nlohmann::ordered_json& root, std::string_view readable) {
                          const WrittenJson written = read_written(readable);
                          plan = PlanReader(written, diagnostics).read(root, read_written(record));
                      });
    return sound ? std::optional(std::move(plan)) : std::nullopt;
}

} // namespace trayworth::io
