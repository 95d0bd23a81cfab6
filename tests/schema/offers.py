#!/usr/bin/python3
"""Holds what "trayworth offer" prints to what others have published, and to what it is made from.

Usage: offers.py ROOT BINARY

 - JSON: valid by data/offer.schema.json. Read as JSON-LD by rdflib, every type and property is one
   of schema.org's own, as rdflib lists them, and nothing of the text is lost; numbers, prices and
   types are as the vocabulary's pages for QuantitativeValue and price have it (from memory).
   CTM is the metric carat and MMT the millimetre in UN/CEFACT Recommendation 20 (from memory).
   Currencies are those of ISO 4217, as Debian's iso-codes lists them, with their decimals.
 - CSV: the same offers, for any choice and order of columns.
 - Every type of stone and a treatment say in JSON and CSV what "trayworth describe" discloses.
 - The price is reckoned again in decimals: the likely value of "trayworth value", the tax, and the
   nearest of the list prices, each written down.
 - The bytes do not depend on the number of threads, and records keep their order; those that are
   refused are in the diagnostics and nowhere else.

Needs the Debian packages python3-jsonschema, python3-rdflib and iso-codes.
"""

import csv
import io
import json
import pathlib
import subprocess
import sys
import tempfile
from decimal import ROUND_HALF_UP, Decimal

import jsonschema
import rdflib
from rdflib.namespace import RDF, SDO

import validate

TRIAL = ["offer", "--invented-prices", "--quiet"]
SCHEMA = "https://schema.org/"
CURRENCIES = "/usr/share/iso-codes/json/iso_4217.json"
CENT = Decimal("0.01")


class Program:
    def __init__(self, root, binary):
        self.root = root
        self.binary = binary

    def run(self, *words, given=""):
        done = subprocess.run([self.binary, *words], cwd=self.root, input=given.encode(),
                              capture_output=True)
        return done.returncode, done.stdout.decode(), done.stderr.decode()

    def lines(self, *words, given=""):
        return [json.loads(line) for line in self.run(*words, given=given)[1].splitlines()]

    def rows(self, *words, given=""):
        return list(csv.DictReader(io.StringIO(self.run(*words, given=given)[1], newline="")))


def merged(defaults, stone):
    """What a stone does not state is taken from the tray, member by member."""
    if not (isinstance(defaults, dict) and isinstance(stone, dict)):
        return stone
    return defaults | {k: merged(defaults.get(k), v) for k, v in stone.items()}


def stones(root):
    """Records of every type that is priced, treated, set, measured in limits and without an id."""
    tray = validate.parse(validate.without_comments((root / "examples/tray.json").read_text()))
    for stone in tray["stones"]:
        yield merged(tray["tray"], stone)
    for line in (root / "examples/stock.ndjson").read_text().splitlines():
        yield json.loads(line)
    first = json.loads((root / "examples/first-stone.json").read_text())
    yield {**first, "id": "L", "dimensions_mm": {"length": [10, 10.4], "width": [8.1, 8.2],
                                                 "depth": 3.7}}
    yield {key: value for key, value in first.items() if key not in ("id", "dimensions_mm")}
    yield {key: value for key, value in first.items() if key != "weight_ct"} | {
        "id": "E", "density": [2.06, 2.14]}


def ndjson(records):
    return "".join(json.dumps(record) + "\n" for record in records)


# ---- JSON-LD

def graph_of(offer):
    """The document as RDF, its context resolved without a network: all names are schema.org's."""
    local = {**offer, "@context": {"@vocab": SCHEMA}}
    graph = rdflib.Graph()
    graph.parse(data=json.dumps(local), format="json-ld")
    return graph


def leaves(value):
    if isinstance(value, dict):
        return sum(leaves(v) for k, v in value.items() if k != "@context")
    return sum(map(leaves, value)) if isinstance(value, list) else 1


def check_vocabulary(program, records):
    for offer in program.lines(*TRIAL, "--format", "ndjson", "--tax", "10%", given=ndjson(records)):
        if offer["@context"] not in ("https://schema.org", "https://schema.org/"):
            yield f"@context is {offer['@context']}"
        graph = graph_of(offer)
        terms = set(graph.predicates()) - {RDF.type} | set(graph.objects(None, RDF.type))
        for term in terms:
            if term not in SDO:
                yield f"{term} is not of schema.org"
        nodes = len(set(graph.subjects()))
        links = sum(1 for s, p, o in graph if isinstance(o, rdflib.BNode))
        if len(graph) != leaves(offer) + links or links != nodes - 1:
            yield f"{offer.get('sku')}: {len(graph)} statements of {leaves(offer)} texts"
    if rdflib.URIRef(SCHEMA + "caratage") in SDO:
        yield "the list of terms accepts anything"


def check_rules(program, records):
    with open(CURRENCIES, encoding="utf-8") as file:
        currencies = {entry["alpha_3"] for entry in json.load(file)["4217"]}
    schema = json.loads((program.root / "data/offer.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    status, printed, _ = program.run("schema", "offer")
    if status != 0 or json.loads(printed) != schema:
        yield "\"schema offer\" prints something else"
    offers = program.lines(*TRIAL, "--format", "ndjson", "--tax", "10%", given=ndjson(records))
    offers += program.lines(*TRIAL, "--format", "ndjson", given=ndjson(records))
    if len(offers) != 2 * len(records):
        yield f"{len(offers)} offers of {len(records)} records, twice"
    for offer in offers:
        name = offer.get("sku")
        yield from (f"{name}: {error.message}" for error in validator.iter_errors(offer))
        price = offer["offers"]["price"]
        if Decimal(price) <= 0 or price != f"{Decimal(price):.2f}":
            yield f"{name}: the price is {price}"
        if offer["offers"]["priceCurrency"] not in currencies:
            yield f"{name}: no currency of ISO 4217"
        specification = offer["offers"].get("priceSpecification", offer["offers"])
        if specification["price"] != price:
            yield f"{name}: two prices"
    spoiled = json.loads(json.dumps(offers[0]))
    for path, wrong in [(("weight", "unitCode"), "CAR"), (("width", "unitCode"), "mm"),
                        (("offers", "price"), "1,050.00"), (("offers", "price"), 10),
                        (("offers", "priceCurrency"), "A$"), (("@context",), "schema.org")]:
        if validator.is_valid(validate.changed(spoiled, path, wrong)):
            yield f"the schema accepts {path} = {wrong}"


# ---- what is disclosed

def check_disclosures(program, records):
    treated = [record for record in records if record.get("treatments")]
    kinds = {record["type"] for record in records}
    if not treated or not kinds >= {"boulder", "matrix", "doublet", "triplet"}:
        yield "too few kinds of stone to try"
    given = ndjson(records)
    described = program.lines("describe", "--format", "ndjson", "--quiet", given=given)
    offered = program.lines(*TRIAL, "--format", "ndjson", given=given)
    rows = program.rows(*TRIAL, "--format", "csv", given=given)
    for words, offer, row in zip(described, offered, rows, strict=True):
        told = [each["value"] for each in offer.get("additionalProperty", [])
                if each["name"] == "disclosure"]
        if told != words["disclosures"] or row["disclosures"] != " ".join(words["disclosures"]):
            yield f"{words['id']}: {told}, not {words['disclosures']}"
        for sentence in words["disclosures"] + words["care"] + [words["description"]]:
            if sentence not in offer["description"] or sentence not in row["description"]:
                yield f"{words['id']}: {sentence} is left out"
        if not offer["name"] == row["title"] == words["title"]:
            yield f"{words['id']}: another title"


# ---- the price, by hand

def nearest_listed(amount, steps):
    """Every list price near the amount is written down; the nearest is taken, the dearer of two."""
    listed = []
    for step, after in zip(steps, steps[1:] + [{"from": Decimal("1e7")}]):
        begin, every = Decimal(str(step["from"])), Decimal(str(step["to_nearest"]))
        price = Decimal(str(step.get("ending", 0)))
        while price < Decimal(str(after["from"])):
            if price >= begin and price > 0:
                listed.append(price)
            price += every
    return min(listed, key=lambda each: (abs(each - amount), -each))


def check_prices(program, records):
    text = (program.root / "data/demonstration-matrix.json").read_text()
    steps = validate.parse(validate.without_comments(text))["list_prices"]
    given = ndjson(records)
    tried = 0
    for level in ("parcel", "trade", "retail"):
        likely = program.rows("value", "--level", level, "--format", "csv", given=given)
        for rate in (None, "10", "8.875", "0.5", "100"):
            words = [] if rate is None else ["--tax", f"{rate}%"]
            offers = program.rows(*TRIAL, "--level", level, "--format", "csv", *words, given=given)
            for value, row in zip(likely, offers, strict=True):
                factor = 1 + Decimal(rate or 0) / 100
                amount = (Decimal(value["likely"]) * factor).quantize(CENT, ROUND_HALF_UP)
                total = nearest_listed(amount, steps)
                part = (total - total / factor).quantize(CENT, ROUND_HALF_UP)
                wanted = (total, "" if rate is None else str(part), rate or "")
                tried += 1
                if (Decimal(row["price"]), row["tax"], row["tax_rate"]) != wanted:
                    yield f"{row['id']} at {level}, {rate} %: {row['price']}, {row['tax']}"
    print(f"        {tried} prices reckoned again")


# ---- columns, order, refusals

def check_columns(program, records):
    given = ndjson(records)
    whole = program.rows(*TRIAL, "--format", "csv", given=given)
    names = list(whole[0])
    some = ["price", "invented", "id", "description"]
    if program.rows(*TRIAL, "--format", "csv", "--columns", ",".join(some), given=given) != \
            [{name: row[name] for name in some} for row in whole]:
        yield "a choice of columns says something else"
    header = (program.root / "src/output/offer.hpp").read_text()
    manual = (program.root / "man/trayworth.1").read_text()
    for name in names:
        if f"//   {name}" not in header and f", {name}" not in header:
            yield f"{name} is not documented"
        if name not in manual:
            yield f"{name} is not in the manual page"
    offers = program.lines(*TRIAL, "--format", "ndjson", given=given)
    for row, offer in zip(whole, offers, strict=True):
        if (row["price"], row["weight_ct"]) != (offer["offers"]["price"],
                                                f"{offer['weight']['value']:.2f}"):
            yield f"{row['id']}: CSV and JSON differ"


def check_order(program, records):
    many = [{**records[i % len(records)], "id": str(i)} for i in range(3000)]
    bad = {7, 500, 2999}
    lines = [line for line in ndjson(many).splitlines()]
    for at in bad:
        lines[at] = '{"id": "bad", "type": "synthetic"}'
    with tempfile.TemporaryDirectory() as folder:
        found = []
        for jobs in ("1", "2", "5"):
            file = pathlib.Path(folder) / "errors"
            status, out, err = program.run(*TRIAL, "--format", "ndjson", "--jobs", jobs, "--errors",
                                           str(file), given="\n".join(lines) + "\n")
            found.append((status, out, err, file.read_text()))
    if found[0] != found[1] or found[0] != found[2]:
        yield "the bytes depend on the number of threads"
    status, out, err, errors = found[0]
    ids = [int(json.loads(line)["sku"]) for line in out.splitlines()]
    if ids != [i for i in range(3000) if i not in bad]:
        yield "records are out of their order, or the refused are not left out"
    told = {json.loads(line)["line"] for line in errors.splitlines()}
    if status != 1 or told != {at + 1 for at in bad} or "error:" not in err:
        yield f"refused records are told otherwise: {status}, {sorted(told)}"


def main(root, binary):
    root = pathlib.Path(root).resolve()
    program = Program(root, str(pathlib.Path(binary).resolve()))
    records = list(stones(root))
    failed = 0
    for name, check in [("vocabulary of schema.org", check_vocabulary), ("rules", check_rules),
                        ("disclosures", check_disclosures), ("prices", check_prices),
                        ("columns", check_columns), ("order and refusals", check_order)]:
        complaints = list(check(program, records))
        failed += len(complaints)
        print(f"{'FAILED ' if complaints else 'ok     '} {name}")
        for complaint in complaints[:10]:
            print(f"        {complaint}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
