#!/usr/bin/python3
"""trayworth-record(5) has every field of the record's schema and no other, with its words, bounds,
units and whether it is needed; and the words that the built-in matrix prices.

Usage: record_page.py ROOT
"""

import json
import pathlib
import re
import sys

UNITS = ("g/cm3", "square millimetres", "carats", "mm")
# Where a bound is one of every number of a record, the page says so once.
COMMON = {0, 1_000_000_000}


class Page:
    def __init__(self, text):
        self.sections = {}
        for title, body in re.findall(r"^\.S[sh] ([^\n]*)\n(.*?)(?=^\.S[sh] |\Z)", text, re.M | re.S):
            self.sections[title] = {name: entry for name, entry in re.findall(
                r"^\.It Va (\S+)\n(.*?)(?=^\.It |^\.El)", body, re.M | re.S)}


class Schema:
    def __init__(self, text):
        self.root = json.loads(text)
        self.defs = self.root["$defs"]

    def shapes(self, node):
        """The node and what it refers to or is one of."""
        yield node
        if "$ref" in node:
            yield from self.shapes(self.defs[node["$ref"].rsplit("/", 1)[1]])
        for choice in node.get("oneOf", []):
            yield from self.shapes(choice)
        if "items" in node and node["items"].get("type") != "object":
            yield from self.shapes(node["items"])

    def words(self, node):
        for shape in self.shapes(node):
            for value in shape.get("enum", []) + ([shape["const"]] if "const" in shape else []):
                yield from value if isinstance(value, list) else [value]

    def bounds(self, node):
        for shape in self.shapes(node):
            yield from (shape[key] for key in ("minimum", "maximum", "maxItems")
                        if key in shape and shape[key] not in COMMON and shape.get("minItems") != 2)

    def is_reading(self, node):
        return any(shape.get("$ref", "").endswith(("/reading", "/reading_or_part"))
                   for shape in self.shapes(node))

    def may_straddle(self, node):
        return any(shape.get("minItems") == 2 or any(isinstance(e, list) for e in shape.get("enum", []))
                   for shape in self.shapes(node))

    def objects(self):
        """By the heading of the page: the properties, and those that are needed."""
        record, fields = self.defs["record"], self.defs["fields"]["properties"]
        play = fields["play_of_colour"]["properties"]
        complete = {name: set(record["properties"][name]["required"])
                    for name in ("play_of_colour", "weight_ct", "cost")}
        reading = self.defs["reading_or_part"]["oneOf"][1]["properties"]
        yield "A stone", fields, set(record["required"]) | set(record["then"]["required"])
        yield "Brightness", fields["brightness"]["properties"], set()
        yield "Play-of-colour", play, complete["play_of_colour"]
        for heading, items in (("A colour", play["colours"]["items"]),
                               ("A fault", fields["faults"]["items"])):
            yield heading, items["properties"], set(items["required"])
        yield "Cut", fields["cut"]["properties"], set()
        yield "Dimensions", fields["dimensions_mm"]["properties"], set()
        yield "A reading", reading, complete["weight_ct"]
        yield "Cost", fields["cost"]["properties"], complete["cost"]
        yield "A tray", self.defs["tray_file"]["properties"], set(self.defs["tray_file"]["required"])


def faults_of_entry(where, entry, node, needed, schema):
    for word in schema.words(node):
        if not re.search(rf"^\.Ql {re.escape(word)}(?: |$)", entry, re.M):
            yield f"{where}: the word \"{word}\" is missing"
    for bound in schema.bounds(node):
        if not re.search(rf"\b{bound}\b", entry):
            yield f"{where}: the bound {bound} is missing"
    for unit in UNITS:
        if re.search(rf"\b{unit}\b", node.get("description", "")) and unit not in entry:
            yield f"{where}: the unit {unit} is missing"
    if schema.is_reading(node) != entry.startswith("Reading"):
        yield f"{where}: is it a reading?"
    if not schema.is_reading(node) and \
            schema.may_straddle(node) != bool(re.search(r"\brange\b|\[low, high\]", entry)):
        yield f"{where}: may it be a range?"
    if needed != bool(re.search(r"^Needed", entry, re.M)):
        yield f"{where}: is it needed?"


def faults_of_fields(page, schema):
    known = set()
    for heading, properties, needed in schema.objects():
        known.add(heading)
        entries = page.sections.get(heading, {})
        for name in sorted(properties.keys() - entries.keys()):
            yield f"{heading}: \"{name}\" of the schema has no entry"
        for name in sorted(entries.keys() - properties.keys()):
            yield f"{heading}: \"{name}\" is no field of the schema"
        for name in sorted(entries.keys() & properties.keys()):
            yield from faults_of_entry(f"{heading}: \"{name}\"", entries[name], properties[name],
                                       name in needed, schema)


def words_of_matrix(text):
    matrix = json.loads(re.sub(r"//[^\n]*", "", text))
    words = {}
    for factor in matrix["factors"]:
        name = factor["field"].rsplit("/", 1)[1]
        if factor["kind"] == "fault":
            kinds = factor["values"]
            words["kind"] = set(kinds)
            words["place"] = {place for places in kinds.values() for place in places}
            words["severity"] = {severity for places in kinds.values()
                                 for severities in places.values() for severity in severities}
        elif "values" in factor:
            words.setdefault("colour" if name == "colours" else name, set()).update(factor["values"])
    return words


def faults_of_words(page, matrix):
    entries = page.sections["WORDS THAT A MATRIX PRICES"]
    for name, entry in entries.items():
        listed = set(re.split(r",\s+", re.sub(r"\s*\([^)]*\)", "", entry).replace("\n", " ").strip()))
        if listed != matrix.get(name):
            yield f"words of {name}: {sorted(listed ^ matrix.get(name, set()))} on one side only"
    # An outline that has no area here is priced all the same; hydrophane is true or false.
    for name in sorted(matrix.keys() - entries.keys() - {"outline", "hydrophane"}):
        yield f"the words of {name} are missing"


def faults_of(page_text, schema, matrix):
    page = Page(page_text)
    return list(faults_of_fields(page, schema)) + list(faults_of_words(page, matrix))


def main(root):
    root = pathlib.Path(root)
    text = (root / "man/trayworth-record.5").read_text()
    schema = Schema((root / "data/record.schema.json").read_text())
    matrix = words_of_matrix((root / "data/demonstration-matrix.json").read_text())
    faults = faults_of(text, schema, matrix)
    # The check, checked: a page that lacks an entry, or any word of one, is found out.
    spoiled = [(re.search(r"^\.It Va steps\n.*?(?=^\.It )", text, re.M | re.S).group(), ""),
               (".It Va polish\nPolish", ".It Va polsh\nPolish"), (".Ql N5 ,\n", ""),
               ("Whole number from 2 to 100", "Whole number from 2 to 10"),
               ("The shares add up to 1.\nNeeded.", "The shares add up to 1."),
               ("Reading, in square millimetres", "Reading, in square inches"),
               ("floral, moss", "moss")]
    for before, after in spoiled:
        if before not in text or not faults_of(text.replace(before, after, 1), schema, matrix):
            faults.append(f"nobody notices {before!r} spoiled")
    print("\n".join(faults))
    print(f"{len(spoiled)} spoiled pages, {len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
