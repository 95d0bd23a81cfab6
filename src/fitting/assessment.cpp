#include "fitting/assessment.hpp"

#include "core/robust.hpp"
#include "core/uncertain.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <map>
#include <numeric>
#include <thread>
#include <utility>

#include <fmt/format.h>

namespace trayworth::fitting {
namespace {

Foretold foretold(const Observation& sale, std::span<const pricing::Spread> spreads, double k) {
    return {sale.log_value, sale.log_price, std::sqrt(variance(sale, spreads, k))};
}

// Ties get their mean rank.
std::vector<double> ranks(const std::vector<double>& values) {
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
    std::vector<double> found(values.size());
    for (std::size_t begin = 0; begin < order.size();) {
        std::size_t end = begin + 1;
        while (end < order.size() && values[order[end]] == values[order[begin]]) {
            ++end;
        }
        for (std::size_t i = begin; i < end; ++i) {
            found[order[i]] = static_cast<double>(begin + end - 1) / 2;
        }
        begin = end;
    }
    return found;
}

std::optional<double> correlation(const std::vector<double>& a, const std::vector<double>& b) {
    const auto size = static_cast<double>(a.size());
    const double mean_a = std::accumulate(a.begin(), a.end(), 0.0) / size;
    const double mean_b = std::accumulate(b.begin(), b.end(), 0.0) / size;
    double ab = 0;
    double aa = 0;
    double bb = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        ab += (a[i] - mean_a) * (b[i] - mean_b);
        aa += (a[i] - mean_a) * (a[i] - mean_a);
        bb += (b[i] - mean_b) * (b[i] - mean_b);
    }
    return aa > 0 && bb > 0 ? std::optional(ab / std::sqrt(aa * bb)) : std::nullopt;
}

std::vector<CoveragePoint> calibration_of(std::span<const Foretold> sales) {
    constexpr std::array<double, 11> stated{0.1, 0.2, 0.3, 0.4,  0.5, 0.6,
                                            0.7, 0.8, 0.9, 0.95, 0.99};
    std::vector<CoveragePoint> points;
    points.reserve(stated.size());
    for (const double coverage : stated) {
        points.push_back({coverage, quality(sales, coverage_factor(coverage)).coverage});
    }
    return points;
}

// ---- by kind of stone

struct Keyed {
    double order = 0;
    std::string name;

    friend bool operator<(const Keyed& a, const Keyed& b) {
        return a.order != b.order ? a.order < b.order : a.name < b.name;
    }
};

// The first of `ends`, ascending, that x does not reach, or what lies beyond.
Keyed between_ends(double x, std::span<const double> ends, std::string_view unit) {
    for (std::size_t i = 0; i < ends.size(); ++i) {
        if (x < ends[i]) {
            return {static_cast<double>(i),
                    i == 0 ? fmt::format("under {} {}", ends[i], unit)
                           : fmt::format("{} to {} {}", ends[i - 1], ends[i], unit)};
        }
    }
    return {static_cast<double>(ends.size()), fmt::format("{} {} and more", ends.back(), unit)};
}

Keyed class_of(const Observation& sale, const pricing::Matrix& matrix) {
    return {static_cast<double>(sale.grid), matrix.grids[sale.grid].name};
}
Keyed tone_of(const Observation& sale) {
    const auto [low, high] = sale.tone;
    return {low + high / 100.0, low == high
                                    ? std::string(tone_name(low))
                                    : fmt::format("{} to {}", tone_name(low), tone_name(high))};
}
Keyed brightness_of(const Observation& sale) {
    const double whole = std::round(sale.brightness);
    return {whole, fmt::format("{}", whole)};
}
Keyed size_of(const Observation& sale) {
    static constexpr std::array<double, 5> ends{0.5, 1, 2, 5, 10};
    return between_ends(sale.carats, ends, "ct");
}
Keyed year_of(const Observation& sale) {
    const int year = static_cast<int>(std::chrono::year_month_day(sale.day).year());
    return {static_cast<double>(year), fmt::format("{}", year)};
}
Keyed days_of(const Observation& sale) {
    static constexpr std::array<double, 4> ends{7, 30, 90, 365};
    return sale.days_on_offer ? between_ends(*sale.days_on_offer, ends, "days")
                              : Keyed{1e9, "not stated"};
}

template<class Key>
Breakdown broken_down(std::string by,
                      std::span<const Observation> sales,
                      std::span<const Foretold> values,
                      double k,
                      Key key) {
    std::map<Keyed, std::vector<Foretold>> groups;
    std::size_t sold = 0;
    for (const Observation& sale : sales) {
        if (!sale.unsold) {
            groups[key(sale)].push_back(values[sold++]);
        }
    }
    Breakdown found{std::move(by), {}};
    for (const auto& [name, members] : groups) {
        found.groups.push_back({name.name, quality(members, k)});
    }
    return found;
}

// ---- out of sample

// The sales of one cut that a matrix is made from, and those that it then foretells.
struct Cut {
    std::vector<const Observation*> known;
    std::vector<const Observation*> asked; // sold
};

struct Answers {
    std::vector<Foretold> before;
    std::vector<Foretold> after;
};

Answers answer(const Cut& cut,
               const Subject& subject,
               const ProposalOptions& options,
               const Estimate& fitted) {
    Answers found;
    if (cut.known.empty()) {
        return found;
    }
    const Proposal proposal = propose(cut.known, subject, options, &fitted);
    const double k = subject.matrix.coverage_factor;
    const std::vector<pricing::Spread>& old = subject.numbers.spreads();
    std::vector<double> corrections;
    for (std::size_t i = 0; i < old.size(); ++i) {
        corrections.push_back(proposal.spreads[i].log_middle - old[i].log_middle);
    }
    for (const Observation* sale : cut.asked) {
        found.before.push_back(foretold(*sale, old, k));
        Foretold after = foretold(*sale, proposal.spreads, k);
        after.log_value += log_change(*sale, corrections);
        if (const std::optional<Trend>& trend = proposal.estimate.trend) {
            const double years = years_between(proposal.estimate.reference, sale->day);
            after.log_value += trend->per_year * std::min(years, 0.0);
        }
        found.after.push_back(after);
    }
    return found;
}

std::vector<Cut> fold_cuts(std::span<const Observation> sales) {
    std::vector<Cut> cuts(folds);
    for (std::size_t i = 0; i < sales.size(); ++i) {
        for (std::size_t fold = 0; fold < folds; ++fold) {
            if (i % folds != fold) {
                cuts[fold].known.push_back(&sales[i]);
            } else if (!sales[i].unsold) {
                cuts[fold].asked.push_back(&sales[i]);
            }
        }
    }
    return cuts;
}

// Sales of one day stay together.
Cut time_cut(std::span<const Observation> sales) {
    std::vector<const Observation*> by_day;
    for (const Observation& sale : sales) {
        by_day.push_back(&sale);
    }
    std::stable_sort(by_day.begin(), by_day.end(),
                     [](const auto* a, const auto* b) { return a->day < b->day; });
    const std::chrono::sys_days from = by_day[by_day.size() - by_day.size() / 5]->day;
    Cut cut;
    for (const Observation* sale : by_day) {
        if (sale->day < from) {
            cut.known.push_back(sale);
        } else if (!sale->unsold) {
            cut.asked.push_back(sale);
        }
    }
    return cut;
}

std::optional<OutOfSample> compared(std::span<const Answers> answers, double k) {
    std::vector<Foretold> before;
    std::vector<Foretold> after;
    for (const Answers& part : answers) {
        before.insert(before.end(), part.before.begin(), part.before.end());
        after.insert(after.end(), part.after.begin(), part.after.end());
    }
    if (before.empty()) {
        return std::nullopt;
    }
    return OutOfSample{quality(before, k), quality(after, k)};
}

} // namespace

Quality quality(std::span<const Foretold> sales, double coverage_factor) {
    Quality found;
    found.sales = sales.size();
    std::vector<double> errors;
    std::vector<double> values;
    std::vector<double> prices;
    double ratios = 0;
    std::size_t inside = 0;
    for (const Foretold& sale : sales) {
        const double r = sale.log_ratio();
        ratios += r;
        inside += std::abs(r) <= coverage_factor * sale.u ? 1 : 0;
        errors.push_back(std::abs(std::expm1(-r)));
        values.push_back(sale.log_value);
        prices.push_back(sale.log_price);
    }
    const auto size = static_cast<double>(sales.size());
    found.bias_log = ratios / size;
    found.coverage = static_cast<double>(inside) / size;
    found.median_ape = median(std::move(errors));
    found.rank_correlation = correlation(ranks(values), ranks(prices));
    return found;
}

const OutOfSample* Assessment::no_better() const {
    for (const std::optional<OutOfSample>* tried : {&by_folds, &by_time}) {
        if (*tried && (*tried)->after.median_ape >= (*tried)->before.median_ape) {
            return &**tried;
        }
    }
    return nullptr;
}

Assessment assess(std::span<const Observation> sales, const Subject& subject) {
    const double k = subject.matrix.coverage_factor;
    Assessment found;
    for (const Observation& sale : sales) {
        if (sale.unsold) {
            ++found.unsold;
            found.unsold_below += sale.log_ratio() < 0 ? 1 : 0;
        } else {
            found.sales.push_back(foretold(sale, subject.numbers.spreads(), k));
        }
    }
    if (found.sales.empty()) {
        return found;
    }
    found.quality = quality(found.sales, k);
    found.calibration = calibration_of(found.sales);
    const auto by = [&](std::string name, auto key) {
        found.breakdowns.push_back(broken_down(std::move(name), sales, found.sales, k, key));
    };
    by("class", [&](const Observation& sale) { return class_of(sale, subject.matrix); });
    by("body tone", tone_of);
    by("brightness", brightness_of);
    by("size", size_of);
    by("year", year_of);
    by("days on offer", days_of);
    if (const std::vector<Group>& days = found.breakdowns.back().groups;
        days.size() == 1 && days.front().name == "not stated") {
        found.breakdowns.pop_back();
    }
    return found;
}

void cut_up(Assessment& assessment,
            std::span<const Observation> sales,
            const Subject& subject,
            const ProposalOptions& options,
            const Estimate& fitted,
            std::size_t threads) {
    if (sales.size() < fewest_to_cut) {
        return;
    }
    ProposalOptions quick = options;
    constexpr double tolerance = 1e-4; // far below what a sale tells
    quick.estimate.tolerance = std::max(quick.estimate.tolerance, tolerance);
    quick.estimate.look_for_ties = false;
    std::vector<Cut> cuts = fold_cuts(sales);
    cuts.push_back(time_cut(sales));
    std::vector<Answers> answers(cuts.size());
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t i = next++; i < cuts.size(); i = next++) {
            answers[i] = answer(cuts[i], subject, quick, fitted);
        }
    };
    std::vector<std::jthread> helpers;
    for (std::size_t i = 1; i < threads; ++i) {
        helpers.emplace_back(work);
    }
    work();
    helpers.clear(); // waits for them
    const double k = subject.matrix.coverage_factor;
    assessment.by_folds = compared(std::span(answers).first(folds), k);
    assessment.by_time = compared(std::span(answers).subspan(folds), k);
}

} // namespace trayworth::fitting
