#include "output/offer.hpp"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace trayworth;

namespace {

struct Sample {
    Stone stone;
    output::Offer offer;
    pricing::Matrix matrix;
    std::optional<pricing::TaxRate> tax;

    Sample() {
        stone.id = "B-014";
        stone.type = StoneType::doublet;
        stone.dimensions_mm.length = Reading{12.1, 12.1, 0.1};
        stone.dimensions_mm.width = Reading{9.9, 10, 0.1};
        offer.description.name = "opal doublet";
        offer.description.title = "Opal doublet, 3.61 ct";
        offer.description.text = "It is opaque.";
        offer.description.disclosures = {"This is a doublet."};
        offer.description.care = {"Do not soak it."};
        offer.weight.ct = exact(3.6189);
        offer.price = {{10'000, 2}, {11'000, 2}, {12'050, 2}, Money{1'095, 2}};
        matrix.name = "Mine";
        matrix.currency = {"AUD", 2};
        matrix.as_of = "2026-11-01";
        tax = pricing::TaxRate{10'000};
    }

    [[nodiscard]] output::OfferTerms terms() const { return {matrix, "retail", tax}; }
    [[nodiscard]] std::string row(std::string_view column) const {
        std::string line = output::offer_row(stone, offer, terms(), {column});
        REQUIRE(line.ends_with("\r\n"));
        return line.substr(0, line.size() - 2);
    }
    [[nodiscard]] std::string written() const {
        std::string text;
        output::JsonWriter json(text, output::Layout::compact);
        output::write_offer(json, stone, offer, terms());
        return text;
    }
    [[nodiscard]] nlohmann::json json() const { return nlohmann::json::parse(written()); }
};

} // namespace

TEST_CASE("the columns of offers are stable") {
    CHECK(output::offer_header(output::offer_columns()) ==
          "id,title,name,description,disclosures,care,type,weight_ct,basis,length_mm,width_mm,"
          "depth_mm,price,currency,tax_rate,tax,market_level,matrix,as_of,invented,purpose\r\n");
}

TEST_CASE("each column of an offer") {
    const Sample sample;
    CHECK(sample.row("id") == "B-014");
    CHECK(sample.row("title") == "\"Opal doublet, 3.61 ct\"");
    CHECK(sample.row("name") == "opal doublet");
    CHECK(sample.row("description") == "This is a doublet. It is opaque. Do not soak it.");
    CHECK(sample.row("disclosures") == "This is a doublet.");
    CHECK(sample.row("care") == "Do not soak it.");
    CHECK(sample.row("type") == "doublet");
    CHECK(sample.row("weight_ct") == "3.61");
    CHECK(sample.row("basis") == "weighed");
    CHECK(sample.row("length_mm") == "12.1");
    CHECK(sample.row("width_mm") == "9.9 to 10");
    CHECK(sample.row("depth_mm") == "");
    CHECK(sample.row("price") == "120.50");
    CHECK(sample.row("currency") == "AUD");
    CHECK(sample.row("tax_rate") == "10");
    CHECK(sample.row("tax") == "10.95");
    CHECK(sample.row("market_level") == "retail");
    CHECK(sample.row("matrix") == "Mine");
    CHECK(sample.row("as_of") == "2026-11-01");
    CHECK(sample.row("invented") == "no");
    CHECK(sample.row("purpose") == "a price to ask; not an appraisal");
}

TEST_CASE("the columns that are asked for, in that order") {
    const Sample sample;
    CHECK(output::offer_header({"price", "id"}) == "price,id\r\n");
    CHECK(output::offer_row(sample.stone, sample.offer, sample.terms(), {"price", "id"}) ==
          "120.50,B-014\r\n");
}

TEST_CASE("no text of an offer is a formula in a spreadsheet") {
    Sample sample;
    sample.stone.id = "=1+1";
    sample.matrix.name = "@mine";
    sample.offer.description.title = "-2;+3";
    CHECK(sample.row("id") == "'=1+1");
    CHECK(sample.row("matrix") == "'@mine");
    CHECK(sample.row("title") == "'-2;'+3");
}

TEST_CASE("without a tax nothing is said of one") {
    Sample sample;
    sample.tax.reset();
    sample.offer.price.tax.reset();
    CHECK(sample.row("tax_rate") == "");
    CHECK(sample.row("tax") == "");
    CHECK_FALSE(sample.json()["offers"].contains("priceSpecification"));
}

TEST_CASE("a limit is a least and a greatest value, and what is not measured is left out") {
    const nlohmann::json json = Sample().json();
    CHECK(
        json["width"] ==
        R"({"@type": "QuantitativeValue", "minValue": 9.9, "maxValue": 10, "unitCode": "MMT"})"_json);
    CHECK_FALSE(json.contains("depth"));
}

TEST_CASE("an offer's text cannot end the script element that it stands in") {
    Sample sample;
    sample.stone.id = "</script><!--";
    sample.offer.description.title = "</script>";
    sample.offer.description.disclosures = {"<b>"};
    sample.matrix.name = "<i>";
    CHECK(sample.written().find('<') == std::string::npos);
    CHECK(sample.json()["sku"] == "</script><!--");
}

TEST_CASE("invented prices are said to be so wherever they are read") {
    Sample sample;
    sample.matrix.invented = true;
    CHECK(sample.row("invented") == "yes");
    CHECK(sample.row("description").starts_with("NOT FOR SALE: the price is INVENTED"));
    const nlohmann::json json = sample.json();
    CHECK(json["description"].get<std::string>().starts_with("NOT FOR SALE"));
    CHECK(json["offers"]["description"].get<std::string>().find("INVENTED") != std::string::npos);
}
