#!/usr/bin/python3
"""Holds what the program prints as JSON to data/valuation.schema.json.

Usage: answers.py ROOT BINARY

 - Every command over every shape of input, in both forms, refusals too: each document is valid by
   the definition of its kind, and by no other.
 - The expected output of the command-line cases likewise.
 - One of each kind with a key left out, of a wrong type or too many: its definition refuses it.

Needs the Debian package python3-jsonschema.
"""

import collections
import copy
import json
import pathlib
import re
import sys
import tempfile

import agree
import validate

OWN_MATRIX = "examples/own-matrix.json"
CONVERTED = ["--in", "JPY", "--rate", "97.25", "--rate-date", "2026-11-01"]
HOUSE_MATRIX = "examples/house-matrix.json"
COMMANDS = [
    ("valuation", ["value"]),
    ("valuation", ["value", "--level", "retail"]),
    ("valuation", ["value", "--matrix", OWN_MATRIX]),
    ("valuation", ["value", "--matrix", HOUSE_MATRIX]),
    ("valuation", ["value", "--simulate", "1000"]),
    ("valuation", ["value", *CONVERTED]),
    ("brief", ["value", "--brief"]),
    ("brief", ["value", "--brief", *CONVERTED]),
    ("sensitivity", ["value", "--sensitivity"]),
    ("sensitivity", ["value", "--sensitivity", "--matrix", OWN_MATRIX, *CONVERTED]),
    ("total", ["value", "--total"]),
    ("total", ["value", "--total", *CONVERTED]),
    ("weighed", ["weigh"]),
    ("sound", ["check"]),
]
MEASURES = [
    ("weighed", "--outline oval --size 12.1x9.9x4.4 --density 2.10"),
    ("weighed", "--outline round --size 8x3.2 --density precious --dome low --back flat"),
    ("weighed", "--outline freeform --size 12-12.2x9.9x4.4 --density 2.06-2.14 --area 93.1 "
                "--wall 1 --uncertainty 0.02"),
    ("refused", "--size 12.1x9.9x4.4 --density 2.10"),
    ("refused", "--outline oval --size 12.1x9.9x4.4 --density presious"),
]
# Keys of an answer that may be left out.
OPTIONAL = {"simulation", "note", "cells", "cost", "likely_over_cost", "converted", "file", "matrix_file", "estimate",
            "calibrated_size"}


class Judge:
    """Validates documents by their kind, and keeps the largest that was printed of each."""

    def __init__(self, project):
        self.kinds = {kind: project.answer_validator(kind) for kind in validate.ANSWERS}
        self.whole = project.validator("valuation")
        self.seen = collections.Counter()
        self.largest = {}

    def judge(self, name, kind, document):
        refused = isinstance(document, dict) and "error" in document
        kind = "refused" if refused else kind
        self.seen[kind] += 1
        self.largest[kind] = max(self.largest.get(kind, {}), document,
                                 key=lambda d: len(json.dumps(d)))
        yield from validate.complaints_of(self.kinds[kind], f"{name}: {kind}", document)
        for other, validator in self.kinds.items():
            if other != kind and validator.is_valid(document):
                yield f"{name}: {kind} passes as {other}"

    def judge_output(self, name, kind, text, form, count):
        """All that was printed: an array, or an object a line, or one object of any length."""
        documents = documents_of(text)
        if not documents:
            yield f"{name}: nothing was printed"
            return
        if form == "ndjson" and len(documents) != len(text.splitlines()):
            yield f"{name}: not an object a line"
        for document in documents:
            yield from validate.complaints_of(self.whole, f"{name}: the whole", document)
        answers = [answer for document in documents for answer in agree.listed(document)
                   or ([document] if isinstance(document, dict) else [])]
        if len(answers) != count:
            yield f"{name}: {len(answers)} answers to {count} records"
        for answer in answers:
            yield from self.judge(name, kind, answer)


def documents_of(text):
    try:
        return [validate.parse(text)]
    except json.JSONDecodeError:
        return [validate.parse(line) for line in text.splitlines()]


def inputs(project):
    """Name, text, and number of records, of inputs of every shape."""
    examples = project.root / "examples"
    for name, document in project.records.items():
        yield name, (examples / name).read_text(), len(document.get("stones", [None]))
    stock = (examples / "stock.ndjson").read_text()
    yield "stock.ndjson", stock, len(stock.splitlines())
    estimated = validate.without(validate.STONE, ["weight_ct"])
    unpriced = {**validate.STONE, "type": "boulder", "mounted": "yes", "surprise": 1}
    records = [validate.STONE, estimated, validate.COMMON, unpriced, {}, 7]
    for record in records:
        yield "one.json", json.dumps(record, indent=1), 1
    yield "array.json", json.dumps(records), len(records)
    yield "empty.json", "[]", 0
    tray = {"tray": validate.SCALE, "stones": records}
    yield "tray-of-many.json", json.dumps(tray), len(records)
    yield "lines.ndjson", "".join(json.dumps(record) + "\n" for record in records), len(records)
    yield "broken.ndjson", '{"id": "A"\n' + json.dumps(validate.STONE) + "\nnot JSON\n", 3
    yield "broken.json", '{"id": "A", "type": }', 1


def printed(project, program):
    """Name, kind, text, form and expected count of everything that is printed."""
    with tempfile.TemporaryDirectory() as folder:
        faults = pathlib.Path(folder) / "faults"
        for name, text, count in inputs(project):
            path = pathlib.Path(folder) / name
            path.write_text(text)
            for kind, (command, *more) in COMMANDS:
                more = [str(project.root / word) if word in (OWN_MATRIX, HOUSE_MATRIX) else word
                        for word in more]
                for form in ("json", "ndjson"):
                    done = program(command, *more, "--format", form, "--errors", str(faults),
                                   str(path))
                    yield " ".join([command, *more, name, form]), kind, done.stdout, form, \
                        1 if kind == "total" else count, faults.read_text()


def check_records(project, program):
    judge = Judge(project)
    diagnostic = project.answer_validator("diagnostic")
    lines = 0
    for name, kind, text, form, count, faults in printed(project, program):
        if count or form == "json":
            yield from judge.judge_output(name, kind, text, form, count)
        elif text:
            yield f"{name}: {text[:60]} for no record"
        for line in faults.splitlines():
            lines += 1
            yield from validate.complaints_of(diagnostic, f"{name} --errors", json.loads(line))
    print(f"        {dict(judge.seen)}, {lines} lines of --errors")
    for kind in validate.ANSWERS:
        if kind != "sound_matrix" and judge.seen[kind] < 20:
            yield f"only {judge.seen[kind]} of {kind}"
    if lines < 20:
        yield f"only {lines} lines of --errors"
    yield from check_notices(judge)


def check_notices(judge):
    """The largest of each kind that was printed, with one thing wrong, is refused."""
    for kind, sample in judge.largest.items():
        validator, tried = judge.kinds[kind], 0
        for what, document in spoiled(sample):
            tried += 1
            if validator.is_valid(document):
                yield f"{kind} passes {what}"
        if tried < 10:
            yield f"{kind}: only {tried} spoiled"


def spoiled(sample):
    for path in validate.properties_of(sample):
        if "edit" in path[:-1]:
            continue  # part of a record: tests/cli/sensitivity.py has the program read it
        where = validate.pointer(path)
        if path[-1] not in OPTIONAL:
            yield f"without {where}", validate.without(sample, path)
        value = validate.at(sample, path)
        for wrong in validate.wrong_types(value, path):
            yield f"{where} = {json.dumps(wrong)}", validate.changed(sample, path, wrong)
        if isinstance(value, dict):
            yield f"{where}/surprise", validate.changed(sample, path + ("surprise",), 1)
    yield "/surprise", {**sample, "surprise": 1}


def check_measures(project, program):
    judge = Judge(project)
    for kind, options in MEASURES:
        for form in ("json", "ndjson"):
            done = program("weigh", "--format", form, *options.split())
            yield from judge.judge_output(f"weigh {options} {form}", kind, done.stdout, form, 1)
    expected = collections.Counter(kind for kind, _ in MEASURES for _ in ("json", "ndjson"))
    if judge.seen != expected:
        yield f"weighed {dict(judge.seen)}, not {dict(expected)}"


def matrices(project):
    for document in project.matrices.values():
        yield "sound_matrix", document
    yield "sound_matrix", validate.MATRIX
    reversed_range = copy.deepcopy(validate.MATRIX)
    reversed_range["grids"][0]["per_carat"][0][0].reverse()
    yield "refused", reversed_range
    yield "refused", validate.without(validate.without(validate.MATRIX, ["name"]), ["grids"])


def check_matrices(project, program):
    judge = Judge(project)
    for kind, matrix in matrices(project):
        for form in ("json", "ndjson"):
            done = program("check", "--format", form, text=json.dumps(matrix))
            before = judge.seen[kind]
            yield from judge.judge_output(f"check {kind} {form}", "sound_matrix", done.stdout, form,
                                          1)
            if judge.seen[kind] != before + 1:
                yield f"check of a matrix: not {kind}: {done.stdout[:200]}"
    yield from check_notices(judge)


def kind_of(arguments, document):
    if arguments[0] == "value":
        return "brief" if "--brief" in arguments else \
            "total" if "--total" in arguments else \
            "sensitivity" if "--sensitivity" in arguments else "valuation"
    if arguments[0] == "weigh":
        return "weighed"
    return "sound" if "id" in document else "sound_matrix"


def check_cases(project, program):
    """The expected output of the command-line cases."""
    del program
    judge = Judge(project)
    for path in sorted((project.root / "tests/cli/cases").glob("*.case")):
        text = path.read_text(errors="replace")
        arguments = re.search(r"^--- args\n((?:value|weigh|check)\b.*)", text, re.M)
        found = re.search(r"^--- stdout\n(.*?)(?=^--- |\Z)", text, re.M | re.S)
        if not arguments or not found or found[1][:1] not in ("[", "{"):
            continue
        for document in documents_of(found[1]):
            yield from validate.complaints_of(judge.whole, path.stem, document)
            for answer in document if isinstance(document, list) else [document]:
                kind = kind_of(arguments[1].split(), answer)
                yield from judge.judge(path.stem, kind, answer)
    print(f"        {dict(judge.seen)}")
    for kind in ("valuation", "weighed", "sound", "sound_matrix", "refused"):
        if not judge.seen[kind]:
            yield f"no case prints {kind}"


CHECKS = [
    ("records, by every command", check_records),
    ("weights of measures given as options", check_measures),
    ("matrices", check_matrices),
    ("command-line cases", check_cases),
]


if __name__ == "__main__":
    sys.exit(agree.run(CHECKS, *sys.argv[1:]))
