#!/usr/bin/python3
"""Redoes values by hand: from the printed reasons, the matrix and the record, and nothing else.

Usage: by_hand.py ROOT BINARY

Values every example and 200 random records made of the demonstration matrix's own names, and
recomputes from the JSON what it says: running values, likely value, range, outer limits, budget;
and from the matrix each number that a reason took out of it. Shares no code with the program.
"""

import copy
import json
import math
import pathlib
import random
import re
import subprocess
import sys

SEED = 20261101
RECORDS = 200
SEVEN_DIGITS = 5.1e-7  # relative: half of the last of seven significant digits
TWICE_ROUNDED = 1.1e-6  # the ends of a reason are reckoned from its likely factor as printed
CELL_WEIGHTS = 3e-6  # four weights of seven digits, each times the logarithm of a price
HALF_CENT = 0.005 + 1e-9


# ---- reading

def without_comments(text):
    """The text without // comments, which may not begin inside a string."""
    result, at, in_string = [], 0, False
    while at < len(text):
        c = text[at]
        if in_string:
            result.append(text[at:at + 2] if c == "\\" else c)
            at += 2 if c == "\\" else 1
            in_string = c != '"'
        elif text.startswith("//", at):
            end = text.find("\n", at)
            at = len(text) if end < 0 else end
        else:
            result.append(c)
            in_string = c == '"'
            at += 1
    return "".join(result)


def resolve(document, pointer):
    for token in pointer.split("/")[1:]:
        token = token.replace("~1", "/").replace("~0", "~")
        document = document[int(token)] if isinstance(document, list) else document[token]
    return document


def merged(defaults, stone):
    result = copy.deepcopy(defaults)
    for name, value in stone.items():
        if isinstance(value, dict) and isinstance(result.get(name), dict):
            result[name] = merged(result[name], value)
        elif name == "weight_ct" and isinstance(result.get(name), dict):
            result[name] = {**result[name], "value": value}
        else:
            result[name] = value
    return result


def ends(value):
    """A number or [low, high] as its two ends."""
    return (value, value) if isinstance(value, (int, float)) else tuple(value)


def middle(value):
    if isinstance(value, dict):
        value = value["value"]
    low, high = ends(value)
    return (low + high) / 2


def log_middle(spread):
    low, high = ends(spread)
    return (math.log(low) + math.log(high)) / 2


# ---- what a reason must be by the matrix: low, likely, high, with None where it is not checked

def from_spread(spread):
    low, high = ends(spread)
    return low, math.exp(log_middle(spread)), high


def from_cells(cells, matrix, complain):
    """The geometric mean of what the cells name, by their weights."""
    logs = [0.0, 0.0, 0.0]
    for cell in cells:
        found = resolve(matrix, cell["pointer"])
        for name, expected in zip(("low", "high"), ends(found)):
            if not close(cell[name], expected):
                complain(f"{cell['pointer']}: {name} is {cell[name]}, in the matrix {expected}")
        low, high = ends(found)
        for i, number in enumerate((low, math.sqrt(low * high), high)):
            logs[i] += cell["weight"] * math.log(number)
    if abs(sum(cell["weight"] for cell in cells) - 1) > SEVEN_DIGITS:
        complain("the cells' weights do not sum to 1")
    return tuple(math.exp(log) for log in logs)


def from_shares(colours, values):
    total = sum(middle(c["share"]) for c in colours)

    def mean(pick):
        return sum(middle(c["share"]) * pick(values[c["colour"]]) for c in colours) / total

    likely = mean(lambda spread: math.exp(log_middle(spread)))
    if any(ends(c["share"])[0] != ends(c["share"])[1] for c in colours):
        return None, likely, None
    return mean(lambda s: ends(s)[0]), likely, mean(lambda s: ends(s)[1])


def from_curve(factor, record, weight):
    def read(pointer):
        return weight if pointer == "/weight_ct" else middle(resolve(record, pointer))

    x = read(factor["field"]) / (read(factor["per"]) if "per" in factor else 1)
    scale = math.log if factor["spacing"] == "log" else float
    points = factor["points"]
    for below, above in zip(points, points[1:]):
        if below["at"] <= x <= above["at"]:
            share = (scale(x) - scale(below["at"])) / (scale(above["at"]) - scale(below["at"]))
            return None, math.exp((1 - share) * log_middle(below["factor"])
                                  + share * log_middle(above["factor"])), None
    raise ValueError(f"{factor['name']}: {x} is beyond the curve")


def from_words(words, values):
    spreads = [values[word] for word in words]
    return None, math.exp(sum(map(log_middle, spreads)) / len(spreads)), None


def expected(reason, record, matrix, weight, complain):
    pointer = reason["matrix_pointer"]
    found = resolve(matrix, pointer)
    if reason["step"].endswith(" straddles") or reason["step"] == "brightness scale":
        return None, 1, None
    by_cells = from_cells(reason["cells"], matrix, complain) if "cells" in reason else None
    if pointer.startswith("/grids/"):
        return by_cells
    wanted = by_rule(reason, record, matrix, weight, pointer, found)
    arithmetic = reason["field"] == "/play_of_colour/colours"
    if by_cells and not arithmetic and not close(by_cells[1], wanted[1], CELL_WEIGHTS):
        complain(f"{reason['step']}: the cells give {by_cells[1]}, the rule {wanted[1]}")
    return wanted


def by_rule(reason, record, matrix, weight, pointer, found):
    if pointer.endswith("/if_absent"):
        return from_spread(found)
    place = re.fullmatch(r"(/factors/\d+)/(points|values)(/.*)?", pointer)
    factor = resolve(matrix, place[1]) if place else None
    if factor and factor["kind"] == "curve":
        return from_curve(factor, record, weight)
    if factor and factor["kind"] == "share-weighted":
        return from_shares(resolve(record, reason["field"]), found)
    if isinstance(found, dict):
        return from_words(resolve(record, reason["field"]), found)
    return from_spread(found)


# ---- the checks

def close(a, b, relative=SEVEN_DIGITS):
    return abs(a - b) <= relative * max(abs(a), abs(b))


class Checker:
    def __init__(self, matrix):
        self.matrix = matrix
        self.complaints = []
        self.reasons = 0
        self.kinds = set()

    def check(self, name, record, answer):
        def complain(text):
            self.complaints.append(f"{name}: {text}")

        value, weight = answer["value"], answer["weight_ct"]
        running, low, high = weight["value"], weight["low"], weight["high"]
        for reason in answer["reasons"]:
            running *= reason["likely"]
            low *= reason["low"]
            high *= reason["high"]
            if abs(running - reason["running"]) > HALF_CENT:
                complain(f"{reason['step']}: running is {reason['running']}, by hand {running}")
            if not reason["low"] <= reason["likely"] <= reason["high"]:
                complain(f"{reason['step']}: {reason['low']}, {reason['likely']}, {reason['high']}")
            self.check_reason(reason, record, weight, complain)
        for what, by_hand in (("likely", running), ("outer_low", low), ("outer_high", high)):
            if abs(value[what] - by_hand) > HALF_CENT:
                complain(f"{what} is {value[what]}, by hand {by_hand}")
        self.check_range(value, running, low, high, complain)
        self.check_budget(answer["budget"], value["log_standard_uncertainty"], complain)

    def check_reason(self, reason, record, weight, complain):
        self.reasons += 1
        step = f"{reason['step']} ({reason['matrix_pointer']})"
        absent = reason["matrix_pointer"].endswith("/if_absent")
        level = reason["matrix_pointer"].startswith("/market_levels/")
        estimated = weight["basis"] == "estimated" and reason["field"] == "/weight_ct"
        try:
            if level != (reason["field"] is None):
                complain(f"{step}: field is {reason['field']}")
            elif not absent and not level and not estimated:
                resolve(record, reason["field"])
        except (KeyError, IndexError, TypeError):
            complain(f"{step}: {reason['field']} is not in the record")
        try:
            wanted = expected(reason, record, self.matrix, weight["value"], complain)
        except (KeyError, IndexError, TypeError, ValueError) as error:
            complain(f"{step}: {error!r}")
            return
        power = re.search(r"to the power ([0-9.]+)", reason.get("note", ""))
        power = float(power[1]) if power else 1
        self.kinds.add(re.sub(r"\d+", "N", reason["matrix_pointer"].split("/values/")[0]))
        for what, number in zip(("low", "likely", "high"), wanted):
            if number is None or (power != 1 and what != "likely"):
                continue
            tolerance = SEVEN_DIGITS if what == "likely" else TWICE_ROUNDED
            if not close(reason[what], number ** power,
                         CELL_WEIGHTS if "cells" in reason else tolerance):
                complain(f"{step}: {what} is {reason[what]}, by the matrix {number ** power}")

    def check_range(self, value, likely, low, high, complain):
        reach = math.exp(value["coverage_factor"] * value["log_standard_uncertainty"])
        for what, by_hand in (("low", max(likely / reach, low)), ("high", min(likely * reach, high))):
            if abs(value[what] - by_hand) > HALF_CENT + 1e-6 * by_hand:
                complain(f"{what} is {value[what]}, by hand {by_hand}")
        # P(|Z| <= k) of the normal distribution.
        if abs(math.erf(value["coverage_factor"] / math.sqrt(2)) - value["coverage"]) > 1e-6:
            complain(f"coverage factor {value['coverage_factor']} for {value['coverage']}")
        if value["coverage"] != self.matrix["coverage"]:
            complain(f"coverage is {value['coverage']}")
        if value["currency"] != self.matrix["currency"]:
            complain(f"currency is {value['currency']}")
        for what, rounded in value["rounded"].items():
            size = [s["to_nearest"] for s in self.matrix["rounding"] if s["from"] <= value[what]][-1]
            if abs(rounded / size - round(rounded / size)) > 1e-9 or \
                    abs(rounded - value[what]) > size / 2 + HALF_CENT:
                complain(f"{what} {value[what]} is rounded to {rounded}, not to {size}")

    @staticmethod
    def check_budget(budget, u, complain):
        shares = [line["share"] for line in budget]
        if abs(sum(shares) - 1) > 1e-6 or shares != sorted(shares, reverse=True):
            complain(f"budget: shares {shares}")
        variance = sum(line["log_standard_uncertainty"] ** 2 for line in budget)
        if not close(math.sqrt(variance), u, 1e-6):
            complain(f"budget: {math.sqrt(variance)} together, {u} is stated")
        for line in budget:
            if not close(line["log_standard_uncertainty"] ** 2, line["share"] * u * u, 1e-5):
                complain(f"budget: {line['source']}")


# ---- records

def random_records(matrix, seed, number):
    """Records of the matrix's own names, straddling and leaving out at random."""
    chance = random.Random(seed)
    factors = {f["field"]: f for f in matrix["factors"] if f["kind"] != "curve"}

    def words(field, straddle=0.3):
        known = sorted(factors[field]["values"])
        return chance.sample(known, 2) if chance.random() < straddle else chance.choice(known)

    def span(low, high, digits):
        a, b = (round(chance.uniform(low, high), digits) for _ in range(2))
        return a if chance.random() < 0.6 else [min(a, b), max(a, b)]

    def colours():
        names = chance.sample(sorted(factors["/play_of_colour/colours"]["values"]),
                              chance.randint(1, 4))
        parts = [chance.randint(1, 9) for _ in names]
        shares = [round(p / sum(parts), 4) for p in parts]
        return [{"colour": name, "share": share if chance.random() < 0.8
                 else [round(share * 0.8, 4), share]} for name, share in zip(names, shares)]

    def faults():
        table = factors["/faults"]["values"]
        for _ in range(chance.choice([0, 0, 1, 1, 2, 3])):
            kind = chance.choice(sorted(table))
            place = chance.choice(sorted(table[kind]))
            severities = sorted(table[kind][place])
            yield {"kind": kind, "place": place,
                   "severity": chance.sample(severities, 2) if chance.random() < 0.2
                   else chance.choice(severities)}

    def brightness():
        steps, up = chance.choice([(5, True), (5, True), (5, False), (7, False), (10, True)])
        return {"grade": span(1, steps, 1), "steps": steps, "brightest": steps if up else 1}

    for i in range(number):
        tone = chance.randint(1, 9)
        width = round(chance.uniform(4, 14), 2)
        length = round(width * chance.uniform(1, 1.6), 2)
        depth = round(width * chance.uniform(0.2, 0.8), 2)
        record = {
            "id": f"R-{i}",
            "type": chance.choice(["solid", "solid", "boulder", "matrix", "doublet", "triplet"]),
            "treatments": chance.sample(sorted(factors["/treatments"]["values"]),
                                        chance.choice([0, 0, 0, 1, 2])),
            "body_tone": f"N{tone}" if chance.random() < 0.5 or tone == 9
            else [f"N{tone}", f"N{chance.randint(tone + 1, 9)}"],
            "transparency": chance.choice(["transparent", "translucent", "opaque",
                                           ["transparent", "translucent"],
                                           ["translucent", "opaque"]]),
            "hydrophane": chance.random() < 0.2,
            "brightness": brightness(),
            "play_of_colour": {"colours": colours(), "pattern": words("/play_of_colour/pattern"),
                               "coverage": span(0, 1, 2),
                               "directionality": words("/play_of_colour/directionality")},
            "faults": list(faults()),
            "cut": {"outline": "oval", "polish": words("/cut/polish", 0.2)},
            "dimensions_mm": {"length": length, "width": width, "depth": depth,
                              "uncertainty": 0.02},
            "weight_ct": {"value": round(chance.uniform(0.2, 60), 2), "uncertainty": 0.005},
            "mounted": False,
        }
        for container, name in ((record["play_of_colour"], "coverage"), (record, "hydrophane"),
                                (record["play_of_colour"], "directionality"),
                                (record["cut"], "polish"), (record, "dimensions_mm")):
            if chance.random() < 0.1:
                del container[name]
        yield record


def example_records(folder):
    """(file, records with what their tray supplies, whether it is one object)"""
    for path in sorted(folder.glob("*.json")) + sorted(folder.glob("*.ndjson")):
        text = path.read_text()
        if "trayworth/price-matrix/" in text:
            continue
        if path.suffix == ".ndjson":
            yield path, [json.loads(line) for line in text.splitlines()]
            continue
        document = json.loads(text)
        if "stones" in document:
            tray = {k: v for k, v in document["tray"].items() if k != "id"}
            yield path, [merged(tray, stone) for stone in document["stones"]]
        else:
            yield path, [document]


def value(binary, arguments, text=None):
    done = subprocess.run([binary, "value", "--quiet", "--format", "ndjson", *arguments], input=text,
                          capture_output=True, text=True, encoding="utf-8", timeout=300)
    if done.returncode == 2 or done.stderr:
        raise SystemExit(f"value {arguments}: exit status {done.returncode}\n{done.stderr}")
    return [json.loads(line) for line in done.stdout.splitlines()]


def spoiled(answer):
    """The same answer with one figure of it changed, for each kind of figure."""
    changes = [("value", "likely"), ("value", "low"), ("value", "outer_high"),
               ("weight_ct", "value"), ("reasons", 0, "likely"), ("reasons", 0, "running"),
               ("reasons", -1, "matrix_pointer"), ("budget", 0, "share"),
               ("reasons", 0, "cells", 0, "low"), ("reasons", 0, "cells", 0, "weight"),
               ("reasons", 3, "cells", 0, "weight"), ("reasons", 7, "cells", 1, "high"),
               ("reasons", -1, "field"), ("value", "coverage_factor"),
               ("value", "rounded", "likely")]
    for path in changes:
        changed = copy.deepcopy(answer)
        at = changed
        for token in path[:-1]:
            at = at[token]
        old = at[path[-1]]
        at[path[-1]] = "/nowhere" if isinstance(old, str) else old * 1.001 + 0.01
        yield path, changed


def main(root, binary):
    root = pathlib.Path(root)
    demonstration = json.loads(without_comments((root / "data/demonstration-matrix.json").read_text()))
    own_path = root / "examples/own-matrix.json"
    own = json.loads(without_comments(own_path.read_text()))
    checker, small = Checker(demonstration), Checker(own)
    failures = []
    examples = 0
    for path, records in example_records(root / "examples"):
        answers = value(binary, [str(path)])
        if len(answers) != len(records) or any("error" in answer for answer in answers):
            failures.append(f"{path.name}: not all of its stones are valued")
            continue
        for record, answer in zip(records, answers):
            checker.check(f"{path.name} {answer['id']}", record, answer)
            examples += 1
        if path.name == "first-stone.json":
            pretty = subprocess.run([binary, "value", "--format", "json", str(path)],
                                    capture_output=True, text=True, encoding="utf-8", timeout=300)
            if json.loads(pretty.stdout) != answers[0]:
                failures.append("json and ndjson differ")
            small.check("own-matrix.json", records[0],
                        value(binary, ["--matrix", str(own_path), str(path)])[0])
            for where, changed in spoiled(answers[0]):
                probe = Checker(demonstration)
                probe.check("spoiled", records[0], changed)
                if not probe.complaints:
                    failures.append(f"a slip in {where} goes unnoticed")

    valued = 0
    records = list(random_records(demonstration, SEED, RECORDS))
    text = "".join(json.dumps(record) + "\n" for record in records)
    for level in ("trade", "retail"):
        answers = value(binary, ["--level", level], text)
        if len(answers) != RECORDS:
            failures.append(f"{len(answers)} answers to {RECORDS} records")
        for record, answer in zip(records, answers):
            if "error" not in answer:
                checker.check(f"{level} {record['id']}", record, answer)
                valued += 1
    if valued < 1.8 * RECORDS:
        refused = sorted({a["error"]["message"] for a in answers if "error" in a})
        failures.append(f"only {valued} of {2 * RECORDS} random records are valued: {refused}")
    if examples < 15 or len(checker.kinds) < 9:
        failures.append(f"{examples} examples, kinds of reasons: {sorted(checker.kinds)}")
    failures += checker.complaints + small.complaints
    print("\n".join(failures[:60]))
    print(f"{examples} examples and {valued} values of random records (seed {SEED}), "
          f"{checker.reasons + small.reasons} reasons: {len(failures)} complaints")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
