// Writes a header, and a row for each text on standard input (texts end with NUL) with that text as
// the stone's id, as its name and, refused, as id and message. For csv_round_trip.py.
#include "output/csv.hpp"

#include <iostream>
#include <string>

using namespace trayworth;

int main() {
    std::cout << output::csv_header();
    pricing::Matrix matrix;
    matrix.currency = {"AUD", 2};
    valuation::Valuation valued;
    valued.likely = 1234.565;
    for (std::string text; std::getline(std::cin, text, '\0');) {
        Stone stone;
        stone.id = text;
        valued.nomenclature.name = text;
        std::cout << output::csv_valued(stone, valued, matrix, {})
                  << output::csv_refused(text,
                                         {{Code::not_priced, Severity::error, "", text, "Mend."}});
    }
}
