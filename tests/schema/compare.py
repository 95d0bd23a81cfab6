#!/usr/bin/python3
"""Holds what compare prints as JSON to data/compare.schema.json.

Usage: compare.py ROOT BINARY

What the command prints of the examples, refusals too, is valid; with a key of it left out or one
too many, or a value of a wrong type, it is not.

Needs the Debian package python3-jsonschema.
"""

import copy
import json
import pathlib
import subprocess
import sys

import jsonschema

OPTIONAL = {"cells", "matrix_file", "file"}


def printed(root, binary, a, b, records, *more):
    done = subprocess.run([binary, "compare", a, b, "--format", "json", "--quiet", *more, records],
                          cwd=root, capture_output=True, text=True, encoding="utf-8", timeout=120)
    if done.returncode == 2:
        raise SystemExit(done.stderr)
    return json.loads(done.stdout)


def paths(value, path=()):
    """Paths of the members of every object; of an array, of its first element."""
    if isinstance(value, dict):
        for key, member in value.items():
            yield path + (key,)
            yield from paths(member, path + (key,))
    elif isinstance(value, list) and value:
        yield from paths(value[0], path + (0,))


def parent_of(document, path):
    for token in path[:-1]:
        document = document[token]
    return document


def spoiled(document, optional):
    for path in paths(document):
        where = "/".join(map(str, path))
        if path[-1] not in optional:
            found = copy.deepcopy(document)
            del parent_of(found, path)[path[-1]]
            yield f"without {where}", found
        found = copy.deepcopy(document)
        parent_of(found, path)[path[-1]] = {"surprise": 1}
        yield f"wrong {where}", found
        found = copy.deepcopy(document)
        parent_of(found, path)["surprise"] = 1
        yield f"more beside {where}", found


def main(root, binary):
    root, binary = pathlib.Path(root).resolve(), str(pathlib.Path(binary).resolve())
    schema = json.loads((root / "data/compare.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    failures, tried = [], 0
    house, own = "examples/house-matrix.json", "examples/own-matrix.json"
    for a, b, records in (("demonstration", house, "examples/tray.json"),
                          (house, "demonstration", "examples/first-stone.json"),
                          ("demonstration", own, "examples/tray.json"),
                          (own, "demonstration", "examples/stock.ndjson")):
        document = printed(root, binary, a, b, records)
        failures += [f"{a} {b} {records}: {error.json_path}: {error.message[:120]}"
                     for error in validator.iter_errors(document)]
        if failures:
            break
        for name, wrong in spoiled(document, OPTIONAL):
            tried += 1
            if validator.is_valid(wrong):
                failures.append(f"{a} {b} {records}: passes {name}")
    print("\n".join(failures[:40]))
    print(f"{tried} spoiled documents: {len(failures)} failures")
    return 1 if failures or tried < 200 else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
