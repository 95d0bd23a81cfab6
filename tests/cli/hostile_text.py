#!/usr/bin/python3
"""Texts that would act on a terminal, deceive its reader or run in a spreadsheet, in every place
where a user may write one, through every command and format. None of them may come out.

Usage: hostile_text.py ROOT BINARY
"""

import concurrent.futures
import csv
import io
import json
import os
import pathlib
import pty
import re
import subprocess
import sys
import tempfile
import unicodedata
import xml.etree.ElementTree

import page

TEXTS = {
    "escape": "\x1b[2J", "title": "\x1b]0;owned\x07", "C1": "\x9b31m", "delete": "\x7f", "NUL": "\0",
    "carriage return": "a\rb", "line feed": "a\nb: error: c", "tab": "\t=1+1", "backspace": "ab\b\bcd",
    "override": "\u202egnp.exe", "isolate": "\u2066a\u2069", "mark": "\u200f", "zero width": "a\u200bb",
    "joiner": "a\u200db", "BOM": "\ufeffa", "soft hyphen": "a\u00adb", "line separator": "a\u2028b",
    "filler": "\u3164", "tag": "\U000e0041", "annotation": "\ufff9a\ufffbb", "selector": "a\ufe0f",
    "formula": "=1+1", "plus": "+1", "minus": "-1", "at": "@SUM(1)", "wide": "\uff1d1+1",
    "wide at": "\uff20SUM(1)", "blank formula": " \xa0=1+1", "quoted formula": "\"=1+1",
    "second cell": "a;=1+1", "quoted cell": "a; \"=1+1", "quotes": "a\",\"=1+1", "script": "<b>&amp;",
    "format": "{} {0} %s %n", "backslash": "\\u001b[2J",
}
# One of each kind: what is less often asked for writes its texts by the same functions.
KINDS = ("escape", "NUL", "line feed", "tab", "override", "tag", "formula", "wide at", "second cell",
         "quoted cell", "quotes", "script", "format", "backslash")
# Bytes that are not UTF-8, for where a file is not JSON anyhow.
BYTES = [b"\xff\x1b[2J", b"\x9b31m", b"\xc0\x9b", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\xe2\x80"]
OPENINGS = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")
# Of general category Cf, and yet seen: marks that go in front of a number and the like.
SEEN = [(0x600, 0x605), (0x6dd, 0x6dd), (0x70f, 0x70f), (0x890, 0x891), (0x8e2, 0x8e2)]
NOT_SEEN = "\u034f\u115f\u1160\u3164\uffa0\ufe0f"


def acts(character):
    if character in NOT_SEEN or unicodedata.category(character) in ("Cc", "Zl", "Zp"):
        return True
    return unicodedata.category(character) == "Cf" and not any(
        first <= ord(character) <= last for first, last in SEEN)


def forbidden(output, allowed="\n"):
    """The first thing in the output that must not be there."""
    try:
        text = output.decode()
    except UnicodeDecodeError as error:
        return f"not UTF-8: {error}"
    return next((f"U+{ord(c):04X} in {text[max(0, i - 30):i + 30]!r}" for i, c in enumerate(text)
                 if c not in allowed and acts(c)), None)


def without_comments(text):
    """JSON with // comments, as a document."""
    return json.loads(re.sub(r'("(?:[^"\\]|\\.)*")|//[^\n]*', lambda m: m.group(1) or "", text))


class Tests:
    def __init__(self, root, binary, folder):
        self.root, self.binary, self.folder = root, binary, folder
        self.stone = json.loads((root / "examples/first-stone.json").read_text())
        self.matrix = without_comments((root / "examples/own-matrix.json").read_text())
        self.checks, self.failures = 0, []

    def expect(self, holds, what):
        self.checks += 1
        if not holds:
            self.failures.append(what)

    def run(self, *arguments, stdin=b"", allowed="\n", status=None, environment=None):
        done = subprocess.run([self.binary, *arguments], input=stdin, capture_output=True,
                              timeout=120, cwd=self.folder, env=environment)
        for name, output in (("output", done.stdout), ("errors", done.stderr)):
            found = forbidden(output, allowed)
            self.expect(found is None, f"{arguments}: standard {name}: {found}")
        if status is not None:
            self.expect(done.returncode == status,
                        f"{arguments}: exit status {done.returncode}: {done.stderr[:300]}")
        return done

    # ---- a stone and a matrix with the text wherever there may be one

    def sound(self, text):
        stone = json.loads(json.dumps(self.stone))
        stone.update({"id": text, "body_hue": text, "notes": text, "x-" + text: {text: [text]},
                      "treatments": [text]})
        stone["cost"]["note"] = text
        stone["play_of_colour"].update({"pattern": text, "directionality": text})
        stone["play_of_colour"]["colours"] = [{"colour": text, "share": 1}]
        stone["faults"] = [{"kind": text, "place": text, "severity": text}]
        stone["cut"]["polish"] = text
        return stone

    def market(self, text):
        matrix = json.loads(json.dumps(self.matrix))
        matrix.update({"name": text, "provenance": text, "market_level": text,
                       "market_levels": {text: 1}, "x-" + text: text})
        matrix["grids"][0]["name"] = text
        matrix["factors"].append({"kind": "category", "field": "/treatments"})
        for number, factor in enumerate(matrix["factors"]):
            factor["name"] = text + str(number)
            factor["values"] = {text: {text: {text: [0.8, 0.9]}} if factor["kind"] == "fault"
                                else [0.8, 0.9]}
        return matrix

    def spoiled(self, text):
        """Records that are refused, one for each place of the text."""
        for change in ({"type": text}, {"transparency": text}, {"body_tone": text},
                       {text or "?": 1}, {"format": text}, {"density": text},
                       {"brightness": text}, {"treatments": [1, text]},
                       {"cost": {"amount": 1, "currency": text}}, {"notes": 1},
                       {"cut": {**self.stone["cut"], "dome": text, "back": text}},
                       {"play_of_colour": {"colours": [{"colour": text, "share": 1}],
                                           "pattern": text, text: 1}},
                       {"faults": [{"kind": text, "place": text}]}):
            yield {**self.stone, "id": text, **change}

    def alternatives(self, text):
        """A plan with the text wherever there may be one."""
        sizes = {"dimensions_mm": {"depth": 3.5}, "weight_ct": {"value": 1.8, "uncertainty": 0.01}}
        later = {"name": text, "outcomes": [{"changes": sizes}]}
        return {"format": "trayworth/plan/1", "name": text, "currency": "AUD", "rate_per_hour": 40,
                "alternatives": [
                    {"name": text + "1", "minutes": 9, "outcomes": [
                        {"name": text, "probability": 0.5, "changes": {**sizes, "notes": text}},
                        {"name": text + "2", "probability": [0.4, 0.6], "alternatives": [later],
                         "changes": {"x-" + text: text, "body_hue": text, **sizes}}]}]}

    # ---- the tests

    def answered(self, name, form, done):
        """An answer is of its form, whatever stands in it."""
        output = done.stdout.decode()
        if form in ("json", "ndjson"):
            for part in output.splitlines() if form == "ndjson" else [output] if output else []:
                json.loads(part)
        elif form == "svg" and output:
            xml.etree.ElementTree.fromstring(output)
        elif form == "html" and output:
            faults = page.Page(output).faults
            self.expect(not faults, f"{name}: a page: {faults[:3]}")
        elif form == "csv":
            self.cells(name, output)
            self.expect(not re.search(r"\r(?!\n)|(?<!\r)\n", output), f"{name}: a line break within a field")

    def write(self, file, document):
        text = document if isinstance(document, str) else json.dumps(document, ensure_ascii=False)
        (self.folder / file).write_bytes(text.encode())

    # What else reads what a user wrote, each with its forms and exit status. The stones are: sound,
    # sound with the text in every place, and refused ones.
    COMMANDS = (
        (("value", "--matrix", "m.json", "all.ndjson"), ("html",), 1),
        (("value", "--matrix", "m.json", "--sensitivity", "one.json"),
         ("text", "json", "html", "svg"), 0),
        (("describe", "one.json"), ("text", "json", "ndjson"), 0),
        (("describe", "--spelling", "american", "all.ndjson"), ("text", "ndjson"), 1),
        (("describe", "--template", "form.txt", "one.json"), ("text", "json"), 0),
        (("describe", "--template", "form.txt", "all.ndjson"), ("text", "ndjson"), 1),
        (("describe", "--template", "own.txt", "one.json"), ("text", "json"), None),
        (("describe", "--template", "names.txt", "one.json"), ("text", "json"), 2),
        (("offer", "--invented-prices", "--matrix", "m.json", "one.json"),
         ("text", "json", "ndjson", "csv"), 0),
        (("offer", "--invented-prices", "--matrix", "m.json", "--tax", "10%", "all.ndjson"),
         ("text", "ndjson", "csv"), 1),
        (("offer", "--matrix", "m.json", "one.json"), ("text", "csv"), 2),
        (("recut", "--simulate", "100", "--matrix", "m.json", "one.json"), ("text", "json"), 0),
        (("recut", "--simulate", "100", "--matrix", "m.json", "--plan", "plan.json", "one.json"),
         ("text", "json", "svg"), 0),
        (("recut", "--plan", "no-plan.json", "one.json"), ("text", "json"), 1),
        (("recut", "--plan", "currency.json", "one.json"), ("text", "json"), 1),
        (("recut", "--matrix", "m.json", "refused.json"), ("text", "json"), 1),
        (("compare", "m.json", "other.json", "one.json"), ("text", "json", "csv", "html"), 0),
        (("compare", "m.json", "other.json", "--reasons", "all.ndjson"),
         ("text", "json", "csv", "html"), 1),
        (("compare", "m.json", "demonstration", "all.ndjson"), ("text", "json", "csv", "html"), 1),
        (("matrix", "show", "--matrix", "m.json"), ("text", "csv", "html"), 0),
        (("matrix", "show", "--matrix", "no-matrix.json"), ("text", "csv", "html"), 2),
        (("matrix", "list"), ("text", "json"), 0),
    )

    def commands(self, name, text):
        stones = [self.stone, self.sound(text), *self.spoiled(text)]
        self.write("one.json", self.sound(text))
        self.write("refused.json", stones[2])
        self.write("all.ndjson", "".join(json.dumps(s, ensure_ascii=False) + "\n" for s in stones))
        market, other = self.market(text), self.market(text)
        other["name"] = text + "B"
        other["grids"][0]["per_carat"] = [[[1, 9]] * 4] * 4
        for factor in other["factors"]:
            factor["values"] = {text: {text: {text: 0.7}} if factor["kind"] == "fault" else 0.7}
        self.write("m.json", market)
        self.write("other.json", other)
        self.write("no-matrix.json", {**market, text: 1, "grids": [{**market["grids"][0], "name": text,
                                                                   "type": [text], text: text}]})
        plan = self.alternatives(text)
        self.write("plan.json", plan)
        self.write("no-plan.json", {**plan, text: text, "alternatives": [
            {"name": text, text: 1, "outcomes": [{"changes": {"type": text, text: text}}]}]})
        self.write("currency.json", {**plan, "currency": text})
        all_fields = "{id}|{title}|{name}|{outline:>20}|{description}|{disclosures}|{care}|{notes:.7}"
        self.write("form.txt", "\ufeff" + all_fields + "\r\n\t.\n")
        self.write("own.txt", all_fields + text.replace("{", "{{").replace("}", "}}"))
        self.write("names.txt", "{" + text.strip("{}") + "?} {title:" + text + "}")
        data = self.folder / "data"
        (data / "trayworth/matrices").mkdir(parents=True)
        if "\0" not in text:
            for file in (text + ".json", "demonstration.json"):
                (data / "trayworth/matrices" / file.replace("/", "|")).write_text("{}")
        around = {**os.environ, "XDG_DATA_HOME": str(data)}
        for arguments, forms, status in self.COMMANDS:
            for form in forms:
                allowed = "\r\n" if form == "csv" else "\t\r\n" if "--template" in arguments else "\n"
                done = self.run(*arguments, "--format", form, status=status, allowed=allowed,
                                environment=around)
                self.answered(f"{name}: {arguments}", form, done)
        for shell in ("bash", "zsh", "fish"):
            self.run("completion", shell, "--", "value", "--matrix", "", environment=around)
            self.run("completion", shell, "--", "value", "--matrix", "m.json", "--level", "")

    def kept(self, name, text):
        """Records that are made and changed hold what was given, and nothing of it acts."""
        self.write("one.json", self.sound(text))
        self.write("all.json", {"tray": {"x-" + text: text}, "stones": [self.sound(text)] * 2})
        whole = [f"--set=/{field}={json.dumps(value)}" for field, value in self.sound(text).items()
                 if not field.startswith("x-")]
        made = self.run("record", "new", "--ask-nothing", *whole, status=0)
        expected = {k: v for k, v in self.sound(text).items() if not k.startswith("x-")}
        self.expect(json.loads(made.stdout) == expected, f"{name}: record new writes another record")
        changed = {**self.sound(text), "notes": text + "!"}
        notes = "--set=/notes=" + json.dumps(text + "!")
        for file in ("-", "one.json"):
            done = self.run("record", "edit", file, notes, "--output", "-", status=0,
                            stdin=(self.folder / "one.json").read_bytes())
            self.expect(json.loads(done.stdout) == changed, f"{name}: record edit {file}")
        self.run("record", "edit", "all.json", "--set=/stones/1/notes=" + json.dumps(text), status=0)
        if "\0" in text:
            return
        self.run("record", "edit", "one.json", "--unset=/x-" + text.replace("~", "~0")
                 .replace("/", "~1"), status=0)
        del changed["x-" + text]
        changed["notes"] = text
        self.expect(json.loads((self.folder / "one.json").read_bytes()) == changed,
                    f"{name}: record edit --unset")
        before = (self.folder / "one.json").read_bytes()
        for change in (f"--set=/{text}=1", f"--set={text}=1", f"--set=/type={text}", f"--set={text}",
                       f"--set=/cost/amount={text}", f"--unset=/{text}", f"--unset={text}",
                       f"--set=/faults/{text}/kind=a", f"--set=/treatments/-={{{text}"):
            for form in ("text", "json"):
                done = self.run("record", "edit", "one.json", change, "--errors-as", form)
                self.run("record", "new", "--ask-nothing", change, "--errors-as", form)
                self.expect(done.returncode == 0
                            or (self.folder / "one.json").read_bytes() == before,
                            f"{name}: refused, {change} is made all the same")
            (self.folder / "one.json").write_bytes(before)

    def tables(self, name, text):
        """To a spreadsheet and back: the same matrix, and nothing that runs or acts."""
        self.write("m.json", self.market(text))
        exported = self.run("matrix", "export", "tables", "--matrix", "m.json",
                            status=2 if "\0" in text else 0)
        if exported.returncode != 0:
            return
        for file in sorted((self.folder / "tables").glob("*.csv")):
            self.cells(f"{name}: {file.name}", file.read_bytes().decode())
        done = self.run("matrix", "import", "tables", allowed="\t\n", status=0)
        self.expect(json.loads(done.stdout) == self.market(text), f"{name}: another matrix comes back")
        (self.folder / "tables" / (text.replace("/", "|") + ".csv")).write_text(text)
        self.run("matrix", "import", "tables", allowed="\t\n", status=0)
        for file in sorted((self.folder / "tables").glob("[fg]*-*[13]-*.csv")):
            whole = file.read_bytes()
            rows = list(csv.reader(io.StringIO(whole.decode(), newline="")))
            for at in {(0, 0), (0, 1), (1, 0), (1, 1), (1, len(rows[1]) - 1)}:
                spoiled = [list(row) for row in rows]
                spoiled[at[0]][at[1]] = text
                with file.open("w", newline="") as out:
                    csv.writer(out).writerows(spoiled)
                self.run("matrix", "import", "tables", allowed="\t\n")
            for raw in (text.encode(), whole + text.encode(), b'"' + text.encode()):
                file.write_bytes(raw)
                self.run("matrix", "import", "tables", allowed="\t\n")
            file.write_bytes(whole)
        head = self.folder / "tables" / "matrix.json"
        named = without_comments(head.read_text())
        for changes in ({"market_levels": text}, {text: text}, {"market_levels": "/" + text + ".csv"}):
            head.write_text(json.dumps({**named, **changes}, ensure_ascii=False))
            self.run("matrix", "import", "tables", allowed="\t\n")

    def records(self, name, text):
        matrix = self.folder / "matrix.json"
        matrix.write_text("// " + text.replace("\n", " ").replace("\r", " ").replace("\0", " ")
                          + "\n" + json.dumps(self.market(text), ensure_ascii=False))
        stones = [self.sound(text)] + list(self.spoiled(text))
        lines = "".join(json.dumps(s, ensure_ascii=False) + "\n" for s in stones).encode()
        tray = json.dumps({"tray": {"x-" + text: text}, "stones": stones[:2]}).encode()
        first = lines[:lines.index(b"\n")]
        using = ("--matrix", "matrix.json")
        for extra in ((), ("--reasons",), ("--total",), ("--sort", "id")):
            self.run("value", *using, *extra, "-", stdin=lines, status=1)
            self.run("value", *using, *extra, "-", stdin=tray, status=1)
        self.run("value", *using, stdin=first, status=0)
        for command in ("weigh", "check"):
            self.run(command, stdin=lines, status=1)
            self.run(command, stdin=first, status=0)
        for arguments in (("value", *using), ("value", *using, "--brief"), ("weigh",), ("check",)):
            for form in ("json", "ndjson"):
                done = self.run(*arguments, "--format", form, stdin=lines, status=1)
                answers = [json.loads(line) for line in done.stdout.splitlines()]
                self.expect(len(answers) == len(stones)
                            and all(answer["id"] == text for answer in answers),
                            f"{name}: {arguments} {form}: the id does not come back")
                if arguments[0] == "value" and "--brief" not in arguments:
                    self.expect(answers[0].get("x-" + text) == {text: [text]},
                                f"{name}: a field of one's own does not come back")
        self.run("check", "--errors", "faults.ndjson", stdin=lines)
        faults = (self.folder / "faults.ndjson").read_bytes()
        self.expect(forbidden(faults) is None, f"{name}: --errors: {forbidden(faults)}")
        for line in faults.splitlines():
            json.loads(line)
        done = self.run("value", *using, "--format", "csv", "-", stdin=lines, allowed="\r\n", status=1)
        self.answered(name, "csv", done)
        self.numbers(name, done.stdout.decode())
        shown = self.run("matrix", "show", "--format", "json", *using, allowed="\t\n", status=0)
        self.expect(without_comments(shown.stdout.decode()) == self.market(text),
                    f"{name}: matrix show prints another matrix")
        for form in ("text", "json", "ndjson"):
            self.run("check", "--format", form, "matrix.json", status=0)
        matrix.write_text(json.dumps({**self.market(text), text: 1, "format": text,
                                      "currency": text, "as_of": text}, ensure_ascii=False))
        self.run("value", *using, stdin=first, status=2)
        # Not escaped at all, where that is no JSON any more.
        raw = json.dumps({**self.stone, "id": "?"}).replace("?", text).encode()
        for form in ("text", "json", "csv"):
            self.run("value", "--format", form, "-", stdin=raw + b"\n" + raw, allowed="\r\n")
        self.run("matrix", "show", "--format", "json", "--matrix", "-", allowed="\t\n",
                 stdin=b'{"name": "' + text.encode() + b'"}')

    def cells(self, name, text):
        """The rows of a CSV, none of whose fields a spreadsheet takes for a formula."""
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        fields = [field for row in rows for field in row]
        fields += [field for line in text.split("\r\n") for field in line.split(";")]
        wrong = [field for field in fields if field.strip(" \"\xa0").startswith(OPENINGS)
                 and not re.fullmatch(r"-\d+(\.\d+)?", field)]
        self.expect(not wrong, f"{name}: formulas in {wrong[:3]}")
        self.expect(len({len(row) for row in rows}) <= 1, f"{name}: rows of other lengths")

    def numbers(self, name, text):
        rows = list(csv.reader(io.StringIO(text, newline="")))
        valued = dict(zip(rows[0], rows[1]))
        self.expect(all(re.fullmatch(r"\d+(\.\d+)?", valued[column]) for column in
                        ("weight_ct", "low", "likely", "high", "outer_low", "outer_high")),
                    f"{name}: a number that is none: {valued}")

    def arguments(self, name, text):
        if "\0" in text:
            return
        stone = str(self.root / "examples/first-stone.json")
        for arguments in ((text,), ("value", text), ("value", "--" + text), ("value", stone, text),
                          ("value", "--matrix", text, stone), ("value", "--level", text, stone),
                          ("value", "--format", text, stone), ("value", "--only", text, stone),
                          ("value", "--only", "fault=" + text, stone),
                          ("value", "--only", "likely>=" + text, stone),
                          ("value", "--sort", text, stone), ("value", "--jobs", text, stone),
                          ("value", "--simulate", text, stone), ("value", "--seed", text, stone),
                          ("value", "--output", "/nowhere/" + text, stone),
                          ("value", "--errors", "/nowhere/" + text, stone),
                          ("describe", "--template", text, stone), ("describe", "--spelling", text, stone),
                          ("offer", "--tax", text, stone), ("offer", "--matrix", text, stone),
                          ("offer", "--invented-prices", "--format", "csv", "--columns", text, stone),
                          ("offer", "--invented-prices", "--level", text, stone),
                          ("recut", "--plan", text, stone), ("recut", "--level", text, stone),
                          ("recut", "--aversion", text, stone), ("compare", text, text, stone),
                          ("compare", "demonstration", "demonstration", "--level", text, stone),
                          ("record", "new", "--set", text), ("record", "edit", text, "--unset=/id"),
                          ("matrix", "export", "/dev/null/" + text), ("matrix", "import", text),
                          ("matrix", "export", "sub", "--matrix", text),
                          ("value", "--in", text, "--rate", text, "--rate-date", text, stone),
                          ("weigh", "--outline", text, "--size", "5x4x3", "--density", "2.1"),
                          ("weigh", "--outline", "oval", "--size", text, "--density", "2.1"),
                          ("weigh", "--outline", "oval", "--size", "5x4x3", "--density", text),
                          ("weigh", "--outline", "oval", "--size", "5x4x3", "--dome", text),
                          ("weigh", "--outline", "oval", "--size", "5x4x3", "--back", text),
                          ("schema", text), ("matrix", text), ("matrix", "show", "--matrix", text)):
            self.run(*arguments)
        self.run("weigh", "--format", "json", "--outline", text, "--size", "5x4x3")

    def file_names(self, name, text):
        if "\0" in text:
            return
        here = self.folder / ("named " + text.replace("/", "|"))
        here.mkdir()
        file = str(here / text.replace("/", "|"))
        pathlib.Path(file).write_text('{"id": 1}')
        for form in ("text", "json", "ndjson", "csv"):
            allowed = "\r\n" if form == "csv" else "\n"
            self.run("value", "--format", form, file, allowed=allowed, status=1)
        for command in ("weigh", "check"):
            self.run(command, file, status=1)
        self.run("value", "--matrix", file, file, status=2)
        self.run("check", file + ".missing", status=2)
        self.run("check", str(here), status=2)
        self.run("check", "--output", str(here), file, status=2)
        self.run("check", "--output", file, file, status=2)

    def not_utf8(self):
        for raw in BYTES:
            for text in (b'{"id": "' + raw + b'"}', b'{"' + raw + b'": 1}', raw, b"[" + raw + b"]",
                         b'{"id": "a"}\n' + raw + b"\n", b'{"x-a": "' + raw + b'"}',
                         b'{"tray": {"id": "' + raw + b'"}, "stones": [{}]}'):
                for command in ("value", "weigh", "check"):
                    for form in ("text", "json", "ndjson"):
                        done = self.run(command, "--format", form, "-", stdin=text)
                        self.expect(done.returncode in (1, 2), f"{text} is accepted")
            for text in (b'{"name": "' + raw + b'"}', b"// " + raw + b"\n{}", raw):
                self.run("value", "--matrix", "-", str(self.root / "examples/first-stone.json"),
                         stdin=text, status=2)
                self.run("matrix", "show", "--matrix", "-", stdin=text)
            name = self.folder.as_posix().encode() + b"/" + raw
            done = subprocess.run([self.binary, b"check", b"--format", b"json", name + b"?"],
                                  capture_output=True, timeout=120)
            self.expect(done.returncode == 2 and forbidden(done.stderr) is None,
                        f"a file named {raw}: {done.stderr}")
            pathlib.Path(os.fsdecode(name)).write_text('{"id": 1}')
            done = subprocess.run([self.binary, b"check", b"--format", b"json", name],
                                  capture_output=True, timeout=120)
            self.expect(forbidden(done.stdout) is None and json.loads(done.stdout),
                        f"a file named {raw}: {done.stdout}")

    def terminal(self):
        """The colours are the program's own; nothing else is added."""
        stones = [self.sound(text) for text in TEXTS.values()]
        stones += [stone for text in TEXTS.values() for stone in self.spoiled(text)]
        path = self.folder / "all.ndjson"
        path.write_text("".join(json.dumps(stone) + "\n" for stone in stones))
        text = "".join(TEXTS.values())
        self.write("one.json", self.sound(text))
        self.write("m.json", self.market(text))
        self.write("other.json", {**self.market(text), "coverage": 0.7})
        self.write("plan.json", self.alternatives(text))
        self.write("form.txt", "{id} {title} {name} {outline} {description} {disclosures} {care} {notes}")
        with_all = (("value", "--reasons"), ("weigh",), ("check",), ("value", "--sort", "id"),
                    ("describe",), ("describe", "--template", "form.txt"), ("offer", "--invented-prices"),
                    ("compare", "--reasons", "m.json", "other.json"))
        for arguments in (*((*each, "all.ndjson") for each in with_all),
                          ("matrix", "show", "--matrix", "m.json"),
                          ("value", "--sensitivity", "--matrix", "m.json", "one.json"),
                          ("recut", "--simulate", "100", "--matrix", "m.json", "--plan", "plan.json",
                           "one.json")):
            master, slave = pty.openpty()
            process = subprocess.Popen([self.binary, *arguments], stdout=slave, stderr=slave,
                                       stdin=subprocess.DEVNULL, cwd=self.folder)
            os.close(slave)
            written = b""
            while True:
                try:
                    part = os.read(master, 65536)
                except OSError:  # the other end is closed
                    break
                written += part
            os.close(master)
            process.wait(timeout=120)
            plain = re.sub(rb"\x1b\[[0-9;]*m", b"", written.replace(b"\r\n", b"\n"))
            plain = plain.replace(b"\r\x1b[K", b"")  # progress
            found = forbidden(plain)
            self.expect(found is None and len(written) > 200, f"{arguments} on a terminal: {found}, "
                        f"{len(written)} bytes")


def main(root, binary):
    def tried(name):
        with tempfile.TemporaryDirectory() as folder:
            tests = Tests(pathlib.Path(root).resolve(), str(pathlib.Path(binary).resolve()),
                          pathlib.Path(folder).resolve())
            parts = [name] if name not in TEXTS else ["records", "arguments", "file_names"]
            for part in [*parts, *(["commands", "kept", "tables"] if name in KINDS else [])]:
                getattr(tests, part)(*([name, TEXTS[name]] if name in TEXTS else []))
        return tests

    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        done = list(pool.map(tried, ["not_utf8", "terminal", *TEXTS]))
    checks = sum(tests.checks for tests in done)
    failures = [failure for tests in done for failure in tests.failures]
    print("\n".join(failures[:40]))
    print(f"{checks} checks, {len(failures)} failed")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
