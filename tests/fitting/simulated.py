"""Sales simulated out of a known matrix: the records of tests/bench/generate.py, priced by the
demonstration's own table after each of its numbers was moved, with scatter as wide as the table's
ranges say.
"""

import importlib.util
import json
import math
import pathlib
import random
import re
import subprocess

ROOT = pathlib.Path(__file__).resolve().parents[2]
DEMONSTRATION = ROOT / "data/demonstration-matrix.json"


def load(path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


generate = load(ROOT / "tests/bench/generate.py")


def without_comments(text):
    return json.loads(re.sub(r'("(?:\\.|[^"\\])*")|//[^\n]*', lambda m: m.group(1) or "", text))


def is_spread(value):
    return isinstance(value, (int, float)) or (
        isinstance(value, list) and len(value) == 2 and
        all(isinstance(end, (int, float)) for end in value))


def numbers(matrix):
    """(pointer, holder, key) of every price, factor and level that is not exactly 1."""
    def walk(value, pointer):
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for key, child in list(items):
            at = f"{pointer}/{str(key).replace('~', '~0').replace('/', '~1')}"
            if is_spread(child):
                if child != 1 or "/per_carat/" in at:
                    yield at, value, key
            elif isinstance(child, (dict, list)):
                yield from walk(child, at)

    yield from walk(matrix["market_levels"], "/market_levels")
    for i, grid in enumerate(matrix["grids"]):
        yield from walk(grid["per_carat"], f"/grids/{i}/per_carat")
    for i, factor in enumerate(matrix["factors"]):
        if "points" in factor:
            for j, point in enumerate(factor["points"]):
                if point["factor"] != 1:
                    yield f"/factors/{i}/points/{j}/factor", point, "factor"
        else:
            yield from walk(factor["values"], f"/factors/{i}/values")


def middle(spread):
    return (sum(map(math.log, spread)) / 2 if isinstance(spread, list) else math.log(spread))


def put(holder, key, logarithm):
    """The number with another middle, as wide as it was."""
    step = math.exp(logarithm - middle(holder[key]))
    value = holder[key]
    holder[key] = [end * step for end in value] if isinstance(value, list) else value * step


def sort(slots):
    """Puts the middles of (holder, key) in ascending order."""
    for (holder, key), logarithm in zip(slots, sorted(middle(h[k]) for h, k in slots)):
        put(holder, key, logarithm)


def moved(matrix, deviation, seed):
    """The matrix with every number moved by a normal deviate of that deviation, in logarithms, and
    the orders kept that the trade has."""
    rng = random.Random(seed)
    matrix = json.loads(json.dumps(matrix))
    for _, holder, key in numbers(matrix):
        put(holder, key, middle(holder[key]) + rng.gauss(0, deviation))
    for grid in matrix["grids"]:
        rows = grid["per_carat"]
        for row in rows:
            sort([(row, column) for column in range(len(row))])
        for column in range(len(rows[0])): # the rows stay in order by this
            sort([(row, column) for row in reversed(rows)])
    for factor in matrix["factors"]:
        if factor["kind"] == "fault":
            for places in factor["values"].values():
                for severities in places.values():
                    for key in severities: # a fault does not pay
                        put(severities, key, min(middle(severities[key]), -0.02))
                    sort([(severities, key) for key in reversed(severities)])
        elif factor["field"] == "/play_of_colour/directionality":
            values = factor["values"]
            for key in values:
                put(values, key, min(middle(values[key]), 0))
            sort([(values, key) for key in reversed(values)])
        elif factor["field"] == "/play_of_colour/coverage":
            for point in factor["points"]:
                put(point, "factor", min(middle(point["factor"]), 0))
            sort([(point, "factor") for point in factor["points"]])
    return matrix


def records(count, seed, levels=("trade",)):
    rng = random.Random(seed)
    for number in range(1, count + 1):
        record = generate.record(number, rng)
        record["sale"] = {"currency": "AUD", "market_level": rng.choice(levels),
                          "date": f"{rng.randint(2024, 2026)}-{rng.randint(1, 10):02}-"
                                  f"{rng.randint(1, 28):02}"}
        yield record


def values(program, matrix_file, stones, level):
    lines = "".join(json.dumps({k: v for k, v in stone.items() if k != "sale"}) + "\n" for stone in stones)
    run = subprocess.run([program, "value", "--format", "ndjson", "--brief", "--quiet", "--matrix",
                          matrix_file, "--level", level, "-"], input=lines, text=True,
                         capture_output=True, check=True)
    return [json.loads(line)["value"] for line in run.stdout.splitlines()]


def sales(program, true_matrix, count, seed, folder, levels=("trade",), unsold=0.0, odd=0.0,
          trend=0.0):
    """Writes the true matrix and returns the sales, a record each. `unsold`: the share of stones
    that are asked too much for or too little; `odd`: the share whose price is off by ten times;
    `trend`: of the logarithm, a year before the end of 2026."""
    rng = random.Random(seed + 1)
    matrix_file = pathlib.Path(folder) / "true.json"
    matrix_file.write_text(json.dumps(true_matrix))
    found = list(records(count, seed, levels))
    for level in levels:
        at_level = [record for record in found if record["sale"]["market_level"] == level]
        for record, value in zip(at_level,
                                 values(program, matrix_file, at_level, level)):
            year, month, day = map(int, record["sale"]["date"].split("-"))
            years = year + (month - 1 + day / 30) / 12 - 2027
            logarithm = (math.log(value["likely"]) + trend * years +
                         value["log_standard_uncertainty"] * rng.gauss(0, 1))
            if rng.random() < odd:
                logarithm += math.log(10) * rng.choice((-1, 1))
            price = max(round(math.exp(logarithm), 2), 0.01)
            if rng.random() < unsold:
                asked = max(round(math.exp(logarithm + rng.gauss(0.1, 0.5)), 2), 0.01)
                if asked > price:
                    record["sale"]["unsold_at"] = asked
                    continue
                price = asked
            record["sale"]["price"] = price
    return found
