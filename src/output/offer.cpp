// The vocabulary is schema.org's: Product, Offer, QuantitativeValue, PropertyValue,
// PriceSpecification. Unit codes: UN/CEFACT Recommendation 20 (from memory).
#include "output/offer.hpp"

#include "core/grades.hpp"
#include "core/money.hpp"
#include "output/csv_row.hpp"
#include "output/safe_text.hpp"
#include "output/statement.hpp"
#include "weight/carats.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace trayworth::output {
namespace {

constexpr std::string_view millimetre = "MMT";
constexpr std::string_view metric_carat = "CTM";

std::string sentences(const std::vector<std::string>& parts) {
    return fmt::format("{}", fmt::join(parts, " "));
}

std::string all_words(const Description& description, const OfferTerms& terms) {
    std::vector<std::string> parts;
    if (terms.matrix.invented) {
        parts.emplace_back("NOT FOR SALE: the price is INVENTED for a demonstration.");
    }
    parts.insert(parts.end(), description.disclosures.begin(), description.disclosures.end());
    if (!description.text.empty()) {
        parts.push_back(description.text);
    }
    parts.insert(parts.end(), description.care.begin(), description.care.end());
    return sentences(parts);
}

std::string millimetres(const std::optional<Reading>& side) {
    if (!side) {
        return "";
    }
    return side->low == side->high ? fmt::format("{}", side->low)
                                   : fmt::format("{} to {}", side->low, side->high);
}

// What a row is made from.
struct Listing {
    const Stone& stone;
    const Offer& offer;
    const OfferTerms& terms;
};

struct Column {
    std::string_view name;
    void (*add)(CsvRow& row, const Listing& of);
};

constexpr std::array<Column, 21> columns_of_offers{{
    {"id", [](CsvRow& row, const Listing& of) { row.text(of.stone.id.value_or("")); }},
    {"title", [](CsvRow& row, const Listing& of) { row.text(of.offer.description.title); }},
    {"name", [](CsvRow& row, const Listing& of) { row.text(of.offer.description.name); }},
    {"description",
     [](CsvRow& row, const Listing& of) { row.text(all_words(of.offer.description, of.terms)); }},
    {"disclosures",
     [](CsvRow& row, const Listing& of) { row.text(sentences(of.offer.description.disclosures)); }},
    {"care",
     [](CsvRow& row, const Listing& of) { row.text(sentences(of.offer.description.care)); }},
    {"type",
     [](CsvRow& row, const Listing& of) { row.own(of.stone.type ? name_of(*of.stone.type) : ""); }},
    {"weight_ct",
     [](CsvRow& row, const Listing& of) {
         row.own(weight::carats_text(Carat{of.offer.weight.ct.value}));
     }},
    {"basis", [](CsvRow& row, const Listing& of) { row.own(name_of(of.offer.weight.basis)); }},
    {"length_mm",
     [](CsvRow& row, const Listing& of) { row.own(millimetres(of.stone.dimensions_mm.length)); }},
    {"width_mm",
     [](CsvRow& row, const Listing& of) { row.own(millimetres(of.stone.dimensions_mm.width)); }},
    {"depth_mm",
     [](CsvRow& row, const Listing& of) { row.own(millimetres(of.stone.dimensions_mm.depth)); }},
    {"price", [](CsvRow& row, const Listing& of) { row.own(plain(of.offer.price.total)); }},
    {"currency", [](CsvRow& row, const Listing& of) { row.own(of.terms.matrix.currency.code); }},
    {"tax_rate",
     [](CsvRow& row, const Listing& of) { row.own(of.terms.tax ? per_cent(*of.terms.tax) : ""); }},
    {"tax",
     [](CsvRow& row, const Listing& of) {
         row.own(of.offer.price.tax ? plain(*of.offer.price.tax) : "");
     }},
    {"market_level", [](CsvRow& row, const Listing& of) { row.text(of.terms.level); }},
    {"matrix", [](CsvRow& row, const Listing& of) { row.text(of.terms.matrix.name); }},
    {"as_of", [](CsvRow& row, const Listing& of) { row.text(of.terms.matrix.as_of); }},
    {"invented",
     [](CsvRow& row, const Listing& of) { row.own(of.terms.matrix.invented ? "yes" : "no"); }},
    {"purpose", [](CsvRow& row, const Listing&) { row.own("a price to ask; not an appraisal"); }},
}};

// Text for a page: no "<" that could end the script element it stands in.
void page_text(JsonWriter& json, std::string_view text) {
    std::string quoted;
    JsonWriter(quoted, Layout::compact).text(safe(text));
    std::string escaped;
    for (const char c : quoted) {
        if (c == '<') {
            escaped += "\\u003c";
        } else {
            escaped += c;
        }
    }
    json.raw(escaped);
}

void page_member(JsonWriter& json, const Key& name, std::string_view text) {
    json.key(name);
    page_text(json, text);
}

void write_size(JsonWriter& json, const Reading& reading) {
    if (reading.low == reading.high) {
        json.member("value", reading.low);
    } else {
        json.member("minValue", reading.low);
        json.member("maxValue", reading.high);
    }
    json.member("unitCode", millimetre);
}

void write_side(JsonWriter& json, const Key& name, const std::optional<Reading>& side) {
    if (!side) {
        return;
    }
    json.key(name);
    json.begin_object();
    json.member("@type", "QuantitativeValue");
    write_size(json, *side);
    json.end_object();
}

void write_weight(JsonWriter& json, const weight::Weight& weight) {
    json.key("weight");
    json.begin_object();
    json.member("@type", "QuantitativeValue");
    json.key("value");
    json.raw(weight::carats_text(Carat{weight.ct.value}));
    json.member("unitCode", metric_carat);
    json.member("description", name_of(weight.basis));
    json.end_object();
}

void write_properties(JsonWriter& json, const Stone& stone, const Description& description) {
    const std::optional<Reading>& length = stone.dimensions_mm.length;
    if (!length && description.disclosures.empty()) {
        return;
    }
    json.key("additionalProperty");
    json.begin_array();
    if (length) {
        json.begin_object();
        json.member("@type", "PropertyValue");
        json.member("name", "length");
        write_size(json, *length);
        json.end_object();
    }
    for (const std::string& sentence : description.disclosures) {
        json.begin_object();
        json.member("@type", "PropertyValue");
        json.member("name", "disclosure");
        page_member(json, "value", sentence);
        json.end_object();
    }
    json.end_array();
}

void write_price(JsonWriter& json, const pricing::AskingPrice& price, const OfferTerms& terms) {
    json.member("price", plain(price.total));
    json.member("priceCurrency", terms.matrix.currency.code);
}

void write_terms(JsonWriter& json, const pricing::AskingPrice& price, const OfferTerms& terms) {
    json.key("offers");
    json.begin_object();
    json.member("@type", "Offer");
    write_price(json, price, terms);
    if (price.tax) {
        json.key("priceSpecification");
        json.begin_object();
        json.member("@type", "PriceSpecification");
        write_price(json, price, terms);
        json.key("valueAddedTaxIncluded");
        json.boolean(true);
        json.end_object();
    }
    page_member(json, "description",
                fmt::format("A price to ask{}, not an appraisal: at the {} level, by \"{}\" as of "
                            "{}.",
                            terms.matrix.invented ? ", INVENTED for a demonstration" : "",
                            terms.level, terms.matrix.name, terms.matrix.as_of));
    json.end_object();
}

// How the price was reached, a line for each step that changes it.
std::string price_lines(const pricing::AskingPrice& price, const OfferTerms& terms) {
    const std::string level = fmt::format("likely value at the {} level", safe(terms.level));
    std::vector<std::pair<std::string, Money>> steps{{level, price.likely}};
    if (terms.tax) {
        steps.emplace_back(fmt::format("with {} % tax", per_cent(*terms.tax)), price.with_tax);
    }
    steps.emplace_back(terms.matrix.list_prices.empty() ? "rounded" : "nearest list price",
                       price.total);
    std::size_t label = 0;
    std::size_t amount = 0;
    for (const auto& [what, money] : steps) {
        label = std::max(label, width_of(what));
        amount = std::max(amount, grouped(money).size());
    }
    std::string text;
    for (const auto& [what, money] : steps) {
        text += fmt::format("    {}  {}\n", left(what, label), right(grouped(money), amount));
    }
    return text;
}

} // namespace

std::vector<std::string_view> offer_columns() {
    std::vector<std::string_view> names;
    names.reserve(columns_of_offers.size());
    for (const Column& column : columns_of_offers) {
        names.push_back(column.name);
    }
    return names;
}

std::string offer_header(const std::vector<std::string_view>& columns) {
    CsvRow row;
    for (const std::string_view column : columns) {
        row.own(column);
    }
    return row.line();
}

std::string offer_row(const Stone& stone,
                      const Offer& offer,
                      const OfferTerms& terms,
                      const std::vector<std::string_view>& columns) {
    CsvRow row;
    for (const std::string_view column : columns) {
        const auto* found =
            std::find_if(columns_of_offers.begin(), columns_of_offers.end(),
                         [column](const Column& one) { return one.name == column; });
        found->add(row, {stone, offer, terms});
    }
    return row.line();
}

void write_offer(JsonWriter& json,
                 const Stone& stone,
                 const Offer& offer,
                 const OfferTerms& terms) {
    json.begin_object();
    json.member("@context", "https://schema.org");
    json.member("@type", "Product");
    if (stone.id) {
        page_member(json, "sku", *stone.id);
    }
    page_member(json, "name", offer.description.title);
    page_member(json, "category", offer.description.name);
    page_member(json, "description", all_words(offer.description, terms));
    write_weight(json, offer.weight);
    write_side(json, "width", stone.dimensions_mm.width);
    write_side(json, "depth", stone.dimensions_mm.depth);
    write_properties(json, stone, offer.description);
    write_terms(json, offer.price, terms);
    json.end_object();
}

std::string
offer_text(const Stone& stone, const Offer& offer, const OfferTerms& terms, TextStyle style) {
    const Description& words = offer.description;
    std::string text;
    if (stone.id) {
        text += safe(*stone.id) + "\n";
    }
    text += paint(style, strong, wrapped(words.title, style.width, 0)) + "\n\n";
    std::string price = terms.matrix.currency.code + " " + grouped(offer.price.total, true);
    if (offer.price.tax) {
        price += fmt::format(", of which {} is tax at {} %", grouped(*offer.price.tax),
                             per_cent(*terms.tax));
    }
    text += "  " + paint(style, strong, price) + "\n" + price_lines(offer.price, terms);
    for (const std::string& paragraph :
         {sentences(words.disclosures), words.text, sentences(words.care)}) {
        if (!paragraph.empty()) {
            text += "\n" + wrapped(paragraph, style.width, 0) + "\n";
        }
    }
    return text + "\n" + basis_line(terms.matrix, terms.level, style) +
           caution_lines(cautions(stone, offer.weight, terms.matrix), style);
}

} // namespace trayworth::output
