#!/usr/bin/python3
"""Holds the schemas of recutting, the program and the examples to each other.

Usage: recut.py ROOT BINARY

 - The stone's story in examples/bench: records and plan are valid, the plan leads to its end, which
   ends as it was planned.
 - What "recut --format json" prints is valid by data/recut.schema.json, and its break-evens are
   true: the record they describe, written out and valued by "trayworth value", is worth what the
   stone is worth as it is, to a cent.
 - Plans with one thing changed: the schema's verdict is the program's, save for what JSON Schema
   cannot say, which is listed here. (What the changes make of a record is the record reader's
   matter, and has its tests there.)

Needs the Debian package python3-jsonschema.
"""

import collections
import copy
import json
import pathlib
import sys
import tempfile
import xml.etree.ElementTree

import jsonschema

import agree
import validate

PLAN_BEYOND_SCHEMA = [
    ("range-reversed", ".*/probability", "the order of two numbers"),
    ("value-unknown", "/currency", "the list of currencies"),
    ("currency-differs", "/currency", "the matrix's currency"),
    ("field-missing", "/rate_per_hour", "a rate where there are minutes"),
    ("value-range", "(/alternatives/[0-9]+/outcomes/[0-9]+)*/alternatives/[0-9]+/outcomes",
     "probabilities sum to 1"),
]

WRONG = [None, True, 0, -1, 0.5, 2, 1e10, "text", "", [], {}, [0.2, 0.4], [0.4, 0.2], [1], [1, 2],
         "XYZ", "JPY"]


# Keys of an answer that may be left out.
OPTIONAL = {"name", "rate_per_hour", "aversion", "wealth", "certainty_equivalent",
            "value_of_looking", "earned_per_hour", "probability_range", "best", "alternatives",
            "mm", "searched_mm", "plan"}


class Project(validate.Project):
    """With the schemas of recutting in the place of the others."""

    def __init__(self, root):
        super().__init__(root)
        self.record_schema = self.schemas["record"]
        self.schemas = {name: validate.parse((root / f"data/{name}.schema.json").read_text())
                        for name in ("plan", "recut")}


def bench(project, name):
    return (project.root / "examples/bench" / name).read_text()


def plan_of(project):
    return validate.parse(validate.without_comments(bench(project, "plan.json")))


class Recut:
    def __init__(self, program, record):
        self.program = program
        self.folder = tempfile.TemporaryDirectory()
        self.record = pathlib.Path(self.folder.name) / "record.json"
        self.plan = pathlib.Path(self.folder.name) / "plan.json"
        self.record.write_text(record)

    def with_plan(self, plan, *more):
        self.plan.write_text(json.dumps(plan))
        return self.program("recut", "--format", "json", "--simulate", "100", "--plan",
                            str(self.plan), *more, str(self.record))


def check_story(project, program):
    record_schema = project.record_schema
    record = jsonschema.Draft202012Validator(
        {**record_schema["$defs"]["record"], "$defs": record_schema["$defs"]})
    first = validate.parse(bench(project, "first-face.json"))
    finished = validate.parse(bench(project, "finished.json"))
    for name, stone in (("first-face", first), ("finished", finished)):
        yield from validate.complaints_of(record, name, stone)
        if "invented" not in stone["x-about"].lower():
            yield f"{name}: does not say that it is invented"
    yield from validate.complaints_of(project.validator("plan"), "plan.json", plan_of(project))
    done = program("recut", "--format", "json", "--plan", str(project.root / "examples/bench/plan.json"),
                   str(project.root / "examples/bench/first-face.json"))
    answer = json.loads(done.stdout)
    best = next(a for a in answer["plan"]["alternatives"]
                if a["name"] == answer["plan"]["best"])
    # The story goes down its best branch: the thread of potch, and 0.3 mm more.
    thread = best["outcomes"][1]
    if thread["best"] == "leave it":
        yield "the best choice after the thread of potch is to leave it"
    clean = thread["alternatives"][0]["outcomes"][0]
    worth = json.loads(program("value", "--format", "json",
                               str(project.root / "examples/bench/finished.json")).stdout)
    if abs(worth["value"]["likely"] / clean["value"]["likely"] - 1) > 0.02:
        yield f"finished it is worth {worth['value']['likely']}, planned {clean['value']['likely']}"
    if not best["value_of_looking"] > 0:
        yield "looking first is worth nothing in the story"


def singles(project):
    for name, stone in project.stones():
        yield name, stone
    yield "bench", validate.parse(bench(project, "first-face.json"))


def check_outputs(project, program):
    validator = project.validator("recut")
    shown, refused = 0, 0
    for name, stone in singles(project):
        done = program("recut", "--format", "json", "--simulate", "200", text=json.dumps(stone))
        answer = json.loads(done.stdout)
        if "error" in answer:
            refused += 1
            continue
        shown += 1
        yield from validate.complaints_of(validator, name, answer)
    run = Recut(program, bench(project, "first-face.json"))
    for more in ([], ["--aversion", "2"], ["--level", "retail"]):
        answer = json.loads(run.with_plan(plan_of(project), *more).stdout)
        yield from validate.complaints_of(validator, f"plan {more}", answer)
        if ("certainty_equivalent" in answer["plan"]["alternatives"][0]) != ("--aversion" in more):
            yield f"plan {more}: certainty equivalents"
        yield from check_notices(validator, answer)
    if shown < 12:
        yield f"only {shown} answers"
    used = {key for sample in (answer, plan_of(project)) for path in validate.properties_of(sample)
            for key in path}
    for name, schema in project.schemas.items():
        for path, properties in validate.property_lists(schema):
            for key in properties:
                if key not in used and key not in OPTIONAL:
                    yield f"{name}: nothing printed or planned has {validate.pointer(path + (key,))}"
    print(f"        {shown} stones, {refused} without a price")


def check_notices(validator, answer):
    """With a key left out, or one too many, an answer is refused."""
    for path in validate.properties_of(answer):
        where = validate.pointer(path)
        if path[0] in ("stone", "warnings") and len(path) > 1:
            continue  # described where values are
        if path[-1] not in OPTIONAL and validator.is_valid(validate.without(answer, path)):
            yield f"passes without {where}"
        if isinstance(validate.at(answer, path), dict) and \
                validator.is_valid(validate.changed(answer, path + ("surprise",), 1)):
            yield f"passes with {where}/surprise"


def lowered(stone, dimension, by):
    """A measure made smaller by so many mm, its uncertainty kept."""
    measure = stone["dimensions_mm"][dimension]
    if isinstance(measure, dict):
        measure["value"] -= by
    else:
        stone["dimensions_mm"][dimension] = measure - by


def check_break_evens(project, program):
    verified = 0
    for name, stone in singles(project):
        if "weight_ct" not in stone or not stone.get("faults"):
            continue
        answer = json.loads(program("recut", "--format", "json", "--simulate", "200",
                                    text=json.dumps(stone)).stdout)
        if "error" in answer:
            continue
        now = answer["stone"]["value"]["likely"]
        for index, fault in enumerate(answer["faults"]):
            if fault["break_even_ct"] is None or fault["break_even_depth_mm"] is None:
                continue
            smaller = copy.deepcopy(stone)
            del smaller["faults"][index]
            weight = answer["stone"]["weight_ct"]
            smaller["weight_ct"] = {"value": weight["value"] - fault["break_even_ct"],
                                    "uncertainty": weight["standard_uncertainty"]}
            wall = smaller["dimensions_mm"].pop("wall", None)
            lowered(smaller, "depth", fault["break_even_depth_mm"])
            way = next(b["way"] for b in fault["break_evens"] if b["way"] in ("face", "back"))
            if way == "back" and fault["break_even_depth_mm"] > (wall or 0.1):
                continue  # past the wall the outline goes too
            valued = json.loads(program("value", "--format", "json",
                                        text=json.dumps(smaller)).stdout)
            if abs(valued["value"]["likely"] - now) > max(0.0101, 2e-6 * now):
                yield (f"{name}, {fault['kind']}: at the break-even {valued['value']['likely']}, "
                       f"as it is {now}")
            verified += 1
    if verified < 5:
        yield f"only {verified} break-evens were verified"
    print(f"        {verified} break-evens re-valued")


def check_plans(project, program):
    validator = project.validator("plan")
    run = Recut(program, bench(project, "first-face.json"))
    plan = plan_of(project)
    plan["alternatives"] = plan["alternatives"][1:3]  # one decision after another, and a plain one
    plan["x-own"] = 1
    used, tried = collections.Counter(), 0
    seen = set()
    for what, changed in [("as it is", plan)] + list(agree.changes(plan, WRONG)):
        if "/changes/" in what:
            continue  # a record's own fields have their tests
        tried += 1
        answer = json.loads(run.with_plan(changed).stdout)
        complaint = agree.compare("plan", what, validator.is_valid(changed), answer,
                                  PLAN_BEYOND_SCHEMA, used)
        if complaint and complaint not in seen:
            seen.add(complaint)
            yield complaint
    yield from agree.unused(PLAN_BEYOND_SCHEMA, used)
    print(f"        {tried} changed plans")


def check_drawing(project, program):
    done = program("recut", "--format", "svg", "--plan",
                   str(project.root / "examples/bench/plan.json"),
                   str(project.root / "examples/bench/first-face.json"))
    root = xml.etree.ElementTree.fromstring(done.stdout)
    space = "{http://www.w3.org/2000/svg}"
    text = " ".join(t.text for t in root.iter(space + "text"))
    for words in ("0.3 mm off the dome", "leave it", "INVENTED", "wear a P2"):
        if words not in text:
            yield f"the drawing does not say {words}"
    best = [p for p in root.iter(space + "path") if p.get("class") == "best"]
    other = [p for p in root.iter(space + "path") if p.get("class") == "other"]
    # The best branch, its three outcomes, and the best choice after each of two of them, the
    # second of which has two outcomes.
    if len(best) != 8 or not other:
        yield f"{len(best)} heavy lines, {len(other)} others"
    # Names go in as text, whatever they hold.
    plan = plan_of(project)
    plan["name"] = "</text><script>&\"'"
    plan["alternatives"][0]["name"] = "a < b & \u202e c"
    run = Recut(program, bench(project, "first-face.json"))
    run.plan.write_text(json.dumps(plan))
    done = program("recut", "--format", "svg", "--plan", str(run.plan), str(run.record))
    root = xml.etree.ElementTree.fromstring(done.stdout)
    if any("script" in element.tag for element in root.iter()) or "\u202e" in done.stdout:
        yield "a name acts in the drawing"


CHECKS = [
    ("the schemas", lambda project, program: validate.check_schemas(project)),
    ("the story in examples/bench", check_story),
    ("output by the schema", check_outputs),
    ("break-evens, re-valued", check_break_evens),
    ("plans: schema and reader agree", check_plans),
    ("the drawn tree", check_drawing),
]


def main(root, binary):
    project, program = Project(pathlib.Path(root)), agree.Program(binary)
    failed = False
    for name, check in CHECKS:
        complaints = list(check(project, program))
        print(f"{'not ok' if complaints else 'ok':8}{name}")
        for complaint in complaints[:40]:
            print(f"        {complaint}")
        failed = failed or bool(complaints)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
