#include "io/embedded.hpp"
#include "io/matrix_reader.hpp"
#include "lines.hpp"
#include "output/matrix_csv.hpp"
#include "output/matrix_parts.hpp"
#include "output/matrix_text.hpp"
#include "output/safe_text.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace trayworth;
using pricing::Spread;
using test::lines_of;

namespace {

pricing::Matrix demonstration() {
    Diagnostics diagnostics;
    auto matrix = io::read_matrix(io::demonstration_matrix(), "demonstration", diagnostics);
    REQUIRE(matrix);
    return *matrix;
}

std::string without_colours(const std::string& text) {
    std::string plain;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '\x1b') {
            i = text.find('m', i);
        } else {
            plain += text[i];
        }
    }
    return plain;
}

} // namespace

TEST_CASE("matrix: figures and ranges") {
    CHECK(output::figure(0.05) == "0.05");
    CHECK(output::figure(999) == "999");
    CHECK(output::figure(1000) == "1,000");
    CHECK(output::figure(1234567) == "1,234,567");
    CHECK(output::figure(1234.5) == "1,234.5");
    CHECK(output::range_text(Spread::between(83, 130)) == "83-130");
    CHECK(output::range_text(Spread::between(7, 7)) == "7");
}

TEST_CASE("matrix: no line is longer than the terminal, and a wider one takes more beside") {
    const pricing::Matrix matrix = demonstration();
    std::size_t before = 1'000'000;
    for (const std::size_t width : {80U, 100U, 132U, 200U, 300U}) {
        CAPTURE(width);
        const auto lines = lines_of(output::matrix_text(matrix, {width, false}));
        for (const std::string& line : lines) {
            CAPTURE(line);
            CHECK(output::length_of(line) <= width);
            CHECK_FALSE(line.ends_with(" "));
        }
        CHECK(lines.size() < before);
        before = lines.size();
    }
}

TEST_CASE("matrix: a grid of many grades is broken into parts, and no cell is lost") {
    pricing::Matrix matrix = demonstration();
    pricing::Grid& grid = matrix.grids.front();
    grid.brightness.clear();
    grid.cells.clear();
    for (int i = 1; i <= 30; ++i) {
        grid.brightness.push_back(i);
    }
    for (std::size_t i = 0; i < grid.tones.size() * grid.brightness.size(); ++i) {
        grid.cells.push_back(Spread::between(100000.0 + static_cast<double>(i), 900000));
    }
    grid.cells[3].reset();
    const std::string text = output::matrix_text(matrix, {80, false});
    for (const std::string& line : lines_of(text)) {
        CHECK(output::length_of(line) <= 80);
    }
    for (std::size_t i = 0; i < grid.cells.size(); ++i) {
        const std::string low = output::figure(100000.0 + static_cast<double>(i));
        CHECK((text.find(low + "-900,000") != std::string::npos) == (i != 3));
    }
}

TEST_CASE("matrix: colour shades the cells and changes nothing else") {
    const pricing::Matrix matrix = demonstration();
    const std::string plain = output::matrix_text(matrix, {80, false});
    const std::string coloured = output::matrix_text(matrix, {80, true});
    CHECK(plain.find('\x1b') == std::string::npos);
    CHECK(without_colours(coloured) == plain);
    // N9 at 1, the cheapest of the first grid, has the darkest shade.
    CHECK(coloured.find("\x1b[38;2;255;255;255m\x1b[48;2;043;052;084m 10-17\x1b[0m") !=
          std::string::npos);
}

TEST_CASE("matrix: shades are ever lighter and their text has a contrast of 4.5") {
    const auto luminance = [](const output::Shade& shade) {
        const auto linear = [](double c) {
            c /= 255;
            return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
        };
        return 0.2126 * linear(shade.red) + 0.7152 * linear(shade.green) +
               0.0722 * linear(shade.blue);
    };
    double before = -1;
    for (int i = 0; i <= 1000; ++i) {
        const output::Shade shade = output::shade_of(i / 1000.0);
        const double light = luminance(shade);
        CHECK(light >= before - 0.002); // whole numbers of channels
        before = light;
        const double contrast = shade.black_text ? (light + 0.05) / 0.05 : 1.05 / (light + 0.05);
        CHECK(contrast >= 4.5);
    }
}

TEST_CASE("matrix: CSV has a row for every number, with its pointer") {
    const pricing::Matrix matrix = demonstration();
    const auto lines = lines_of(output::matrix_csv(matrix));
    std::size_t items = 0;
    for (const pricing::Factor& factor : matrix.factors) {
        items += output::items_of(factor).size() + (factor.if_absent ? 1 : 0);
    }
    CHECK(lines.size() == 1 + 6 * 45 + 4 + items);
    const auto has = [&lines](const std::string& line) {
        return std::find(lines.begin(), lines.end(), line + "\r") != lines.end();
    };
    CHECK(has("price,\"solid, opaque (black, dark and light opal)\",N3,4,,900,1200,1600,"
              "/grids/0/per_carat/2/3"));
    CHECK(has("level,,retail,,,1.8,2.078461,2.4,/market_levels/retail"));
    CHECK(has("factor,faults,sand,face,minor,0.75,0.8215838,0.9,"
              "/factors/7/values/sand/face/minor"));
    CHECK(has("factor,\"size, solid\",0.5,,,0.78,0.8284926,0.88,/factors/4/points/2"));
    CHECK(has("factor,hydrophane,,,,0.75,0.8660254,1,/factors/10/if_absent"));
}

TEST_CASE("matrix: texts of a matrix act on no terminal and no spreadsheet") {
    pricing::Matrix matrix = demonstration();
    matrix.name = "\x1b[31mred";
    matrix.grids[0].name = "=1+1\x1b";
    matrix.market_levels[1].name = "@x\n";
    const std::string text = output::matrix_text(matrix, {80, false});
    CHECK(text.find('\x1b') == std::string::npos);
    const std::string csv = output::matrix_csv(matrix);
    CHECK(csv.find('\x1b') == std::string::npos);
    CHECK(csv.find("price,'=1+1") != std::string::npos);
    CHECK(csv.find("level,,'@x") != std::string::npos);
}
