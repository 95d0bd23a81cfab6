#include "fitting/numbers.hpp"

#include "core/diagnostic.hpp"

#include <type_traits>
#include <variant>

#include <fmt/format.h>

namespace trayworth::fitting {
namespace {

using pricing::Entry;
using pricing::Spread;

const Spread& spread_in(const Entry& entry) {
    return entry.spread;
}
const Spread& spread_in(const Spread& spread) {
    return spread;
}

// Gives each number of the matrix to `visit`, with what it is: visit(Number, Entry or Spread). The
// matrix is const or not, and so are the numbers.
template<class Matrix, class Visit>
class Walk {
public:
    Walk(Matrix& matrix, Visit visit) : matrix_(matrix), visit_(visit) {}

    // Returns the number of groups.
    std::size_t run() {
        levels();
        for (auto& grid : matrix_.grids) {
            table(grid.name);
            cells(grid);
        }
        for (auto& factor : matrix_.factors) {
            table(factor.name);
            std::visit([&](auto& rule) { of(factor, rule); }, factor.rule);
            if (factor.if_absent) {
                number(factor.pointer + "/if_absent", "not stated", *factor.if_absent);
            }
        }
        return groups_;
    }

private:
    void table(const std::string& name) {
        table_ = name;
        ++groups_;
        prices_ = false;
        no_gain_ = false;
    }

    template<class Slot>
    void number(std::string pointer, std::string name, Slot& slot) {
        Number one;
        one.pointer = std::move(pointer);
        one.table = table_;
        one.name = std::move(name);
        one.group = groups_ - 1;
        const Spread& spread = spread_in(slot);
        one.price = prices_;
        one.held = !prices_ && spread.is_one();
        one.no_gain = no_gain_ && spread.log_middle <= 0;
        visit_(std::move(one), slot);
    }

    template<class Entries>
    void entries(const std::string& pointer, const std::string& before, Entries& entries) {
        for (auto& entry : entries) {
            number(pointer + "/" + pointer_token(entry.name), before + entry.name, entry);
        }
    }

    void levels() {
        table("market levels");
        for (auto& level : matrix_.market_levels) {
            if (level.name != matrix_.market_level) {
                number("/market_levels/" + pointer_token(level.name), level.name, level);
            }
        }
    }

    template<class Grid>
    void cells(Grid& grid) {
        prices_ = true;
        for (std::size_t i = 0; i < grid.cells.size(); ++i) {
            if (grid.cells[i]) {
                const std::size_t row = i / grid.brightness.size();
                const std::size_t column = i % grid.brightness.size();
                number(grid.cell_pointer(row, column), grid.cell_name(row, column), *grid.cells[i]);
            }
        }
    }

    template<class Factor, class Rule>
    void of(Factor& factor, Rule& rule) {
        using Kind = std::remove_const_t<Rule>;
        const std::string values = factor.pointer + "/values";
        if constexpr (std::is_same_v<Kind, pricing::Faults>) {
            no_gain_ = true;
            for (auto& kind : rule.kinds) {
                for (auto& place : kind.places) {
                    entries(values + "/" + pointer_token(kind.name) + "/" +
                                pointer_token(place.name),
                            kind.name + ", " + place.name + ", ", place.severities);
                }
            }
        } else if constexpr (std::is_same_v<Kind, pricing::Curve>) {
            for (std::size_t i = 0; i < rule.factors.size(); ++i) {
                number(fmt::format("{}/points/{}/factor", factor.pointer, i),
                       fmt::format("at {}", rule.at[i]), rule.factors[i]);
            }
        } else {
            if constexpr (std::is_same_v<Kind, pricing::Category>) {
                no_gain_ = rule.field == pricing::WordField::treatments;
            }
            entries(values, "", rule.values);
        }
    }

    Matrix& matrix_;
    Visit visit_;
    std::string table_;
    std::size_t groups_ = 0;
    bool prices_ = false;
    bool no_gain_ = false;
};

} // namespace

Numbers::Numbers(const pricing::Matrix& matrix) {
    const auto keep = [this](Number number, const auto& slot) {
        const Spread& spread = spread_in(slot);
        places_.emplace(&spread, all_.size());
        spreads_.push_back(spread);
        all_.push_back(std::move(number));
    };
    groups_ = Walk(matrix, keep).run();
}

pricing::Matrix with_spreads(pricing::Matrix matrix, std::span<const Spread> spreads) {
    std::size_t index = 0;
    const auto put = [&](const Number&, auto& slot) {
        if constexpr (std::is_same_v<std::decay_t<decltype(slot)>, Entry>) {
            slot = Entry(slot.name, spreads[index++]);
        } else {
            slot = spreads[index++];
        }
    };
    Walk(matrix, put).run();
    return matrix;
}

} // namespace trayworth::fitting
