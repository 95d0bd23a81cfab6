// Balanced one-way layout, a groups of m: with the mean squares within (MSW) and between groups
// (MSB), restricted maximum likelihood gives s2 = MSW and t2 = (MSB - MSW) / m where that is above
// 0, and the group's effect is its mean's distance from the whole mean times m t2 / (m t2 + s2): S.
// R. Searle, G. Casella, C. E. McCulloch, Variance Components, 1992 (from memory).
#include "fitting/mixed_model.hpp"

#include <random>

#include <doctest/doctest.h>

using namespace trayworth::fitting;
using doctest::Approx;

namespace {

constexpr int groups = 6;
constexpr int per_group = 5;

struct Layout {
    NormalEquations normal{groups + 1}; // the last column is the mean
    std::vector<double> means;
    double mean = 0;
    double within = 0;
    double between = 0;
};

Layout layout(double deviation, unsigned seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    Layout found;
    std::vector<std::vector<double>> values(groups);
    for (auto& group : values) {
        const double effect = deviation * normal(random);
        double sum = 0;
        for (int i = 0; i < per_group; ++i) {
            group.push_back(10 + effect + normal(random));
            sum += group.back();
        }
        found.means.push_back(sum / per_group);
        found.mean += sum / (groups * per_group);
    }
    for (int g = 0; g < groups; ++g) {
        const auto of = static_cast<std::size_t>(g);
        found.between += per_group * std::pow(found.means[of] - found.mean, 2) / (groups - 1);
        for (const double y : values[of]) {
            found.within += std::pow(y - found.means[of], 2) / (groups * (per_group - 1));
            NormalEquations& sums = found.normal;
            sums.xx(g, g) += 1;
            sums.xx(groups, g) += 1;
            sums.xx(groups, groups) += 1;
            sums.xz(g) += y;
            sums.xz(groups) += y;
            sums.zz += y * y;
            sums.count += 1;
        }
    }
    return found;
}

MixedModel one_way() {
    MixedModel model;
    model.group.assign(groups, 0);
    model.group.push_back(fixed_group);
    model.groups = 1;
    model.priors.resize(1);
    return model;
}

} // namespace

TEST_CASE("the balanced one-way layout has its closed form") {
    const Layout data = layout(2, 1);
    REQUIRE(data.between > data.within);
    const Solution found =
        restricted_maximum_likelihood(data.normal, one_way(), Variances{0.3, {0.3}});
    CHECK(found.converged);
    const double t2 = (data.between - data.within) / per_group;
    CHECK(found.variances.residual == Approx(data.within).epsilon(1e-8));
    CHECK(found.variances.groups[0] == Approx(t2).epsilon(1e-8));
    CHECK(found.d(groups) == Approx(data.mean).epsilon(1e-10));
    for (int g = 0; g < groups; ++g) {
        const double shrunk = per_group * t2 / (per_group * t2 + data.within) *
                              (data.means[static_cast<std::size_t>(g)] - data.mean);
        CHECK(found.d(g) == Approx(shrunk).epsilon(1e-7));
    }
    // Var of the whole mean: (s2 + m t2) / (a m).
    CHECK(found.covariance(groups, groups) ==
          Approx((data.within + per_group * t2) / (groups * per_group)).epsilon(1e-8));
}

TEST_CASE("groups that differ by no more than chance have no variance") {
    for (unsigned seed = 1; seed < 40; ++seed) {
        const Layout data = layout(0, seed);
        if (data.between < 0.7 * data.within) {
            const Solution found =
                restricted_maximum_likelihood(data.normal, one_way(), Variances{1, {1}});
            CHECK(found.variances.groups[0] < 1e-6);
            CHECK(found.d.head(groups).cwiseAbs().maxCoeff() < 1e-5);
            return;
        }
    }
    FAIL("no such layout was drawn");
}

TEST_CASE("a prior of no observations changes nothing, one of many decides") {
    const Layout data = layout(2, 1);
    MixedModel model = one_way();
    model.residual = {4, 1e9};
    model.priors[0] = {9, 1e9};
    const Solution decided = restricted_maximum_likelihood(data.normal, model, Variances{1, {1}});
    CHECK(decided.variances.residual == Approx(4).epsilon(1e-5));
    CHECK(decided.variances.groups[0] == Approx(9).epsilon(1e-5));
    // With these variances each effect is shrunk as the closed form has it.
    for (int g = 0; g < groups; ++g) {
        const double shrunk = per_group * 9.0 / (per_group * 9 + 4) *
                              (data.means[static_cast<std::size_t>(g)] - data.mean);
        CHECK(decided.d(g) == Approx(shrunk).epsilon(1e-5));
    }
    CHECK(decided.d(groups) == Approx(data.mean).epsilon(1e-10));
}

TEST_CASE("a start far off ends at the same maximum") {
    const Layout data = layout(2, 1);
    const Solution near = restricted_maximum_likelihood(data.normal, one_way(), Variances{1, {4}});
    for (const Variances& start : {Variances{1e-4, {1e4}}, Variances{1e4, {1e-4}}}) {
        const Solution far = restricted_maximum_likelihood(data.normal, one_way(), start);
        CHECK(far.converged);
        CHECK(far.variances.groups[0] == Approx(near.variances.groups[0]).epsilon(1e-7));
    }
}
