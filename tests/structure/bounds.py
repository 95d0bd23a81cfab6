#!/usr/bin/python3
"""The bounds of core/bounds.hpp are those of the manual page and of the schemas.

Usage: bounds.py ROOT
"""

import json
import pathlib
import re
import sys

CONSTANT = re.compile(r"^inline constexpr (?:std::size_t|double) (\w+) =\s*([^;]+);", re.M)
ROW = re.compile(r"^\.It .* Ta ([\d,]+)", re.M)


def value(text):
    text = text.replace("'", "")
    shifted = re.fullmatch(r"std::size_t\{(\d+)\} << (\d+)U", text)
    return int(shifted.group(1)) << int(shifted.group(2)) if shifted else int(float(text))


def parts(schema):
    """Every object in a schema."""
    if isinstance(schema, dict):
        yield schema
    for each in schema.values() if isinstance(schema, dict) else schema:
        if isinstance(each, (dict, list)):
            yield from parts(each)


def main(root):
    root = pathlib.Path(root)
    header = (root / "src/core/bounds.hpp").read_text()
    constants = {name: value(text) for name, text in CONSTANT.findall(header)}
    page = (root / "man/trayworth.1").read_text()
    limits = re.search(r"^\.Sh LIMITS\n(.*?)^\.Sh ", page, re.M | re.S).group(1)
    rows = [int(number.replace(",", "")) for number in ROW.findall(limits)]
    in_page = [number for name, number in constants.items() if name not in ("faults", "treatments")]
    failures = []
    if rows != in_page or len(rows) < 10:
        failures.append(f"the manual page has {rows}, and bounds.hpp {in_page}")
    if len({constants[name] for name in ("colours", "faults", "treatments")}) != 1:
        failures.append("the manual page has one row for colours, faults and treatments")
    for name in ("record", "matrix"):
        schema = json.loads((root / f"data/{name}.schema.json").read_text())
        texts = [part for part in parts(schema) if "minLength" in part]
        if not texts or {part.get("maxLength") for part in texts} != {constants["text_length"]}:
            failures.append(f"{name}.schema.json: a text without its bound, or with another")
        lists = [part.get("maxItems") for part in parts(schema) if part.get("type") == "array"]
        for bound in {"record": ("colours", "faults", "treatments"),
                      "matrix": ("grids", "factors")}[name]:
            if constants[bound] not in lists:
                failures.append(f"{name}.schema.json: no list is bounded as {bound} are")
    print("\n".join(failures))
    print(f"{len(constants)} bounds, {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
