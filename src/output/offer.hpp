// A stone offered for sale: in words, with what has to be disclosed, and with one price.
//
// JSON is JSON-LD in the vocabulary of schema.org: a Product with its Offer. Weights are in metric
// carats (CTM) and sizes in millimetres (MMT), by the codes of UN/CEFACT Recommendation 20; the
// price is a decimal with a point, its currency by ISO 4217. "<" is escaped, so that the text can
// stand in a script element of a page. schema.org has a width and a depth of a Product but no
// length, which is a PropertyValue, as is each disclosure.
//
// CSV has these columns, or those of them that are asked for, in that order:
//
//   id            as recorded; empty if the record has none
//   title         the name, weight, outline and size
//   name          the stone's name by its grades
//   description   all that is said in words: disclosures, text and care
//   disclosures   what has to be told; empty when there is nothing
//   care          how to look after it
//   type          of the stone, as recorded
//   weight_ct     by the trade's rule: two decimals, the third dropped unless it is 9
//   basis         weighed, estimated
//   length_mm, width_mm, depth_mm
//                 as recorded: "12.1", or "12 to 12.2"; empty if not stated
//   price         the one price that is asked, exact to the currency's minor unit
//   currency      ISO 4217
//   tax_rate      in per cent; empty when no tax was added
//   tax           how much of it the price holds; likewise
//   market_level
//   matrix, as_of name and date of the price matrix
//   invented      yes when its prices are invented, else no
//   purpose
//
// The columns keep their names and their order; new ones come last. What is said in csv.hpp of
// formulas in a spreadsheet holds here.
#pragma once

#include "core/stone.hpp"
#include "output/description.hpp"
#include "output/json_writer.hpp"
#include "output/text_parts.hpp"
#include "pricing/asking_price.hpp"
#include "pricing/matrix.hpp"
#include "weight/weigh.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayworth::output {

struct Offer {
    Description description;
    weight::Weight weight;
    pricing::AskingPrice price;
};

// What all offers of a feed have in common.
struct OfferTerms {
    const pricing::Matrix& matrix;
    std::string_view level; // the market level
    std::optional<pricing::TaxRate> tax;
};

// All there are.
std::vector<std::string_view> offer_columns();

std::string offer_header(const std::vector<std::string_view>& columns);
// `columns` are among offer_columns().
std::string offer_row(const Stone& stone,
                      const Offer& offer,
                      const OfferTerms& terms,
                      const std::vector<std::string_view>& columns);

void write_offer(JsonWriter& json, const Stone& stone, const Offer& offer, const OfferTerms& terms);

// For the seller: what the price was made from, too.
std::string
offer_text(const Stone& stone, const Offer& offer, const OfferTerms& terms, TextStyle style);

} // namespace trayworth::output
