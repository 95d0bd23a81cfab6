#include "fitting/estimate.hpp"

#include "core/robust.hpp"
#include "fitting/mixed_model.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>

namespace trayworth::fitting {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int most_rounds = 200;
constexpr int steps_in_round = 3;        // for the weights change with each round
constexpr double least_deviation = 1e-6; // of ln price: agreement beyond that is chance
constexpr double half_weight = 0.5;
constexpr double same_column = 1e-9;

struct Working {
    double weight = 0;
    double response = 0; // less the prediction
    double count = 0;
};

// phi(a) / Phi(a)
double inverse_mills_ratio(double a) {
    constexpr double far = -30;
    if (a < far) {
        return -a - 1 / a + 2 / (a * a * a);
    }
    const double density = std::exp(-a * a / 2) / std::sqrt(2 * std::numbers::pi);
    return density / (std::erfc(-a / std::numbers::sqrt2) / 2);
}

class Estimation {
public:
    Estimation(std::span<const Observation* const> sales,
               const Numbers& numbers,
               double k,
               const EstimateOptions& options)
        : sales_(sales), numbers_(numbers), k_(k), options_(options), columns_(numbers.size(), -1) {
        find_columns();
        set_priors();
    }

    Estimate run(const Estimate* warm) {
        begin(warm);
        Solution solution;
        for (found_.iterations = 0; found_.iterations < most_rounds && !found_.converged;
             ++found_.iterations) {
            const NormalEquations normal = sum_up();
            solution = restricted_maximum_likelihood(normal, model_, variances_,
                                                     {steps_in_round, options_.tolerance});
            variances_ = solution.variances;
            found_.converged = take(solution.d) < options_.tolerance;
            if (found_.converged && options_.look_for_ties) {
                find_ties(normal.xx);
            }
        }
        conclude(solution);
        return std::move(found_);
    }

private:
    void find_columns() {
        found_.sales.assign(numbers_.size(), 0);
        found_.reference = sales_.front()->day;
        for (const Observation* sale : sales_) {
            found_.reference = std::max(found_.reference, sale->day);
            std::size_t last = numbers_.size();
            for (const Use& use : sale->uses) {
                found_.sales[use.number] += use.number != last ? 1 : 0;
                last = use.number;
            }
        }
        for (std::size_t i = 0; i < numbers_.size(); ++i) {
            if (found_.sales[i] > 0 && !numbers_[i].held) {
                columns_[i] = static_cast<int>(model_.group.size());
                model_.group.push_back(options_.shrink ? static_cast<int>(numbers_[i].group)
                                                       : fixed_group);
                number_of_.push_back(i);
            }
        }
        if (options_.trend) {
            trend_column_ = static_cast<int>(model_.group.size());
            model_.group.push_back(fixed_group);
        }
    }

    // What the matrix states of itself: the variance of a price about its value, and of a number of
    // each table about what it should be.
    void set_priors() {
        model_.groups = numbers_.groups();
        model_.priors.resize(model_.groups);
        std::vector<std::size_t> sizes(model_.groups, 0);
        for (const std::size_t i : number_of_) {
            const double u = numbers_.spreads()[i].log_half / k_;
            model_.priors[numbers_[i].group].variance += u * u;
            ++sizes[numbers_[i].group];
        }
        for (std::size_t g = 0; g < model_.groups; ++g) {
            if (sizes[g] > 0) {
                model_.priors[g].variance /= static_cast<double>(sizes[g]);
                model_.priors[g].weight = options_.prior_weight;
            }
        }
        double sum = 0;
        for (const Observation* sale : sales_) {
            sum += variance(*sale, numbers_.spreads(), k_);
        }
        model_.residual = {sum / static_cast<double>(sales_.size()), options_.prior_weight};
    }

    void begin(const Estimate* warm) {
        found_.corrections.assign(numbers_.size(), 0);
        variances_.residual = std::max(model_.residual.variance, least_deviation);
        for (const VariancePrior& prior : model_.priors) {
            constexpr double tenth = 0.1;
            variances_.groups.push_back(std::max(prior.variance, tenth * variances_.residual));
        }
        if (warm != nullptr) {
            found_.corrections = warm->corrections;
            for (std::size_t i = 0; i < numbers_.size(); ++i) {
                found_.corrections[i] = columns_[i] < 0 ? 0 : found_.corrections[i];
            }
            trend_ = warm->trend ? warm->trend->per_year : 0;
            variances_.residual = warm->residual_deviation * warm->residual_deviation;
            for (std::size_t g = 0; g < variances_.groups.size(); ++g) {
                if (const double t = warm->group_deviations[g]; t > 0) {
                    variances_.groups[g] = t * t;
                }
            }
        }
    }

    [[nodiscard]] double years(const Observation& sale) const {
        return years_between(found_.reference, sale.day);
    }

    [[nodiscard]] double residual(const Observation& sale) const {
        return sale.log_ratio() - log_change(sale, found_.corrections) - trend_ * years(sale);
    }

    // s_r
    [[nodiscard]] double robust_scale() const {
        std::vector<double> distances;
        distances.reserve(sales_.size());
        for (const Observation* sale : sales_) {
            if (!sale->unsold) {
                distances.push_back(std::abs(residual(*sale)));
            }
        }
        constexpr double normal_quartile = 0.67448975019608171;
        return distances.empty()
                   ? std::sqrt(variances_.residual)
                   : std::max(median(std::move(distances)) / normal_quartile, least_deviation);
    }

    [[nodiscard]] Working working(const Observation& sale, double scale) const {
        const double r = residual(sale);
        const double c = options_.huber;
        if (!sale.unsold) {
            // Of normal residuals, w r^2 is on average erf(c / sqrt 2) of r^2.
            const double kept = std::isinf(c) ? 1 : std::erf(c / std::numbers::sqrt2);
            const double reach = c * scale;
            return {std::abs(r) <= reach ? 1 : reach / std::abs(r), r, kept};
        }
        const double s = std::sqrt(variances_.residual);
        const double a = r / s;
        const double mills = inverse_mills_ratio(a);
        const double weight = mills * (mills + a);
        constexpr double nothing = 1e-12;
        if (weight < nothing) {
            return {};
        }
        const double robust = mills <= c ? 1 : c / mills;
        // So many observations that the maximum of the normal equations' likelihood in s is that of
        // the censored one.
        const double count = a * mills + mills * mills / weight;
        return {robust * weight, -s * mills / weight, robust * count};
    }

    NormalEquations sum_up() {
        const double scale = std::isinf(options_.huber) ? 1 : robust_scale();
        NormalEquations normal(static_cast<Index>(model_.group.size()));
        std::vector<double> weights;
        std::vector<std::pair<Index, double>> row;
        found_.odd = 0;
        for (const Observation* sale : sales_) {
            const Working work = working(*sale, scale);
            found_.odd += !sale->unsold && work.weight < half_weight ? 1 : 0;
            make_row(*sale, weights, row);
            double z = work.response;
            for (const auto& entry : row) {
                z += entry.second * at(entry.first);
            }
            for (const auto& a : row) {
                normal.xz(a.first) += work.weight * a.second * z;
                for (const auto& b : row) {
                    if (b.first <= a.first) {
                        normal.xx(a.first, b.first) += work.weight * a.second * b.second;
                    }
                }
            }
            normal.zz += work.weight * z * z;
            normal.count += work.count;
        }
        return normal;
    }

    void make_row(const Observation& sale,
                  std::vector<double>& weights,
                  std::vector<std::pair<Index, double>>& row) const {
        row.clear();
        gradient(sale, found_.corrections, weights);
        for (std::size_t i = 0; i < weights.size(); ++i) {
            if (const int column = columns_[sale.uses[i].number]; column >= 0) {
                row.emplace_back(column, weights[i]);
            }
        }
        if (options_.trend) {
            row.emplace_back(trend_column_, years(sale));
        }
    }

    // The value of a column's unknown.
    [[nodiscard]] double at(Index column) const {
        return column == trend_column_
                   ? trend_
                   : found_.corrections[number_of_[static_cast<std::size_t>(column)]];
    }

    // Returns the largest change.
    double take(const VectorXd& d) {
        double largest = 0;
        for (std::size_t j = 0; j < number_of_.size(); ++j) {
            double& correction = found_.corrections[number_of_[j]];
            largest = std::max(largest, std::abs(d(static_cast<Index>(j)) - correction));
            correction = d(static_cast<Index>(j));
        }
        if (options_.trend) {
            largest = std::max(largest, std::abs(d(trend_column_) - trend_));
            trend_ = d(trend_column_);
        }
        return largest;
    }

    // A vector that X'WX sends to zero is a direction in which the numbers can move unnoticed.
    void find_ties(const MatrixXd& xx) {
        const auto count = static_cast<Index>(number_of_.size());
        MatrixXd scaled = xx.selfadjointView<Eigen::Lower>();
        scaled = scaled.topLeftCorner(count, count).eval();
        const VectorXd size = scaled.diagonal().cwiseSqrt();
        scaled.array() /= (size * size.transpose()).array();
        std::vector<bool> paired(number_of_.size(), false);
        for (Index j = 0; j < count; ++j) {
            for (Index i = j + 1; i < count; ++i) {
                if (scaled(i, j) > 1 - same_column) {
                    found_.together.emplace_back(number_of_[static_cast<std::size_t>(j)],
                                                 number_of_[static_cast<std::size_t>(i)]);
                    paired[static_cast<std::size_t>(i)] = true;
                }
            }
        }
        std::vector<Index> rest;
        for (Index j = 0; j < count; ++j) {
            if (!paired[static_cast<std::size_t>(j)]) {
                rest.push_back(j);
            }
        }
        const Eigen::SelfAdjointEigenSolver<MatrixXd> spectrum(scaled(rest, rest));
        std::set<std::size_t> tied;
        for (Index v = 0; v < spectrum.eigenvalues().size(); ++v) {
            if (spectrum.eigenvalues()(v) > same_column * static_cast<double>(count)) {
                break; // they ascend
            }
            for (Index j = 0; j < spectrum.eigenvectors().rows(); ++j) {
                constexpr double noticeable = 0.01;
                if (std::abs(spectrum.eigenvectors()(j, v)) > noticeable) {
                    const auto at = static_cast<std::size_t>(rest[static_cast<std::size_t>(j)]);
                    tied.insert(numbers_[number_of_[at]].group);
                }
            }
        }
        for (const std::size_t i : number_of_) {
            if (tied.erase(numbers_[i].group) > 0) {
                found_.tied_tables.push_back(numbers_[i].table);
            }
        }
    }

    void conclude(const Solution& solution) {
        found_.standard_errors.assign(numbers_.size(), 0);
        for (std::size_t j = 0; j < number_of_.size(); ++j) {
            const auto column = static_cast<Index>(j);
            found_.standard_errors[number_of_[j]] = std::sqrt(solution.covariance(column, column));
        }
        if (options_.trend) {
            found_.trend = {trend_, std::sqrt(solution.covariance(trend_column_, trend_column_))};
        }
        found_.residual_deviation = std::sqrt(variances_.residual);
        found_.group_deviations.assign(numbers_.groups(), 0);
        for (const std::size_t i : number_of_) {
            const std::size_t g = numbers_[i].group;
            found_.group_deviations[g] = std::sqrt(variances_.groups[g]);
        }
        leave_each_out(solution);
    }

    void leave_each_out(const Solution& solution) {
        const double scale = std::isinf(options_.huber) ? 1 : robust_scale();
        std::vector<double> weights;
        std::vector<std::pair<Index, double>> row;
        found_.left_out.resize(sales_.size());
        for (std::size_t i = 0; i < sales_.size(); ++i) {
            if (sales_[i]->unsold) {
                continue;
            }
            make_row(*sales_[i], weights, row);
            double spread = 0;
            for (const auto& a : row) {
                for (const auto& b : row) {
                    spread += a.second * b.second * solution.covariance(a.first, b.first);
                }
            }
            const Working work = working(*sales_[i], scale);
            const double leverage = work.weight * spread / variances_.residual;
            constexpr double most = 0.999;
            found_.left_out[i] = work.response / (1 - std::min(leverage, most));
        }
    }

    std::span<const Observation* const> sales_;
    const Numbers& numbers_;
    double k_;
    EstimateOptions options_;
    std::vector<int> columns_;           // by number; -1 for one that does not move
    std::vector<std::size_t> number_of_; // by column
    Index trend_column_ = -1;
    MixedModel model_;
    Variances variances_;
    double trend_ = 0;
    Estimate found_;
};

} // namespace

double years_between(std::chrono::sys_days from, std::chrono::sys_days to) {
    constexpr double days_in_year = 365.2425; // of the Gregorian calendar, on average
    return static_cast<double>((to - from).count()) / days_in_year;
}

Estimate estimate(std::span<const Observation* const> sales,
                  const Numbers& numbers,
                  double coverage_factor,
                  const EstimateOptions& options,
                  const Estimate* warm) {
    return Estimation(sales, numbers, coverage_factor, options).run(warm);
}

} // namespace trayworth::fitting
