// Symbols as in total.hpp, and
//   E_i      V_i exp(u_i^2 / 2)                          mean of the lognormal V_i
//   cov_ij   sum_s sqrt(r_is r_js) c_is c_js             of ln V_i and ln V_j, i != j
//   E        sum_i E_i                                   mean of S
//   Var S    sum_i E_i^2 (exp(u_i^2) - 1) + sum_{i != j} E_i E_j (exp(cov_ij) - 1)
//            moments of the multivariate lognormal (from memory)
//   q        mean of cov_ij, weighted by E_i E_j; exp(cov_ij) is replaced by exp(q)
//   sigma^2  ln(1 + Var S / E^2)
//   M        E exp(-sigma^2 / 2)
//   range    [M exp(-k sigma), M exp(k sigma)]
// Sums over pairs are gathered as the stones come: each is met with the sums of those before it, so
// that nothing large is taken from something large.
//   shares   of sum_s [ (sum_i E_i sqrt(r_is) c_is)^2 + sum_i E_i^2 (1 - r_is) c_is^2 ], which is
//            Var S to first order (JCGM 100:2008, 5.2.2); its first part is what is common
#include "valuation/total.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace trayworth::valuation {
namespace {

std::vector<SourceShare> shares_of(std::vector<SourceShare> variances) {
    double whole = 0;
    for (const SourceShare& line : variances) {
        whole += line.share;
    }
    std::erase_if(variances, [](const SourceShare& line) { return line.share == 0; });
    for (SourceShare& line : variances) {
        line.share /= whole;
        line.common /= whole;
    }
    std::sort(variances.begin(), variances.end(), [](const SourceShare& a, const SourceShare& b) {
        return a.share != b.share ? a.share > b.share : a.source < b.source;
    });
    return variances;
}

} // namespace

TrayTotal::Source& TrayTotal::source_of(std::string_view name) {
    const auto known = std::find_if(sources_.begin(), sources_.end(), [&](const Source& source) {
        return source.name == name && source.last_stone != stones_;
    });
    Source& source =
        known != sources_.end() ? *known : sources_.emplace_back(Source{std::string(name)});
    source.last_stone = stones_;
    return source;
}

void TrayTotal::add(double likely, std::span<const Effect> effects, Interval outer) {
    ++stones_;
    double variance = 0; // of ln V
    for (const Effect& effect : effects) {
        variance += effect.u * effect.u;
    }
    const double mean = likely * std::exp(variance / 2);
    for (const Effect& effect : effects) {
        Source& source = source_of(effect.source);
        const double common = mean * std::sqrt(effect.common) * effect.u;
        pair_covariance_ += 2 * common * source.common;
        source.common += common;
        source.own += mean * mean * (1 - effect.common) * effect.u * effect.u;
    }
    pairs_ += 2 * mean * mean_;
    squares_ += mean * mean;
    variances_ += mean * mean * std::expm1(variance);
    mean_ += mean;
    likely_ += likely;
    outer_.low += outer.low;
    outer_.high += outer.high;
}

Total TrayTotal::total(double coverage_factor) const {
    Total result;
    if (stones_ == 0) {
        return result;
    }
    double variance = variances_;
    if (pairs_ > 0) {
        variance += pairs_ * std::expm1(pair_covariance_ / pairs_);
    }
    // Below zero by rounding only, where stones move against each other.
    const double log_variance = std::log1p(std::max(variance, 0.0) / (squares_ + pairs_));

    result.stones = stones_;
    result.likely = likely_;
    result.u = std::sqrt(log_variance);
    result.median = mean_ * std::exp(-log_variance / 2);
    result.low = std::max(result.median * std::exp(-coverage_factor * result.u), outer_.low);
    result.high = std::min(result.median * std::exp(coverage_factor * result.u), outer_.high);
    std::vector<SourceShare> variances;
    for (const Source& source : sources_) {
        auto line = std::find_if(variances.begin(), variances.end(), [&](const SourceShare& known) {
            return known.source == source.name;
        });
        if (line == variances.end()) {
            line = variances.insert(line, SourceShare{source.name});
        }
        const double common = source.common * source.common;
        line->common += common;
        line->share += common + source.own;
    }
    result.sources = shares_of(std::move(variances));
    for (const SourceShare& line : result.sources) {
        result.common_share += line.common;
    }
    return result;
}

} // namespace trayworth::valuation
