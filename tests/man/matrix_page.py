#!/usr/bin/python3
"""Holds man/trayworth-matrix.5 against the program: its example is run, what it states is compared.

Usage: matrix_page.py ROOT TRAYWORTH
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile

FAULTS = []

RECORD = {
    "id": "page", "type": "solid", "treatments": [], "body_tone": "N7",
    "transparency": "opaque", "brightness": {"grade": 3, "steps": 5, "brightest": 5},
    "play_of_colour": {"colours": [{"colour": "green", "share": 1}], "pattern": "broad flash"},
    "faults": [{"kind": "sand", "place": "face", "severity": "minor"}],
    "weight_ct": {"value": 1, "uncertainty": 0.005}}


def check(holds, what):
    if not holds:
        FAULTS.append(what)


def run(program, *arguments, text=None):
    done = subprocess.run([program, *arguments], input=text, stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE, text=True)
    return done.returncode, done.stdout, done.stderr


def example_of(page):
    examples = re.findall(r"^\.Bd -literal\n(.*?)^\.Ed$", page, re.DOTALL | re.MULTILINE)
    if len(examples) != 1 or "\\" in examples[0]:
        sys.exit("the page has no longer one example that stands there as it is")
    return examples[0]


def try_example(program, example):
    code, out, err = run(program, "check", "-", text=example)
    check((code, err) == (0, "") and "sound" in out, f"check: {code} {out}{err}")
    with tempfile.TemporaryDirectory() as folder:
        matrix = pathlib.Path(folder, "matrix.json")
        matrix.write_text(example)
        code, out, err = run(program, "value", "--matrix", str(matrix), "--format", "json", "-",
                             text=json.dumps(RECORD))
        check(code == 0, f"value: {code} {out}{err}")
        if code == 0:
            # 1 ct of N7 at 3: sqrt(110 x 190), green 1, broad flash sqrt(1.1 x 1.5), size 1, sand
            # on the face sqrt(0.7 x 0.9).
            likely = (110 * 190 * 1.1 * 1.5 * 0.7 * 0.9) ** 0.5
            printed = json.loads(out)["value"]["likely"]
            check(abs(printed - likely) < 0.01, f"value: {printed} and not {likely}")
        # Without what it accepts, the warning is there.
        bare = re.sub(r',\n  "accepted": \[.*?\n  \]', "", example, flags=re.DOTALL)
        code, out, err = run(program, "check", "-", text=bare)
        check("[grid-gap]" in err and "1 warning" in out, f"nothing to accept: {out}{err}")
        tables = str(pathlib.Path(folder, "tables"))
        code, out, err = run(program, "matrix", "export", tables, "--matrix", str(matrix))
        check(code == 0, f"export: {code} {err}")
        code, once, err = run(program, "matrix", "import", tables)
        check(code == 0, f"import: {code} {err}")
        check([c.strip() for c in re.findall("//.*", once)]
              == [c.strip() for c in re.findall("//.*", example)], "import: comments differ")
        matrix.write_text(once)
        run(program, "matrix", "export", tables, "--replace", "--matrix", str(matrix))
        check(run(program, "matrix", "import", tables)[1] == once, "the second trip differs")


def names_in(schema):
    if isinstance(schema, dict):
        for key, value in schema.items():
            if key in ("properties", "patternProperties"):
                yield from (name for name in value if name.isidentifier())
            yield from names_in(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from names_in(value)


def words_of(root, name):
    """The texts of an array of the sources, as they stand there."""
    source = (root / "src" / "pricing" / "matrix.hpp").read_text()
    return re.findall(r'"([^"]+)"', re.search(name + r"\{(.*?)\};", source, re.DOTALL)[1])


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    root, program = pathlib.Path(sys.argv[1]), sys.argv[2]
    page = (root / "man" / "trayworth-matrix.5").read_text()
    flat = " ".join(page.split())
    try_example(program, example_of(page))

    names = set(names_in(json.loads((root / "data" / "matrix.schema.json").read_text())))
    check(len(names) > 25, f"the schema names {len(names)} fields only")
    for name in sorted(names):
        check(re.search(rf"^\.(It )?Cm .*\b{name}\b", page, re.MULTILINE),
              f"the page has no field {name}")
    for pointer in words_of(root, "word_field_pointers") + words_of(root, "number_field_pointers"):
        check(f".Ql {pointer}\n" in page or f".Ql {pointer} " in page,
              f"the page has no field {pointer} of a record")

    lint = "".join(f.read_text() for f in (root / "src" / "pricing").glob("lint*.cpp"))
    codes = set(re.findall(r"Code::([a-z_]+)", lint))
    check(len(codes) > 15, f"lint has {len(codes)} codes only")
    for code in sorted(code.replace("_", "-") for code in codes):
        check(re.search(rf"^\.It Cm .*\b{code}\b", page, re.MULTILINE),
              f"the page has no code {code}")
    limits = dict(re.findall(r"inline constexpr double (\w+) = ([\d.]+);",
                             (root / "src" / "pricing" / "lint.hpp").read_text()))
    stated = {
        "least_jump": "off by more than {} times, and by more than",
        "deviations": "by more than {} robust standard deviations",
        "certain_jump": "off by more than {} times from the line",
        "spread_against_grid": "by more than {} times and 5 robust",
        "widest_price": "above {} in a price",
        "widest_factor": "above {} in a factor",
        "coarsest_rounding": "half a step above {} % of the",
    }
    check(limits.keys() == stated.keys(), f"limits: {limits.keys() ^ stated.keys()}")
    for name, value in limits.items():
        number = float(value) * (100 if name == "coarsest_rounding" else 1)
        sentence = stated.get(name, "?").format(f"{number:g}")
        check(sentence in flat, f"the page does not say: {sentence}")

    for fault in FAULTS:
        print(fault)
    print(f"{len(names)} fields, {len(codes)} codes, {len(FAULTS)} faults")
    sys.exit(1 if FAULTS else 0)


main()
