#!/usr/bin/python3
"""Matrices by name, and matrices that extend others.

Usage: named_matrices.py ROOT BINARY

RFC 7396 (JSON merge patch) is written anew here, merged over the keyed form that the manual
describes, and the values by the result are compared with those by the program's own merging.
"""

import json
import os
import pathlib
import random
import re
import subprocess
import sys
import tempfile

import by_hand
from merge_patch import merge

SEED = 20261125


class Home:
    """A user with matrices of their own, and a machine that supplies some to all."""

    def __init__(self, folder, binary):
        self.binary = binary
        self.folder = pathlib.Path(folder)
        self.own = self.folder / "data/trayworth/matrices"
        self.shared = self.folder / "shared/trayworth/matrices"
        for place in (self.own, self.shared):
            place.mkdir(parents=True)

    def run(self, *arguments, text=None, **environment):
        environment = {**os.environ, "XDG_DATA_HOME": str(self.folder / "data"),
                       "XDG_DATA_DIRS": f"relative:{self.folder}/shared:/nowhere", **environment}
        return subprocess.run([self.binary, *arguments], input=text, cwd=self.folder, timeout=300,
                              env=environment, capture_output=True, text=True, encoding="utf-8")

    def write(self, place, document):
        path = place if place.suffix else place.with_suffix(".json")
        path.write_text(document if isinstance(document, str) else json.dumps(document))
        return path


def number(x):
    return str(int(x)) if x == int(x) else repr(float(x))


def keyed(matrix):
    """The form over which a patch is merged."""
    result = json.loads(json.dumps(matrix))
    for grid in result["grids"]:
        grid["per_carat"] = {tone: {number(step): cell for step, cell in
                                    zip(grid["brightness"], row)}
                             for tone, row in zip(grid["body_tone"], grid["per_carat"])}
    for factor in result["factors"]:
        if "points" in factor:
            factor["points"] = {number(p["at"]): p["factor"] for p in factor["points"]}
    for group in ("grids", "factors"):
        result[group] = {item.pop("name"): item for item in result[group]}
    return result


def with_lists(whole):
    result = {**whole}
    for group in ("grids", "factors"):
        result[group] = [{"name": name, **item} for name, item in whole[group].items()]
    for grid in result["grids"]:
        grid["per_carat"] = [[grid["per_carat"].get(tone, {}).get(number(step))
                              for step in grid["brightness"]] for tone in grid["body_tone"]]
    for factor in result["factors"]:
        if "points" in factor:
            factor["points"] = [{"at": float(at), "factor": f} for at, f in
                                sorted(factor["points"].items(), key=lambda p: float(p[0]))]
    return result


def random_patch(base, chance, extends):
    form = keyed(base)
    patch = {"format": base["format"], "extends": extends, "name": f"by {extends}",
             "grids": {}, "factors": {}}
    for name, grid in form["grids"].items():
        if chance.random() < 0.7:
            tone = chance.choice(grid["body_tone"])
            step = number(chance.choice(grid["brightness"]))
            patch["grids"][name] = {"per_carat": {tone: {
                step: None if chance.random() < 0.2 else [100, 150 + chance.random()]}}}
    for name, factor in form["factors"].items():
        if chance.random() < 0.5:
            continue
        if "points" in factor:
            at = chance.choice(list(factor["points"]))
            patch["factors"][name] = {"points": {at: [0.8, 0.9], "0.3217": 0.77}
                                      if "coverage" in name else {at: 0.9}}
        elif factor["kind"] != "fault":
            word = chance.choice(list(factor["values"]))
            patch["factors"][name] = {"values": {word: [0.7, 0.95], "a new word": 1.25}}
    return patch


def compared(home, reference, whole, records, failures):
    text = "".join(json.dumps(record) + "\n" for record in records)
    path = home.write(home.folder / "by-hand.json", whole)
    answers = []
    for matrix in (reference, str(path)):
        done = home.run("value", "--quiet", "--format", "ndjson", "--matrix", matrix, "-",
                        text=text)
        if done.returncode == 2:
            failures.append(f"{matrix}: {done.stderr}")
            return 0, set()
        answers.append([json.loads(line) for line in done.stdout.splitlines()])
    files, valued = set(), 0
    for one, two in zip(*answers):
        if ("error" in one) != ("error" in two) or one.get("value") != two.get("value"):
            failures.append(f"{reference} {one['id']}: {one.get('value')}, by hand "
                            f"{two.get('value')}")
        if "error" in one:
            continue
        valued += 1
        for reason in one["reasons"]:
            files |= {reason["matrix_file"]} if "matrix_file" in reason else set()
            for cell in reason.get("cells", []):
                files.add(cell["file"])
            reason.pop("matrix_file", None)
            for cell in reason.get("cells", []):
                cell.pop("file")
        if one["reasons"] != two["reasons"]:
            failures.append(f"{reference} {one['id']}: the reasons differ")
    return valued, files


def check_merging(home, base, failures):
    chance = random.Random(SEED)
    records = list(by_hand.random_records(base, SEED, 40))
    valued = 0
    for trial in range(6):
        first = random_patch(base, chance, "demonstration")
        home.write(home.own / "first", first)
        whole = with_lists(merge(keyed(base), {k: v for k, v in first.items() if k != "extends"}))
        found, files = compared(home, "first", whole, records, failures)
        valued += found
        if files != {"the built-in matrix", str(home.own / "first.json")}:
            failures.append(f"the numbers are from {files}")
        second = random_patch(whole, chance, "../first.json" if trial % 2 else "first")
        (home.own / "deeper").mkdir(exist_ok=True)
        path = home.write(home.own / "deeper/second.json", second)
        whole = with_lists(merge(keyed(whole), {k: v for k, v in second.items()
                                                if k != "extends"}))
        found, files = compared(home, str(path), whole, records, failures)
        valued += found
        if files != {"the built-in matrix", str(home.own / "first.json"), str(path)} and \
                files != {"the built-in matrix", str(home.own / "first.json"),
                          str(home.own / "deeper/../first.json"), str(path)} and len(files) != 3:
            failures.append(f"the numbers are from {files}")
        # The whole that is shown is a matrix of its own, and says the same.
        shown = home.run("matrix", "show", "--format", "json", "--matrix", str(path)).stdout
        home.write(home.own / "shown", shown)
        check = home.run("check", str(home.own / "shown.json"))
        if check.returncode != 0 or json.loads(by_hand.without_comments(shown)) != \
                json.loads(json.dumps(whole)):
            failures.append("the whole that is shown is another")
    return valued


def check_origin(home, failures):
    home.write(home.own / "mine", {
        "format": "trayworth/price-matrix/1", "extends": "demonstration", "name": "Mine",
        "grids": {"solid crystal": {"per_carat": {"N3": {"2": [200, 300]}}}},
        "factors": {"pattern": {"values": {"rolling flash": [1.5, 2]}},
                    "size, solid": {"points": {"2": 1.5}}}})
    stone = (pathlib.Path(home.root) / "examples/first-stone.json").read_text()
    answer = json.loads(home.run("value", "--format", "json", "--matrix", "mine", "-",
                                 text=stone).stdout)
    mine = str(home.own / "mine.json")
    from_mine = {cell["pointer"] for reason in answer["reasons"]
                 for cell in reason.get("cells", []) if cell["file"] == mine}
    from_mine |= {reason["matrix_pointer"] for reason in answer["reasons"]
                  if reason.get("matrix_file") == mine and "cells" not in reason}
    from_mine = {re.sub("/points/.*", "/points", pointer) for pointer in from_mine}
    wanted = {"/grids/1/per_carat/2/1", "/factors/4/points",
              "/factors/1/values/rolling flash"}
    if from_mine != wanted:
        failures.append(f"from mine.json: {sorted(from_mine)}")
    text = home.run("value", "--matrix", "mine", "-", text=stone).stdout
    if "rolling flash in" not in text or "the built-in matrix" not in text:
        failures.append("the text does not say which file a number is from")


FAULTS = [
    # (the patch as it is written, line and column of the fault, code, in the message)
    ('{"format": "trayworth/price-matrix/1",\n "extends": "nowhere"}', (2, 13),
     "extends-unknown", "no matrix named"),
    ('{"format": "trayworth/price-matrix/1",\n "extends": "./nowhere.json"}', (2, 13),
     "extends-unknown", "nowhere.json"),
    ('{"format": "trayworth/price-matrix/1",\n "extends": 7}', (2, 13), "value-type", "name"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "factors": {"pattern": '
     '{"values":\n  {"moss": [2, 1]}}}}', (3, 12), "range-reversed", "backwards"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "grids": {"boulder": '
     '{"per_carat": {"N2": {"3":\n "dear"}}}}}', (3, 2), "value-type", "number above 0"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "grids": {"boulder": '
     '{"per_carat": {\n  "N10": {"3": 1}}}}}', (3, 3), "value-unknown", "body tone"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "grids": {"boulder": '
     '{"per_carat": {"N1": {\n  "3.5": 1}}}}}', (3, 3), "value-unknown", "brightness"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "factors": {"coverage of '
     'the face": {"points": {\n  "half": 1}}}}', (3, 3), "value-unknown", "point"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "factors": {"new":\n '
     '{"kind": "category", "field": "/cut/polish"}}}', (3, 2), "field-missing", "values"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "curency": "AUD"}',
     (2, 2), "field-unknown", "curency"),
    ('{"format": "trayworth/price-matrix/1", "extends": "demonstration",\n "name": }', (2, 10),
     "json-syntax", "no value"),
]


def check_faults(home, failures):
    for text, (line, column), code, words in FAULTS:
        path = home.write(home.folder / "faulty.json", text)
        for command in (["check", "--format", "json", str(path)],):
            done = home.run(*command)
            error = json.loads(done.stdout)["error"]
            if (error["file"], error["line"], error["column"], error["code"]) != \
                    (str(path), line, column, code) or words not in error["message"]:
                failures.append(f"{text}: {error}")
        done = home.run("value", "--matrix", str(path), "-", text="{}")
        if done.returncode != 2 or f"{path}:{line}:{column}: error:" not in done.stderr:
            failures.append(f"value by {text}: {done.stderr}")
    # A fault of the matrix that is extended is placed there.
    home.write(home.own / "base", '{"format": "trayworth/price-matrix/1",\n "name": 7}')
    home.write(home.own / "top", {"format": "trayworth/price-matrix/1", "extends": "base"})
    error = json.loads(home.run("check", "--format", "json",
                                str(home.own / "top.json")).stdout)["error"]
    if error["file"] != str(home.own / "base.json"):
        failures.append(f"a fault of the base: {error}")
    for chain in (["a"], ["a", "b"], ["a", "b", "c"]):
        for name, next_one in zip(chain, chain[1:] + chain[:1]):
            home.write(home.own / name, {"format": "trayworth/price-matrix/1",
                                         "extends": next_one})
        done = home.run("value", "--matrix", "a", "-", text="{}")
        if "[extends-cycle]" not in done.stderr or f"{chain[-1]}.json:1:" not in done.stderr:
            failures.append(f"a cycle of {len(chain)}: {done.stderr}")
    for depth in range(40):
        home.write(home.own / f"deep{depth}", {"format": "trayworth/price-matrix/1",
                                               "extends": f"deep{depth + 1}"})
    done = home.run("value", "--matrix", "deep0", "-", text="{}")
    if "[extends-cycle]" not in done.stderr or "More than 16" not in done.stderr:
        failures.append(f"a chain too deep: {done.stderr}")
    for matrix in ("deep0", "a"):
        if home.run("matrix", "show", "--format", "json", "--matrix", matrix).returncode != 2:
            failures.append("a matrix that cannot be merged is shown")


def check_names(home, base, failures):
    def name_by(reference, **environment):
        done = home.run("value", "--format", "json", "--matrix", reference, "-",
                        text=(pathlib.Path(home.root) / "examples/first-stone.json").read_text(),
                        **environment)
        return json.loads(done.stdout)["matrix"]["name"] if done.returncode == 0 else done.stderr

    for place, name, title in ((home.own, "house", "own house"), (home.shared, "house", "hidden"),
                               (home.shared, "common", "shared"), (home.own, "demonstration", "x"),
                               (home.folder, "house", "in the folder")):
        home.write(place / name, {**base, "name": title})
    for reference, wanted in (("house", "own house"), ("common", "shared"),
                              ("demonstration", base["name"]), ("house.json", "in the folder"),
                              ("./house.json", "in the folder")):
        if name_by(reference) != wanted:
            failures.append(f"{reference} is {name_by(reference)}")
    if "Did you mean \"house\"?" not in name_by("huose"):
        failures.append(f"a name misspelt: {name_by('huose')}")
    if name_by("house", XDG_DATA_HOME="relative") != "hidden":
        failures.append("a relative XDG_DATA_HOME is used")
    home_data = home.folder / ".local/share/trayworth/matrices"
    home_data.mkdir(parents=True)
    home.write(home_data / "house", {**base, "name": "default home"})
    if name_by("house", XDG_DATA_HOME="", HOME=str(home.folder)) != "default home":
        failures.append("the default of XDG_DATA_HOME is not used")
    listed = json.loads(home.run("matrix", "list", "--format", "json").stdout)
    houses = [(m["file"], m["hidden"]) for m in listed if m["name"] == "house"]
    if listed[0] != {"name": "demonstration", "file": None, "hidden": False} or \
            houses != [(str(home.own / "house.json"), False),
                       (str(home.shared / "house.json"), True)] or \
            not [m for m in listed if m["name"] == "demonstration"][1]["hidden"]:
        failures.append(f"list: {listed}")
    text = home.run("matrix", "list").stdout
    if "house" not in text or "hidden" not in text or str(home.own) not in text:
        failures.append(f"list: {text}")


def main(root, binary):
    root = pathlib.Path(root).resolve()
    failures = []
    base = json.loads(by_hand.without_comments(
        (root / "data/demonstration-matrix.json").read_text()))
    with tempfile.TemporaryDirectory() as folder:
        home = Home(pathlib.Path(folder).resolve(), str(pathlib.Path(binary).resolve()))
        home.root = root
        check_names(home, base, failures)
        valued = check_merging(home, base, failures)
        check_origin(home, failures)
        check_faults(home, failures)
    if valued < 200:
        failures.append(f"only {valued} values by merged matrices")
    print("\n".join(failures[:40]))
    print(f"{valued} values by merged matrices (seed {SEED}), {len(FAULTS)} faults placed: "
          f"{len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
