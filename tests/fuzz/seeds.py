#!/usr/bin/python3
"""Gathers what the fuzzing harnesses start from: seeds, and the words of the formats.

Usage: seeds.py ROOT TARGET

Writes TARGET/HARNESS/ for each harness and TARGET/words, a dictionary for libFuzzer. The seeds are
those of tests/fuzz/seeds, the files of examples/, and the inputs of the command-line cases, which
are not listed anywhere else for this.
"""

import json
import pathlib
import sys

# What each harness reads, as folders of tests/fuzz/seeds.
READS = {
    "record": ["records"],
    "tray": ["documents"],
    "lines": ["lines"],
    "matrix": ["matrices"],
    "tables": ["tables"],
    "answer": ["records", "documents", "lines"],
}
LARGEST = 4096  # bytes; more makes a run slow
MATRIX_MARK = b"trayworth/price-matrix/"


def kind_of(name, data):
    if name.endswith(".csv"):
        return "tables"
    if MATRIX_MARK in data:
        return "matrices"
    if name.endswith(".ndjson"):
        return "lines"
    return "documents" if b'"stones"' in data or data.lstrip().startswith(b"[") else "records"


def inputs_of_cases(root):
    """(name, bytes) of every input of the command-line cases."""
    sys.dont_write_bytecode = True
    sys.path.insert(0, str(root / "tests" / "cli"))
    import run_cases
    for path in sorted((root / "tests" / "cli" / "cases").glob("*.case")):
        for section in run_cases.parse(path)[1]:
            if section.kind == "file" or section.kind == "stdin" and not section.mark:
                yield f"{path.stem}-{section.name or 'stdin.json'}", \
                    run_cases.bytes_of(section.body)


def gathered(root):
    """{kind: {name: bytes}}"""
    found = {kind: {} for kinds in READS.values() for kind in kinds}
    for kind in found:
        for path in sorted((root / "tests" / "fuzz" / "seeds" / kind).iterdir()):
            found[kind][path.name] = path.read_bytes()
    others = [(path.name, path.read_bytes()) for path in sorted((root / "examples").iterdir())
              if path.suffix in (".json", ".ndjson", ".csv")]
    for name, data in [*others, *inputs_of_cases(root)]:
        found[kind_of(name, data)][name] = data
    return found


def words_of_schema(value, words):
    """Names of fields and words of enumerations, at any depth."""
    if isinstance(value, dict):
        words.update(value.get("properties", {}) if isinstance(value.get("properties"), dict)
                     else ())
        for key in ("enum", "const"):
            listed = value.get(key, [])
            words.update(str(word) for word in (listed if isinstance(listed, list) else [listed]))
        for member in value.values():
            words_of_schema(member, words)
    elif isinstance(value, list):
        for member in value:
            words_of_schema(member, words)


def words_of_matrix(value, words):
    """The keys of a matrix: the categories that it prices among them."""
    if isinstance(value, dict):
        words.update(value)
        for member in value.values():
            words_of_matrix(member, words)
    elif isinstance(value, list):
        for member in value:
            words_of_matrix(member, words)


def without_comments(text):
    return "\n".join(line.split("//")[0] for line in text.splitlines())


def dictionary(root):
    words = {f"N{tone}" for tone in range(1, 10)}
    for name in ("record", "matrix"):
        words_of_schema(json.loads((root / "data" / f"{name}.schema.json").read_text()), words)
    words_of_matrix(
        json.loads(without_comments((root / "data" / "demonstration-matrix.json").read_text())),
        words)
    lines = [json.dumps(word).replace('"', '\\"') for word in sorted(words)]
    lines += ["[", "]", "{", "}", ",", ":", "null", "true", "false", "1e9", "1e-9", "0.5",
              "\\\\u0000", "\\\\ud83d\\\\udc8e", "\\xef\\xbb\\xbf", "\\x0d\\x0a", "//"]
    return "".join(f'"{line}"\n' for line in lines)


def main(root, target):
    found = gathered(root)
    for harness, kinds in READS.items():
        folder = target / harness
        folder.mkdir(parents=True, exist_ok=True)
        for kind in kinds:
            for name, data in found[kind].items():
                if len(data) <= LARGEST:
                    (folder / name).write_bytes(data)
    (target / "words").write_text(dictionary(root))
    return 0


if __name__ == "__main__":
    sys.exit(main(*(pathlib.Path(argument) for argument in sys.argv[1:3])))
