#include "core/decimal.hpp"
#include "output/fit.hpp"
#include "output/json_parts.hpp"
#include "output/statement.hpp"

#include <cmath>

namespace trayworth::output {
namespace {

class FitWriter {
public:
    FitWriter(JsonWriter& json, const FitReport& report)
        : json_(json), report_(report), numbers_(report.numbers) {}

    void write() {
        const fitting::Assessment& assessment = report_.assessment;
        json_.begin_object();
        write_matrix(json_, report_.matrix);
        json_.member("first", day_text(report_.first));
        json_.member("last", day_text(report_.last));
        json_.member("unsold", assessment.unsold);
        json_.member("unsold_below_likely", assessment.unsold_below);
        json_.member("refused", report_.refused);
        json_.member("stated_coverage", report_.matrix.coverage);
        if (assessment.quality) {
            write_quality(*assessment.quality);
        }
        if (assessment.by_folds) {
            write_both(*assessment.by_folds);
        }
        if (assessment.by_time) {
            json_.key("by_time");
            json_.begin_object();
            write_both(*assessment.by_time);
            json_.end_object();
        }
        write_breakdowns();
        write_calibration();
        if (report_.with_changes) {
            write_result();
        }
        json_.member("purpose", purpose);
        json_.end_object();
    }

private:
    void write_quality(const fitting::Quality& quality) {
        json_.member("n", quality.sales);
        json_.member("bias_log", to_significant(quality.bias_log));
        json_.member("median_ape", to_significant(quality.median_ape));
        json_.member("coverage", to_significant(quality.coverage));
        json_.key("rank_correlation");
        if (quality.rank_correlation) {
            json_.number(to_significant(*quality.rank_correlation));
        } else {
            json_.null();
        }
    }

    void write_both(const fitting::OutOfSample& tried) {
        json_.key("before");
        json_.begin_object();
        write_quality(tried.before);
        json_.end_object();
        json_.key("after");
        json_.begin_object();
        write_quality(tried.after);
        json_.end_object();
    }

    void write_breakdowns() {
        json_.key("breakdowns");
        json_.begin_array();
        for (const fitting::Breakdown& breakdown : report_.assessment.breakdowns) {
            json_.begin_object();
            json_.member("by", breakdown.by);
            json_.key("groups");
            json_.begin_array();
            for (const fitting::Group& group : breakdown.groups) {
                json_.begin_object();
                json_.member("name", group.name);
                write_quality(group.quality);
                json_.end_object();
            }
            json_.end_array();
            json_.end_object();
        }
        json_.end_array();
    }

    void write_calibration() {
        json_.key("calibration");
        json_.begin_array();
        for (const fitting::CoveragePoint& point : report_.assessment.calibration) {
            json_.begin_object();
            json_.member("stated", point.stated);
            json_.member("found", to_significant(point.found));
            json_.end_object();
        }
        json_.end_array();
    }

    void write_result() {
        const fitting::Proposal& proposal = report_.proposal;
        const fitting::Estimate& estimate = proposal.estimate;
        json_.key("fit");
        json_.begin_object();
        json_.key("converged");
        json_.boolean(estimate.converged);
        json_.member("rounds", estimate.iterations);
        json_.member("residual_deviation", to_significant(estimate.residual_deviation));
        json_.member("odd_sales", estimate.odd);
        if (proposal.widening) {
            json_.member("widening", to_significant(*proposal.widening));
        }
        if (proposal.half_width) {
            json_.member("price_log_half_width", to_significant(*proposal.half_width));
        }
        if (estimate.trend) {
            json_.key("trend");
            json_.begin_object();
            json_.member("log_per_year", to_significant(estimate.trend->per_year));
            json_.member("standard_error", to_significant(estimate.trend->standard_error));
            json_.end_object();
        }
        write_tables();
        json_.key("changed");
        json_.begin_array();
        for (const fitting::Change& change : proposal.changes) {
            write_change(change);
        }
        json_.end_array();
        write_pointers("without_sales", proposal.unsold);
        write_pointers("held", proposal.held);
        json_.key("together");
        json_.begin_array();
        for (const auto& [a, b] : estimate.together) {
            json_.begin_array();
            json_.text(numbers_[a].pointer);
            json_.text(numbers_[b].pointer);
            json_.end_array();
        }
        json_.end_array();
        write_texts(json_, "tied_tables", estimate.tied_tables);
        json_.end_object();
    }

    // How far the numbers of each table were off, as a standard deviation of ln.
    void write_tables() {
        json_.key("tables");
        json_.begin_array();
        std::size_t last = numbers_.groups();
        for (const fitting::Number& number : numbers_.all()) {
            const double deviation = report_.proposal.estimate.group_deviations[number.group];
            if (number.group != last && deviation > 0) {
                json_.begin_object();
                json_.member("table", number.table);
                json_.member("deviation", to_significant(deviation));
                json_.end_object();
            }
            last = number.group;
        }
        json_.end_array();
    }

    void write_spread(const Key& name, const pricing::Spread& spread) {
        json_.key(name);
        json_.begin_object();
        json_.member("low", to_significant(spread.low()));
        json_.member("likely", to_significant(std::exp(spread.log_middle)));
        json_.member("high", to_significant(spread.high()));
        json_.end_object();
    }

    void write_change(const fitting::Change& change) {
        const fitting::Number& number = numbers_[change.number];
        json_.begin_object();
        json_.member("pointer", number.pointer);
        json_.member("table", number.table);
        json_.member("name", number.name);
        json_.member("n", change.sales);
        write_spread("before", change.before);
        write_spread("after", change.now);
        json_.member("log_estimate", to_significant(change.correction));
        json_.member("log_change",
                     to_significant(change.now.log_middle - change.before.log_middle));
        json_.key("log_standard_error");
        if (change.sales > 0) {
            json_.number(to_significant(change.standard_error));
        } else {
            json_.null();
        }
        json_.key("by_order");
        json_.boolean(change.by_order);
        json_.key("bounded");
        json_.boolean(change.bounded);
        json_.end_object();
    }

    void write_pointers(const Key& name, const std::vector<std::size_t>& indices) {
        std::vector<std::string> pointers;
        pointers.reserve(indices.size());
        for (const std::size_t i : indices) {
            pointers.push_back(numbers_[i].pointer);
        }
        write_texts(json_, name, pointers);
    }

    JsonWriter& json_;
    const FitReport& report_;
    const fitting::Numbers& numbers_;
};

} // namespace

void write_fit(JsonWriter& json, const FitReport& report) {
    FitWriter(json, report).write();
}

} // namespace trayworth::output
