#include "output/text_parts.hpp"

#include "core/decimal.hpp"
#include "core/money.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"
#include "weight/carats.hpp"

#include <cmath>

#include <fmt/format.h>

namespace trayworth::output {

std::string paint(TextStyle style, const fmt::text_style& with, std::string_view text) {
    return style.colour ? fmt::format(with, "{}", text) : std::string(text);
}

std::string heading(TextStyle style, std::string_view text) {
    return fmt::format("\n{}\n", paint(style, strong, text));
}

std::string left(std::string_view safe_text, std::size_t width) {
    const std::size_t length = length_of(safe_text);
    return std::string(safe_text) + std::string(length < width ? width - length : 0, ' ');
}

std::string right(std::string_view safe_text, std::size_t width) {
    const std::size_t length = length_of(safe_text);
    return std::string(length < width ? width - length : 0, ' ').append(safe_text);
}

std::string counted(std::size_t number, std::string_view what) {
    return fmt::format("{} {}{}", grouped(number), what, number == 1 ? "" : "s");
}

std::string per_cent_text(double log_change) {
    return fmt::format("{:+.1f} %", 100 * std::expm1(log_change));
}

std::string rounded(double amount, const pricing::Matrix& matrix) {
    if (amount > largest_amount) {
        return fmt::format("{:.6g}", amount);
    }
    return grouped(matrix.rounded(to_money(amount, matrix.currency)), true);
}

std::string exact_money(double amount, const pricing::Matrix& matrix) {
    return grouped(to_money(amount, matrix.currency));
}

std::string title(const Stone& stone, std::string_view name, TextStyle style) {
    return paint(style, strong,
                 fmt::format("{}  {}", stone.id ? safe(*stone.id) : "(no id)", safe(name))) +
           "\n";
}

std::string cell_text(const valuation::CellUsed& cell) {
    const std::string low = fmt::format("{:.6g}", cell.low);
    const std::string high = fmt::format("{:.6g}", cell.high);
    return fmt::format("{:.4g} of {}, {}", cell.weight,
                       low == high ? low : fmt::format("[{}, {}]", low, high), cell.at);
}

std::string in_file(const std::string& file) {
    return file.empty() ? file : " in " + file;
}

std::string weight_text(const weight::Weight& weight) {
    const std::string carats = weight::carats_text(Carat{weight.ct.value});
    return weight.basis == weight::Basis::weighed
               ? fmt::format("{} ct, weighed", carats)
               : fmt::format("{} ct, estimated, standard uncertainty {:.2g} ct", carats,
                             weight.ct.u);
}

std::string size_text(const Dimensions& mm) {
    std::string text;
    for (const std::optional<Reading>* reading : {&mm.length, &mm.width, &mm.depth}) {
        if (*reading) {
            text += fmt::format("{}{:.2f}", text.empty() ? "" : " x ", (*reading)->middle());
        }
    }
    return text.empty() ? text : text + " mm";
}

std::string cost_text(const Stone& stone,
                      const valuation::Valuation& valuation,
                      const pricing::Matrix& matrix) {
    if (!stone.cost || !stone.cost->amount || !stone.cost->currency || *stone.cost->amount <= 0 ||
        *stone.cost->currency != matrix.currency.code) {
        return {};
    }
    return fmt::format("{} {}: the likely value is {:.2f} times that", *stone.cost->currency,
                       exact_money(*stone.cost->amount, matrix),
                       valuation.likely / *stone.cost->amount);
}

std::string basis_line(const pricing::Matrix& matrix, std::string_view level, TextStyle style) {
    return "  " + wrapped(basis_sentence(matrix, level), style.width - indent, indent) + "\n";
}

std::string warning_lines(const Diagnostics& warnings, TextStyle style) {
    if (warnings.empty()) {
        return {};
    }
    std::string text = heading(style, "Warnings");
    for (const Diagnostic& warning : warnings) {
        const std::string place = warning.position ? fmt::format("{}:{}, ", warning.position->line,
                                                                 warning.position->column)
                                                   : "";
        const std::string line =
            fmt::format("{} ({}, {}{}) {}", warning.message, name_of(warning.code), place,
                        warning.pointer, warning.hint);
        text += "  " + wrapped(line, style.width - indent, 2 * indent) + "\n";
    }
    return text;
}

std::string caution_lines(const std::vector<std::string>& sentences, TextStyle style) {
    std::string text = "\n";
    for (const std::string& sentence : sentences) {
        text += "  " + wrapped(sentence, style.width - indent, indent) + "\n";
    }
    return text;
}

} // namespace trayworth::output
