#include "fitting/orders.hpp"

#include "pricing/ranked_words.hpp"

#include <algorithm>
#include <span>
#include <string_view>
#include <utility>
#include <variant>

namespace trayworth::fitting {
namespace {

class Orders {
public:
    Orders(const pricing::Matrix& matrix, const Numbers& numbers)
        : matrix_(matrix), numbers_(numbers) {}

    std::vector<Chain> run() {
        for (const pricing::Grid& grid : matrix_.grids) {
            of_grid(grid);
        }
        for (const pricing::Factor& factor : matrix_.factors) {
            if (const auto* category = std::get_if<pricing::Category>(&factor.rule)) {
                of_words(category->values, pricing::ranked(category->field));
            } else if (const auto* faults = std::get_if<pricing::Faults>(&factor.rule)) {
                of_faults(*faults);
            } else if (const auto* curve = std::get_if<pricing::Curve>(&factor.rule)) {
                of_curve(*curve);
            }
        }
        return std::move(chains_);
    }

private:
    // Splits a chain where the matrix goes against it.
    void add(const std::vector<const pricing::Spread*>& ascending) {
        Chain chain;
        const auto keep = [&] {
            if (chain.size() > 1) {
                chains_.push_back(std::move(chain));
            }
            chain.clear();
        };
        for (std::size_t i = 0; i < ascending.size(); ++i) {
            if (i > 0 && ascending[i]->log_middle < ascending[i - 1]->log_middle) {
                keep();
            }
            chain.push_back(*numbers_.find(*ascending[i]));
        }
        keep();
    }

    void of_grid(const pricing::Grid& grid) {
        const std::size_t rows = grid.tones.size();
        const std::size_t columns = grid.brightness.size();
        std::vector<const pricing::Spread*> line;
        const auto take = [&](std::size_t row, std::size_t column) {
            if (const auto& cell = grid.cell(row, column)) {
                line.push_back(&*cell);
            }
        };
        for (std::size_t row = 0; row < rows; ++row) {
            line.clear();
            for (std::size_t column = 0; column < columns; ++column) {
                take(row, matrix_.brightness.brightest == 1 ? columns - 1 - column : column);
            }
            add(line);
        }
        for (std::size_t column = 0; column < columns; ++column) {
            line.clear();
            for (std::size_t row = rows; row-- > 0;) { // the darkest is the dearest
                take(row, column);
            }
            add(line);
        }
    }

    void of_words(const std::vector<pricing::Entry>& entries,
                  std::span<const std::string_view> from_dearest) {
        std::vector<const pricing::Spread*> line;
        for (std::size_t i = from_dearest.size(); i-- > 0;) {
            if (const pricing::Entry* entry = pricing::find(entries, from_dearest[i])) {
                line.push_back(&entry->spread);
            }
        }
        add(line);
    }

    void of_faults(const pricing::Faults& faults) {
        for (const pricing::FaultKind& kind : faults.kinds) {
            for (const pricing::FaultPlace& place : kind.places) {
                of_words(place.severities, pricing::severities);
            }
        }
    }

    void of_curve(const pricing::Curve& curve) {
        if (curve.field == pricing::NumberField::coverage && !curve.per) {
            std::vector<const pricing::Spread*> line;
            for (const pricing::Spread& factor : curve.factors) {
                line.push_back(&factor);
            }
            add(line);
        }
    }

    const pricing::Matrix& matrix_;
    const Numbers& numbers_;
    std::vector<Chain> chains_;
};

} // namespace

std::vector<Chain> orders_of(const pricing::Matrix& matrix, const Numbers& numbers) {
    return Orders(matrix, numbers).run();
}

} // namespace trayworth::fitting
