#include "output/text_parts.hpp"

#include "core/money.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"

#include <fmt/format.h>

namespace trayworth::output {

std::string paint(TextStyle style, const fmt::text_style& with, std::string_view text) {
    return style.colour ? fmt::format(with, "{}", text) : std::string(text);
}

std::string left(std::string_view safe_text, std::size_t width) {
    const std::size_t length = length_of(safe_text);
    return std::string(safe_text) + std::string(length < width ? width - length : 0, ' ');
}

std::string right(std::string_view safe_text, std::size_t width) {
    const std::size_t length = length_of(safe_text);
    return std::string(length < width ? width - length : 0, ' ').append(safe_text);
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

std::string basis_line(const pricing::Matrix& matrix, std::string_view level, TextStyle style) {
    const std::string line =
        fmt::format("For {}, at the {} level, by \"{}\" as of {}{}.", purpose, level, matrix.name,
                    matrix.as_of, matrix.invented ? ", with INVENTED prices" : "");
    return "  " + wrapped(line, style.width - indent, indent) + "\n";
}

std::string caution_lines(const std::vector<std::string>& sentences, TextStyle style) {
    std::string text = "\n";
    for (const std::string& sentence : sentences) {
        text += "  " + wrapped(sentence, style.width - indent, indent) + "\n";
    }
    return text;
}

} // namespace trayworth::output
