#!/usr/bin/python3
"""Holds what fit reports as JSON to data/fit.schema.json, and to itself.

Usage: fit.py ROOT BINARY

 - Reports and assessments of the example ledger and of small ones are valid; with a key left out or
   one too many, or a value of a wrong type, they are not. Nothing in the schema goes unused.
 - The numbers that a report has are those of the matrix that is printed beside it, and what it says
   is unchanged is unchanged.

Needs the Debian package python3-jsonschema.
"""

import json
import math
import pathlib
import subprocess
import sys
import tempfile

import jsonschema

import validate
from compare import paths, spoiled

LEDGER = "examples/sales.csv"
OWN = ["--matrix", "examples/own-matrix.json"]
# What a report may have or not.
OPTIONAL = {"before", "after", "by_time", "fit", "widening", "price_log_half_width", "trend", "n"}


def sale(tone, price, **more):
    return {"id": "invented", "type": "solid", "treatments": [], "transparency": "translucent",
            "body_tone": tone, "faults": [], "weight_ct": 1.0,
            "brightness": {"grade": 2, "steps": 5, "brightest": 5},
            "play_of_colour": {"colours": [{"colour": "green", "share": 1}], "pattern": "flash"},
            "sale": {"currency": "AUD", "date": "2026-11-05", "market_level": "trade", **price}}


SMALL = [sale("N2", {"price": 300}), sale("N3", {"unsold_at": 150}), sale("N4", {"price": 200})]
UNSOLD = [sale("N2", {"unsold_at": 150}), sale("N2", {"unsold_at": 180})]


class Fit:
    def __init__(self, root, binary, folder):
        self.root, self.binary, self.folder = root, binary, pathlib.Path(folder)

    def run(self, *words):
        done = subprocess.run([self.binary, "fit", "--quiet", "--format", "json", *words],
                              cwd=self.root, capture_output=True, text=True, encoding="utf-8",
                              timeout=300)
        if done.returncode == 2:
            raise SystemExit(done.stderr)
        return done.stdout

    def ledger(self, records):
        file = self.folder / "ledger.ndjson"
        file.write_text("".join(json.dumps(record) + "\n" for record in records))
        return str(file)

    def assessed(self, *words):
        return json.loads(self.run("--assess", *words))

    def fitted(self, *words):
        """The report, and the matrix that was printed."""
        report = self.folder / "report.json"
        matrix = self.run("--report", str(report), *words)
        return (json.loads(report.read_text()),
                validate.parse(validate.without_comments(matrix)))


def ends(number):
    return number if isinstance(number, list) else [number, number]


def middles(node):
    """A matrix that states single numbers alone: of each range its middle in logarithms."""
    if isinstance(node, dict):
        return {key: middles(value) for key, value in node.items()}
    if isinstance(node, list):
        if len(node) == 2 and all(type(end) in (int, float) for end in node):
            return round(math.sqrt(node[0] * node[1]), 4)
        return [middles(value) for value in node]
    return node


def check_numbers(report, before, after):
    fit = report["fit"]
    for change in fit["changed"]:
        for name, matrix in (("before", before), ("after", after)):
            low, high = ends(number_at(matrix, change["pointer"]))
            spread = change[name]
            if not (math.isclose(low, spread["low"], rel_tol=1e-6) and
                    math.isclose(high, spread["high"], rel_tol=1e-6) and
                    math.isclose(math.sqrt(low * high), spread["likely"], rel_tol=1e-6)):
                yield f"{change['pointer']}: {name} {spread}, and the matrix has {low}, {high}"
        moved = math.log(change["after"]["likely"] / change["before"]["likely"])
        if not math.isclose(moved, change["log_change"], abs_tol=1e-6):
            yield f"{change['pointer']}: log_change {change['log_change']}, not {moved}"
        if (change["n"] == 0) != (change["log_standard_error"] is None):
            yield f"{change['pointer']}: {change['n']} sales and an error of " \
                  f"{change['log_standard_error']}"
    same = fit["without_sales"] + fit["held"]
    for pointer in same:
        if number_at(before, pointer) != number_at(after, pointer):
            yield f"{pointer} is said to be as it was"
    if len(fit["changed"]) < 3 or len(same) < 30:
        yield f"only {len(fit['changed'])} changed and {len(same)} unchanged"


def number_at(document, pointer):
    for token in pointer.split("/")[1:]:
        key = token.replace("~1", "/").replace("~0", "~")
        document = document[int(key) if isinstance(document, list) else key]
    return document


def check_counts(name, report, sold, unsold):
    if report.get("n", 0) != sold or report["unsold"] != unsold:
        yield f"{name}: {report.get('n')} sold and {report['unsold']} unsold"
    for breakdown in report["breakdowns"]:
        if sum(group["n"] for group in breakdown["groups"]) != sold:
            yield f"{name}: by {breakdown['by']} the groups do not add up to {sold}"
    if "before" in report:
        if report["before"]["n"] != sold or report["after"]["n"] != sold:
            yield f"{name}: not every sale is in a fold"


def main(root, binary):
    root, binary = pathlib.Path(root).resolve(), str(pathlib.Path(binary).resolve())
    schema = json.loads((root / "data/fit.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    demonstration = validate.parse(validate.without_comments(
        (root / "data/demonstration-matrix.json").read_text()))
    own = validate.parse(validate.without_comments(
        (root / "examples/own-matrix.json").read_text()))
    failures, tried, used = [], 0, set()
    with tempfile.TemporaryDirectory() as folder:
        fit = Fit(root, binary, folder)
        reports = {}
        reports["the example"], matrix = fit.fitted(LEDGER)
        failures += check_numbers(reports["the example"], demonstration, matrix)
        reports["with a trend"], matrix = fit.fitted("--trend", "--max-change", "0.1", LEDGER)
        failures += check_numbers(reports["with a trend"], demonstration, matrix)
        reports["assessed"] = fit.assessed(LEDGER)
        reports["a few"], _ = fit.fitted(*OWN, fit.ledger(SMALL))
        reports["none sold"], matrix = fit.fitted(*OWN, fit.ledger(UNSOLD))
        failures += check_numbers(reports["none sold"], own, matrix)
        reports["one"], _ = fit.fitted(*OWN, fit.ledger(SMALL[:1]))
        bare = fit.folder / "bare.json"
        bare.write_text(json.dumps(middles(own)))
        reports["single numbers"], matrix = fit.fitted("--matrix", str(bare), fit.ledger(SMALL))
        failures += check_numbers(reports["single numbers"], middles(own), matrix)
    for name, report in reports.items():
        failures += [f"{name}: {error.json_path}: {error.message[:120]}"
                     for error in validator.iter_errors(report)]
        used |= {path[-1] for path in paths(report)}
        for what, wrong in spoiled(report, OPTIONAL):
            tried += 1
            if validator.is_valid(wrong):
                failures.append(f"{name}: passes {what}")
    ledger = (root / LEDGER).read_text().splitlines()
    header = ledger[0].split(",")
    if not all(line.endswith(",invented") for line in ledger[1:]):
        failures.append("the example does not say in every row that it is invented")
    sold = sum(bool(line.split(",")[header.index("sale/price") - len(header)]) for line in ledger[1:])
    for name in ("the example", "with a trend", "assessed"):
        failures += check_counts(name, reports[name], sold, len(ledger) - 1 - sold)
    failures += check_counts("a few", reports["a few"], 2, 1)
    failures += check_counts("none sold", reports["none sold"], 0, 2)
    for path, properties in validate.property_lists(schema):
        for key, described in properties.items():
            if key not in used:
                failures.append(f"nothing printed has {validate.pointer(path + (key,))}")
            if not described.get("description"):
                failures.append(f"{validate.pointer(path + (key,))} is not described")
    print("\n".join(failures[:40]))
    print(f"{len(reports)} reports, {tried} spoiled documents: {len(failures)} failures")
    return 1 if failures or tried < 200 else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
