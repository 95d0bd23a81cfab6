#include "fitting/mixed_model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace trayworth::fitting {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// A variance below this part of the residual's is as good as none.
constexpr double least_ratio = 1e-12;
constexpr int most_halvings = 10;
constexpr double noise = 1e-12;    // of the likelihood
constexpr double longest_step = 3; // in the logarithm of a variance

// Everything that is computed at one set of variances.
struct At {
    Solution solution;
    double log_likelihood = -std::numeric_limits<double>::infinity();
    double residual_squares = 0; // (z - X d)' W (z - X d)
    std::vector<double> sizes;   // q_g
    std::vector<double> squares; // sum of d_j^2
    std::vector<double> traces;  // tr(C^-1_gg)
};

double prior_log_density(const VariancePrior& prior, double variance) {
    return -prior.weight / 2 * (std::log(variance) + prior.variance / variance);
}

class Reml {
public:
    Reml(const NormalEquations& normal, const MixedModel& model) : normal_(normal), model_(model) {}

    [[nodiscard]] At at(const Variances& variances) const {
        At found;
        Solution& solution = found.solution;
        solution.variances = variances;
        const Index columns = normal_.xz.size();
        const double s2 = variances.residual;
        MatrixXd c = normal_.xx.selfadjointView<Eigen::Lower>();
        c /= s2;
        found.sizes.assign(model_.groups, 0);
        found.squares.assign(model_.groups, 0);
        found.traces.assign(model_.groups, 0);
        double log_determinants = normal_.count * std::log(s2);
        for (Index j = 0; j < columns; ++j) {
            if (const int g = group(j); g != fixed_group) {
                const double t2 = variances.groups[static_cast<std::size_t>(g)];
                c(j, j) += 1 / t2;
                log_determinants += std::log(t2);
            }
        }
        const Eigen::LLT<MatrixXd> cholesky(c);
        if (cholesky.info() != Eigen::Success) {
            return found;
        }
        solution.d = cholesky.solve(normal_.xz / s2);
        solution.covariance = cholesky.solve(MatrixXd::Identity(columns, columns));
        for (Index j = 0; j < columns; ++j) {
            log_determinants += 2 * std::log(cholesky.matrixLLT()(j, j));
            if (const int g = group(j); g != fixed_group) {
                const auto of = static_cast<std::size_t>(g);
                found.sizes[of] += 1;
                found.squares[of] += solution.d(j) * solution.d(j);
                found.traces[of] += solution.covariance(j, j);
            }
        }
        const double explained = normal_.xz.dot(solution.d);
        const VectorXd xxd = normal_.xx.selfadjointView<Eigen::Lower>() * solution.d;
        found.residual_squares = std::max(normal_.zz - 2 * explained + solution.d.dot(xxd), 0.0);
        const double ypy = std::max(normal_.zz - explained, 0.0) / s2;
        found.log_likelihood = -(log_determinants + ypy) / 2;
        found.log_likelihood += prior_log_density(model_.residual, s2);
        for (std::size_t g = 0; g < model_.groups; ++g) {
            if (found.sizes[g] > 0) {
                found.log_likelihood += prior_log_density(model_.priors[g], variances.groups[g]);
            }
        }
        return found;
    }

    // The step of Fisher scoring in (ln s2, ln t2_1, ...). A group of no numbers, or whose variance
    // is at its least and would go lower, stays.
    VectorXd step(const At& at, VectorXd& score) const {
        const auto groups = static_cast<Index>(model_.groups);
        const Variances& variances = at.solution.variances;
        score.resize(groups + 1);
        MatrixXd information = MatrixXd::Zero(groups + 1, groups + 1);
        information.bottomRightCorner(groups, groups) = between_groups(at);
        double told = 0; // sum of g_g
        for (Index g = 0; g < groups; ++g) {
            const auto of = static_cast<std::size_t>(g);
            const double t2 = variances.groups[of];
            const double tells = at.sizes[of] - at.traces[of] / t2;
            told += tells;
            score(g + 1) = -(tells - at.squares[of] / t2) / 2;
            information(0, g + 1) = information(g + 1, 0) =
                tells / 2 - information.row(g + 1).tail(groups).sum();
        }
        const double s2 = variances.residual;
        const double free = normal_.count - fixed();
        score(0) = -(free - told - at.residual_squares / s2) / 2;
        information(0, 0) = free / 2 - 2 * information.row(0).tail(groups).sum() -
                            information.bottomRightCorner(groups, groups).sum();
        add_prior(model_.residual, s2, 0, score, information);
        for (Index g = 0; g < groups; ++g) {
            const auto of = static_cast<std::size_t>(g);
            add_prior(model_.priors[of], variances.groups[of], g + 1, score, information);
            const bool least = variances.groups[of] <= least_ratio * s2 * 1.0001;
            if (at.sizes[of] == 0 || (least && score(g + 1) < 0)) {
                information.row(g + 1).setZero();
                information.col(g + 1).setZero();
                information(g + 1, g + 1) = 1;
                score(g + 1) = 0;
            }
        }
        information.diagonal().array() += 1e-12;
        VectorXd found = information.ldlt().solve(score);
        const double longest = found.cwiseAbs().maxCoeff();
        return longest > longest_step ? VectorXd(found * (longest_step / longest)) : found;
    }

    [[nodiscard]] Variances moved(const Variances& from, const VectorXd& step) const {
        Variances to = from;
        to.residual *= std::exp(step(0));
        for (std::size_t g = 0; g < to.groups.size(); ++g) {
            to.groups[g] = std::max(to.groups[g] * std::exp(step(static_cast<Index>(g) + 1)),
                                    least_ratio * to.residual);
        }
        return to;
    }

private:
    [[nodiscard]] int group(Index column) const {
        return model_.group[static_cast<std::size_t>(column)];
    }

    [[nodiscard]] double fixed() const {
        return static_cast<double>(
            std::count(model_.group.begin(), model_.group.end(), fixed_group));
    }

    // 1/2 t2_g t2_h |K_gh|^2 with K = D^-1 - D^-1 C^-1 D^-1, which is Z'PZ.
    [[nodiscard]] MatrixXd between_groups(const At& at) const {
        const auto groups = static_cast<Index>(model_.groups);
        const std::vector<double>& t2 = at.solution.variances.groups;
        MatrixXd sums = MatrixXd::Zero(groups, groups);
        for (Index j = 0; j < normal_.xz.size(); ++j) {
            const int g = group(j);
            if (g == fixed_group) {
                continue;
            }
            const double tg = t2[static_cast<std::size_t>(g)];
            for (Index i = 0; i < normal_.xz.size(); ++i) {
                const int h = group(i);
                if (h != fixed_group) {
                    const double th = t2[static_cast<std::size_t>(h)];
                    const double k =
                        (i == j ? 1 : 0) - at.solution.covariance(i, j) / std::sqrt(tg * th);
                    sums(g, h) += k * k / 2;
                }
            }
        }
        return sums;
    }

    static void add_prior(const VariancePrior& prior,
                          double variance,
                          Index at,
                          VectorXd& score,
                          MatrixXd& information) {
        const double ratio = prior.variance / variance;
        score(at) -= prior.weight / 2 * (1 - ratio);
        information(at, at) += prior.weight / 2 * std::max(ratio, 1.0);
    }

    const NormalEquations& normal_;
    const MixedModel& model_;
};

} // namespace

Solution restricted_maximum_likelihood(const NormalEquations& normal,
                                       const MixedModel& model,
                                       const Variances& start,
                                       const RemlOptions& options) {
    const Reml reml(normal, model);
    At best = reml.at(start);
    int steps = 0;
    for (; steps < options.most_steps && !best.solution.converged; ++steps) {
        VectorXd score;
        VectorXd step = reml.step(best, score);
        // So near to the maximum that the likelihood's last digits cannot tell.
        const bool near = score.dot(step) < noise * std::abs(best.log_likelihood);
        At next = reml.at(reml.moved(best.solution.variances, step));
        for (int halved = 0;
             halved < most_halvings && !near && next.log_likelihood < best.log_likelihood;
             ++halved) {
            step /= 2;
            next = reml.at(reml.moved(best.solution.variances, step));
        }
        next.solution.converged = step.cwiseAbs().maxCoeff() < options.tolerance;
        best = std::move(next);
    }
    best.solution.iterations = steps;
    return best.solution;
}

} // namespace trayworth::fitting
