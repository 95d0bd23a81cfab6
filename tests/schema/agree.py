#!/usr/bin/python3
"""Holds the schemas of what is read and the program to each other.

Usage: agree.py ROOT BINARY

Records and matrices with one thing changed: the schema's verdict is that of "trayworth check", save
for what JSON Schema cannot say, which is listed here and nowhere else.

Needs the Debian package python3-jsonschema.
"""

import collections
import copy
import json
import pathlib
import re
import subprocess
import sys
import tempfile

import jsonschema

import validate

# ---- what a schema cannot say: code and pointer of the refusal, and why

RECORD_BEYOND_SCHEMA = [
    ("range-reversed", ".*", "the order of two numbers or tones"),
    ("brightness-scale", "/brightness/brightest", "brightest is 1 or the number of steps"),
    ("value-range", "/brightness/grade", "a grade lies on its scale of steps"),
    ("value-unknown", "/(cost|sale)/currency", "the list of currencies"),
    ("value-unknown", "/density", "varieties are known where their density is needed"),
    ("value-unknown", "/cut/outline", "outlines are known where an area is needed"),
    ("field-missing", "/(cut/outline|dimensions_mm/(length|width|depth))",
     "what an estimate needs when there is no weight"),
    ("not-estimable", "/weight_ct", "types whose weight cannot be estimated"),
    ("value-range", "/dimensions_mm/(wall|dome|back|depth)", "parts that do not fit the depth"),
    ("value-range", "/cut/area_mm2", "an area larger than length times width"),
]
MATRIX_BEYOND_SCHEMA = [
    ("range-reversed", ".*", "the order of numbers, tones and points"),
    ("brightness-scale", "/brightness/brightest", "brightest is 1 or the number of steps"),
    ("value-unknown", "/currency", "the list of currencies"),
    ("value-range", "/as_of", "days of a month"),
    ("value-unknown", "/market_level", "the matrix's own level is among its levels"),
    ("value-range", "/market_levels/[^/]*", "the matrix's own level is 1"),
    ("value-range", r"/grids/\d+", "one grid for a class of stone"),
    ("value-range", r"/grids/\d+/name", "no two grids share a name"),
    ("value-range", r"/grids/\d+/brightness/\d+", "columns lie on the scale of steps"),
    ("value-range", r"/grids/\d+/per_carat(/\d+)?", "as many rows and cells as the axes have"),
    ("value-range", r"/factors/\d+/name", "no two factors share a name"),
    ("value-range", r"/list_prices/\d+(/ending)?", "a step has a price, its ending is below it"),
]

WRONG = [None, True, False, 0, -1, 7.5, 2, 1e10, "text", "", [], {}, [1, 2], [2, 1], ["a", "b"],
         ["N1", "N2"], [0, 1], [1], {"no": 1}, {"value": 2}, {"value": [1, 2], "uncertainty": 1},
         {"uncertainty": 1}, "boulder", "matrix", "XYZ", "x" * 10001, ["oil"] * 101]


def changes(sample, wrong):
    """The sample with one thing changed, and what was changed."""
    paths = list(validate.properties_of(sample))
    paths += [path + (i,) for path in paths for i, _ in
              enumerate(listed(validate.at(sample, path)))]
    for path in paths:
        where = validate.pointer(path)
        yield f"without {where}", validate.without(sample, path)
        for value in wrong:
            yield f"{where} = {json.dumps(value)}", validate.changed(sample, path, value)
    for path in [()] + paths:
        part = validate.at(sample, path)
        if isinstance(part, dict):
            for key in ("surprise", "x-surprise"):
                yield f"{validate.pointer(path)}/{key}", \
                    validate.changed(sample, path + (key,), 1)


def listed(value):
    return value if isinstance(value, list) else []


def explained(error, table, used):
    for row in table:
        if error["code"] == row[0] and re.fullmatch(row[1], error["pointer"]):
            used[row] += 1
            return True
    return False


def compare(name, what, by_schema, answer, table, used):
    """The complaint, if the two verdicts differ beyond the table."""
    errors = answer.get("errors", [])
    if by_schema and errors and not all(explained(e, table, used) for e in errors):
        return f"{name}, {what}: the schema accepts, the program says {errors[0]['message']}"
    if not by_schema and not errors:
        return f"{name}, {what}: the schema refuses, the program accepts"
    return None


# ---- the program

class Program:
    def __init__(self, binary):
        self.binary = binary

    def __call__(self, *arguments, text=None):
        return subprocess.run([self.binary, *arguments], input=text, capture_output=True,
                              text=True, encoding="utf-8", timeout=300)

    def check_records(self, records):
        text = "".join(json.dumps(record) + "\n" for record in records)
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "records.ndjson"
            path.write_text(text)
            return [json.loads(line) for line in
                    self("check", "--format", "ndjson", str(path)).stdout.splitlines()]

    def check_document(self, document):
        done = self("check", "--format", "json", text=json.dumps(document))
        return json.loads(done.stdout) if done.stdout else \
            {"errors": [{"code": "defaults", "pointer": "/tray", "message": done.stderr}]}


# ---- checks

def samples(project):
    yield "every field", validate.STONE
    yield "common opal", validate.COMMON
    yield "unsold", validate.UNSOLD
    yield "estimated", validate.without(validate.STONE, ["weight_ct"])
    yield "estimated by type", validate.without(
        validate.without(validate.STONE, ["weight_ct"]), ["density"])
    yield "weight alone", validate.without(validate.STONE, ["dimensions_mm"])
    for name, stone in project.stones():
        if name in ("first-stone.json", "ring-stone-set.json"):
            yield name, stone


def check_records(project, program):
    schema = project.schemas["record"]
    alone = jsonschema.Draft202012Validator({**schema["$defs"]["record"], "$defs": schema["$defs"]})
    used, tried = collections.Counter(), 0
    for name, sample in samples(project):
        mutants = [("as it is", sample)] + list(changes(sample, WRONG))
        answers = program.check_records([record for _, record in mutants])
        if len(answers) != len(mutants):
            yield f"{name}: {len(answers)} answers to {len(mutants)} records"
            continue
        tried += len(mutants)
        for (what, record), answer in zip(mutants, answers):
            complaint = compare(name, what, alone.is_valid(record), answer,
                                RECORD_BEYOND_SCHEMA, used)
            if complaint:
                yield complaint
        if "error" in answers[0]:
            yield f"{name}: refused as it is: {answers[0]['error']['message']}"
    yield from unused(RECORD_BEYOND_SCHEMA, used)
    print(f"        {tried} changed records")


def unused(table, used):
    for row in table:
        if not used[row]:
            yield f"nothing needs the exception for {row[2]} ({row[0]} at {row[1]})"


def check_trays(project, program):
    """Defaults are judged by the same schema; what they lack the stone may state."""
    validator = project.validator("record")
    stone = {**validate.STONE, "id": "in the tray"}
    for what, defaults in [("as it is", validate.STONE)] + list(changes(validate.STONE, WRONG)):
        document = {"tray": defaults, "stones": [stone]}
        answer = program.check_document(document)
        errors = answer.get("errors", []) if isinstance(answer, dict) else []
        by_schema = validator.is_valid(document)
        reversed_range = errors and "[range-reversed]" in errors[0]["message"]
        unlisted_currency = errors and "not a currency" in errors[0]["message"]
        if by_schema and errors and not reversed_range and not unlisted_currency:
            yield f"tray, {what}: the schema accepts, the program says {errors[0]['message']}"
        if not by_schema and not errors:
            yield f"tray, {what}: the schema refuses, the program accepts"
    for document in ({"stones": [stone]}, {"tray": {}, "stones": {}}, {"tray": [], "stones": []},
                     {"tray": {}, "stones": [], "own": 1}, {"tray": {}}):
        answer = program.check_document(document)
        refused = any("errors" in each for each in
                      (answer if isinstance(answer, list) else [answer]))
        if not refused or validator.is_valid(document):
            yield f"{json.dumps(document)[:80]} is accepted"


def check_matrices(project, program):
    validator = project.validator("matrix")
    used, tried = collections.Counter(), 0
    wrong = [w for w in WRONG if not (isinstance(w, dict) and w and "no" not in w)]
    for what, matrix in [("as it is", validate.MATRIX)] + list(changes(validate.MATRIX, wrong)):
        if "trayworth/price-matrix/" not in json.dumps(matrix):
            continue  # by that text a file is known as a matrix
        tried += 1
        complaint = compare("matrix", what, validator.is_valid(matrix),
                            program.check_document(matrix), MATRIX_BEYOND_SCHEMA, used)
        if complaint:
            yield complaint
    for what, change in (("as_of", "2026-02-30"), ("currency", "XYZ"), ("market_level", "shop"),
                         ("grids", validate.MATRIX["grids"] * 2)):
        matrix = {**validate.MATRIX, what: change}
        complaint = compare("matrix", what, validator.is_valid(matrix),
                            program.check_document(matrix), MATRIX_BEYOND_SCHEMA, used)
        if complaint:
            yield complaint
    twice = copy.deepcopy(validate.MATRIX)
    twice["factors"][1]["name"] = twice["factors"][0]["name"]
    complaint = compare("matrix", "factors named alike", validator.is_valid(twice),
                        program.check_document(twice), MATRIX_BEYOND_SCHEMA, used)
    if complaint:
        yield complaint
    yield from unused(MATRIX_BEYOND_SCHEMA, used)
    print(f"        {tried} changed matrices")


CHECKS = [
    ("records: schema and reader agree", check_records),
    ("trays: schema and reader agree", check_trays),
    ("matrices: schema and reader agree", check_matrices),
]


def run(checks, root, binary):
    project, program = validate.Project(pathlib.Path(root)), Program(binary)
    failed = False
    for name, check in checks:
        complaints = list(check(project, program))
        print(f"{'not ok' if complaints else 'ok':8}{name}")
        for complaint in complaints[:60]:
            print(f"        {complaint}")
        failed = failed or bool(complaints)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(run(CHECKS, *sys.argv[1:]))
