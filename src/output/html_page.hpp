// A page around its stones: one file, without script and without anything to fetch.
#pragma once

#include "pricing/matrix.hpp"

#include <cstddef>
#include <string>
#include <string_view>

namespace trayworth::output {

// Up to the body; `style` is CSS besides that of every page.
std::string html_head(std::string_view title, std::string_view style);

// Up to the first stone: what the values are for, by which matrix, and what they are not.
// `several`: the page of a tray, which closes with html_tray().
std::string html_top(const pricing::Matrix& matrix, std::string_view level, bool several);

// The article that holds a stone; `number` is its place in the input, from 1.
std::string html_article(std::size_t number, std::string_view content);

// After the last stone and the tray: the cautions again.
std::string html_bottom(const pricing::Matrix& matrix);

} // namespace trayworth::output
