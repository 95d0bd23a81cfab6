#!/usr/bin/python3
"""Inputs of every kind, far too large: refused in their place, in memory that is bounded, and the
records around them answered.

Usage: hostile_size.py ROOT BINARY [--times]

Each input is made as it is read, on a pipe. What decides is a limit on the memory of the process, the
same for an input and one of twice its size, and what is said. --times prints how long each took, and
tries more (for tests/bench: no test depends on it).
"""

import itertools
import json
import os
import pathlib
import re
import resource
import subprocess
import sys
import tempfile
import threading
import time

MB = 1 << 20
CHUNK = 256 * 1024
VALUE = ("value", "--format", "ndjson", "--quiet", "--jobs", "1", "-")


def repeated(size, pattern):
    """So many bytes of a pattern, whole ones. "#" in it is a running number."""
    pattern = pattern.encode(errors="surrogateescape")
    if b"#" in pattern:
        written = 0
        for number in itertools.count(0, 1000):
            pieces = [pattern.replace(b"#", b"%d" % n) for n in range(number, number + 1000)]
            if written + sum(map(len, pieces)) > size:
                longest = max(map(len, pieces))
                yield b"".join(pieces[:max(0, size - written) // longest])
                return
            written += sum(map(len, pieces))
            yield b"".join(pieces)
    piece = pattern * max(1, CHUNK // len(pattern))
    whole, rest = divmod(size // len(pattern) * len(pattern), len(piece))
    yield from itertools.repeat(piece, whole)
    yield piece[:rest]


class Tests:
    def __init__(self, root, binary, times):
        self.binary, self.times = binary, times
        self.root = root
        self.measured = "sanitize" not in binary  # shadow memory is no memory of the program's
        self.stone = json.dumps(json.loads((root / "examples/first-stone.json").read_text()))
        self.checks, self.failures = 0, []

    def expect(self, holds, what):
        self.checks += 1
        if not holds:
            self.failures.append(what)

    def run(self, pieces, *arguments, most, kept):
        """Exit status, output, errors and seconds, in so many MiB of memory. Of an output, the
        first 16 MiB and the last are kept."""
        def limit():
            if self.measured:
                resource.setrlimit(resource.RLIMIT_AS, (most * MB, most * MB))

        with (tempfile.TemporaryFile() if kept else open(os.devnull, "wb+")) as out, \
                tempfile.TemporaryFile() as err:
            process = subprocess.Popen([self.binary, *arguments], stdin=subprocess.PIPE, stdout=out,
                                       stderr=err, preexec_fn=limit)

            def feed():
                try:
                    for piece in pieces:
                        process.stdin.write(piece)
                    process.stdin.close()
                except BrokenPipeError:
                    pass

            feeder = threading.Thread(target=feed)
            feeder.start()
            _, status, usage = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
            feeder.join()
            try:
                process.stdin.close()
            except BrokenPipeError:
                pass
            texts = []
            for file in (out, err):
                size = file.seek(0, os.SEEK_END)
                file.seek(0)
                texts.append(file.read(16 * MB))
                if size > 16 * MB:
                    file.seek(size - 1 * MB)
                    texts[-1] += file.read()
        return process.returncode, *texts, usage.ru_utime + usage.ru_stime

    def tried(self, name, make, sizes, *arguments, most, judge, kept=True):
        """`make(size)` gives the pieces; `judge(status, output, errors)` what is wrong, if anything."""
        for size in sizes:
            status, output, errors, seconds = self.run(make(size), *arguments, most=most, kept=kept)
            if self.times:
                print(f"{name:44} {size / MB:7.1f} MB in {most:4} MiB {seconds:8.2f} s", flush=True)
            wrong = judge(status, output, errors)
            self.expect(not wrong, f"{name}, {size / MB:g} MB in {most} MiB: {wrong}; exit status "
                        f"{status}, {output[:200]!r} {errors[-300:]!r}")

    @staticmethod
    def without_comments(path):
        return json.loads(re.sub(r'("(?:[^"\\]|\\.)*")|//[^\n]*', lambda m: m.group(1) or "",
                                 path.read_text()))

    # ---- what is to be said

    def between(self, code):
        """A sound record, one that is refused, and a sound one."""
        def judge(status, output, errors):
            answers = [json.loads(line) for line in output.splitlines()]
            codes = [a["error"]["code"] if "error" in a else "sound" for a in answers]
            return None if codes == ["sound", code, "sound"] and status == 1 else f"{codes[:5]}"
        return judge

    @staticmethod
    def refused(code):
        """One record, refused."""
        def judge(status, output, errors):
            answers = [json.loads(line) for line in output.splitlines()]
            codes = [a["error"]["code"] if "error" in a else "sound" for a in answers]
            return None if codes == [code] and status == 1 else f"{codes[:5]}"
        return judge

    @staticmethod
    def nothing_done(says):
        def judge(status, output, errors):
            return None if status == 2 and says in errors.decode() else "it is not refused"
        return judge

    # ---- the inputs

    def record_in(self, shape, begin, pattern, end):
        """A record of three parts, the middle repeated, alone or among sound ones."""
        sound = self.stone.encode()
        lead, tail = {"alone": (b"", b""),
                      "lines": (sound + b"\n", b"\n" + sound + b"\n"),
                      "array": (b"[" + sound + b",", b"," + sound + b"]"),
                      "tray": (b'{"tray":{},"stones":[' + sound + b",", b"," + sound + b"]}")}[shape]
        return lambda size: itertools.chain([lead + begin.encode()], repeated(size, pattern),
                                            [end.encode() + tail])

    def large_records(self):
        records = {
            "a text": ('{"id":"', "x", '"}'),
            "a name": ('{"', "x", '":1}'),
            "a text of escapes": ('{"id":"', '\\"', '"}'),
            "a number": ('{"weight_ct":1', "0", "}"),
            "decimals": ('{"weight_ct":1.', "3", "}"),
            "colours": ('{"play_of_colour":{"colours":[', '{"colour":"red","share":0.1},', "{}]}}"),
            "faults": ('{"faults":[', '{"kind":"crack","place":"face","severity":"minor"},', "{}]}"),
            "treatments": ('{"treatments":[', '"oil",', '"oil"]}'),
            "names": ("{", '"a#":1,', '"b":1}'),
            "one name again and again": ("{", '"id":"a",', '"b":1}'),
            "depth": ('{"x-a":', "[", "}"),
            "depth of objects": ('{"x-a":', '{"a":', "}"),
            "blanks": ('{"id":', " ", '"a"}'),
            "bytes that are no text": ('{"id":"', "\udcff", '"}'),
            "NUL bytes": ('{"id":"', "\0", '"}'),
            "slips": ('{"a":', "1 2 ,, ' tru }", "}"),
        }
        for shape in ("alone", "lines", "array", "tray"):
            for name, parts in records.items():
                if name in ("depth", "depth of objects", "slips") and shape != "lines":
                    continue  # brackets that do not match swallow what follows them
                self.tried(f"{name}, {shape}", self.record_in(shape, *parts), (7 * MB, 14 * MB),
                           *VALUE, most=15, judge=self.refused("record-size")
                           if shape == "alone" else self.between("record-size"))

    # Each begins in the middle of a record, and says what is among its errors.
    FULL = {
        "a text": ('"id":"', "x", '"', "text-size"),
        "a name": ('"', "x", '":1', "text-size"),
        "a text of escapes": ('"id":"', '\\"', '"', "text-size"),
        "a text in a field of one's own": ('"x-a":"', "x", '"', "sound"),
        "a number": ('"cost":{"currency":"AUD","amount":1', "0", "}", "number-size"),
        "digits after the point": ('"density":2.1', "0", "", "sound"),
        "an exponent": ('"density":1e', "9", "", "number-size"),
        "a negative exponent": ('"density":1e-', "9", "", "value-range"),
        "colours": ('"play_of_colour":{"pattern":"flash","colours":[',
                    '{"colour":"red","share":0.1},', '{"colour":"red","share":0.1}]}', "list-size"),
        "ends of a range": ('"density":[', "2,", "2]", "value-type"),
        "ranges in a range": ('"density":[', "[2,2],", "2]", "errors-too-many"),
        "treatments": ('"treatments":[', '"oil",', '"oil"]', "list-size"),
        "treatments that are none": ('"treatments":[', "0,", '"oil"]', "errors-too-many"),
        "faults": ('"faults":[', '{"kind":"crack","place":"face","severity":"minor"},',
                   '{"kind":"sand","place":"back","severity":"minor"}]', "list-size"),
        "faults without anything": ('"faults":[', "{},", "{}]", "errors-too-many"),
        "unknown names": ("", '"a#":1,', '"b":1', "errors-too-many"),
        "names of one's own": ("", '"x-#":1,', '"x-b":1', "list-size"),
        "a name again and again": ("", '"mounted":false,', '"mounted":true', "errors-too-many"),
        "names again, deep": ('"x-a":{"b":{', '"id":"a",', '"b":1}}', "json-key-repeated"),
        "many names again, deep": ('"x-a":[', '{"#":1,"#":2},', "0]", "json-key-repeated"),
        "many names, deep": ('"x-a":{', '"#":1,', '"b":1}', "sound"),
        "many values, deep": ('"x-a":[', "0,", "1]", "sound"),
        "long names, deep": ('"x-a":{' + ('"' + "n" * 190 + '":{') * 60, '"#":1,',
                             '"b":1}' + "}" * 60, "sound"),
        "long names, deep, and an error": ('"mounted":1,"x-a":{' + ('"' + "n" * 190 + '":{') * 60,
                                           '"#":1,', '"b":1}' + "}" * 60, "value-type"),
        "depth": ('"x-a":', "[", "", "json-too-deep"),
        "depth of objects": ('"x-a":', '{"a":', "", "json-too-deep"),
        "depth where a text belongs": ('"id":', "[", "", "json-too-deep"),
        "blanks": ('"mounted":', " ", "false", "sound"),
        "bytes that are no text": ('"id":"', "\udcff", '"', "json-encoding"),
        "NUL bytes": ('"id":"', "\0", '"', "json-encoding"),
        "halves of pairs": ('"id":"', "\\ud800", '"', "json-encoding"),
        "control characters": ('"id":"', "\x01", '"', "json-syntax"),
        "slips": ('"a":[', "1 2 ,, tru ' , ", "]", "json-syntax"),
        "decimal commas": ('"a":[', "1,5,", "5]", "field-unknown"),
        "commas": ('"a":[', ",", "]", "json-syntax"),
        "comments": ("", "/* a ", '"a":1', "json-syntax"),
        "single quotes": ("", "'a':'b' ", '"a":1', "json-syntax"),
        "minus signs": ('"density":', "-", "", "json-syntax"),
        "plus signs": ('"density":[', "+1,", "1]", "json-syntax"),
        "an unknown word": ('"type":"', "a", '"', "text-size"),
    }

    def full_records(self):
        """As large as a record may be, or nearly: one, and with --times as many as make 8 MB."""
        for name, (begin, pattern, end, code) in self.FULL.items():
            stated = json.loads(self.stone)
            for key in list(stated):
                if f'"{key}":' in begin + pattern:
                    del stated[key]
            start = json.dumps(stated)[:-1] + "," + begin
            room = MB - len(start) - len(end) - 2
            record = start.encode() + b"".join(repeated(room, pattern)) + end.encode() + b"}\n"

            def judge(status, output, errors, code=code):
                codes = [[e["code"] for e in answer["errors"]] if "error" in answer else ["sound"]
                         for answer in map(json.loads, output.splitlines())]
                return None if codes and code in codes[0] and len(codes[0]) <= 101 and \
                    all(each == codes[0] for each in codes) else f"{codes[:1]}, and not {code}"

            closed = not (code == "json-too-deep" and pattern == "[")  # else the next is swallowed
            for count in (1, 8) if self.times and closed else (1,):
                self.tried(f"full of: {name}", lambda size, r=record, c=count: [r] * c, (count * MB,),
                           *VALUE, most=96, judge=judge)

    @staticmethod
    def counted(what):
        """The summary on standard error ends so; "#" in it is a number above a thousand."""
        pattern = re.compile(re.escape(what).replace(r"\#", r"\d{4,}") + r"\n\Z")

        def judge(status, output, errors):
            return None if status == 1 and pattern.search(errors.decode()) else f"no: {what}"
        return judge

    def streams(self):
        """Much of something small, or of nothing."""
        value = VALUE[:3] + VALUE[4:]  # not quiet
        sound = self.stone.encode()
        sizes = (MB, 2 * MB) if self.times else (MB // 16, MB // 8)
        for name, begin, pattern, end, said in (
                ("lines that are no record", b"", "x\n", b"\n", "0 valued, # refused, 0 with warnings"),
                ("lines cut short", b"", '{"id": "#", \n', b"", "0 valued, # refused, 0 with warnings"),
                ("lines of brackets", b"", "}\n", b"", "0 valued, # refused, 0 with warnings"),
                ("commas in an array", b"[", ",", b"]", "0 valued, # refused, 0 with warnings"),
                ("numbers in an array", b"[", "1,", b"1]", "0 valued, # refused, 0 with warnings"),
                ("records without commas", b"[", "{}", b"]", "0 valued, # refused, 0 with warnings"),
                ("empty records in a tray", b'{"tray":{},"stones":[', "{},", b"{}]}",
                 "0 valued, # refused, 0 with warnings")):
            for jobs in ("1", "3"):
                self.tried(f"{name}, {jobs} threads", lambda size, p=pattern, b=begin, e=end:
                           itertools.chain([b], repeated(size, p), [e]), sizes, *value[:3],
                           "--jobs", jobs, "-", most=24 if jobs == "1" else 400, kept=False,
                           judge=self.counted(said))
        for name, begin, pattern, end in (
                ("empty lines", sound + b"\n", "\n", b"{}\n"),
                ("lines of blanks", sound + b"\n", " \t\r\n", b"{}\n"),
                ("a line of blanks", sound + b"\n", " ", b"\n{}\n"),
                ("blanks in an array", b"[" + sound, " ", b",{}]"),
                ("blanks after a comma", b"[" + sound + b",", "\n", b"{}]"),
                ("blanks in front", b"", " ", b"[" + sound + b",{}]"),
                ("blanks in front of an object", b"", "\n", sound + b"\n{}\n"),
                ("blanks at the end of an array", b"[" + sound + b",{}]", "\n", b""),
                ("blanks in an empty array", b"[" + sound + b",{}", " ", b"]")):
            self.tried(name, lambda size, p=pattern, b=begin, e=end: itertools.chain(
                [b], repeated(size, p), [e]), (8 * MB, 16 * MB), *value, most=24, kept=False,
                judge=lambda status, output, errors: None if errors ==
                b"1 valued, 1 refused, 0 with warnings\n" and status == 1 else "otherwise")
        self.tried("a line of a gigabyte", lambda size: itertools.chain(
            [sound + b"\n"], repeated(size, "x"), [b"\n" + sound + b"\n"]), (1024 * MB,), *VALUE,
            most=24, judge=self.between("record-size"))
        self.tried("a table of long names", lambda size: itertools.chain(
            [b"["], repeated(size, self.stone.replace("F-001", "#" + "n" * 4000) + ","), [sound, b"]"]),
            (48 * MB, 96 * MB) if self.times else (48 * MB,), "value", "--jobs", "1", "-", most=28,
            kept=False, judge=lambda status, output, errors: None if status == 0 else "refused")

    def trays(self):
        for name, begin, pattern, end, says in (
                ("defaults that are too large", '{"tray":{"notes":"', "x", '"},"stones":[]}', None),
                ("a tail that is too large", '{"tray":{},"stones":[],"x-a":"', "x", '"}', None),
                ("stones before the tray", '{"stones":[', "{},", '{}],"tray":{}}',
                 "holds at most 67,108,864 bytes"),
                ("a tail that is known too early", '{"stones":[],"tray":{"notes":"', "x", '"}}',
                 "what follows the stones of the tray is larger")):
            first = 66 if pattern == "{}," else 8
            self.tried(name, lambda size, p=pattern, b=begin, e=end: itertools.chain(
                [b.encode()], repeated(size, p), [e.encode()]), (first * MB, 2 * first * MB), *VALUE,
                most=240 if says else 24,
                judge=self.nothing_done(says) if says else self.refused("record-size"))
        # What is kept is kept once, and not for long.
        self.tried("stones before the tray, as many as there may be", lambda size: itertools.chain(
            [b'{"stones":['], repeated(size, '{"id":"#","x-a":"' + "x" * 900 + '"},'),
            [b'{}],"tray":{"type":"solid","weight_ct":1}}']), (60 * MB,), "weigh", "--jobs", "1",
            "--format", "ndjson", "-", most=240, kept=False,
            judge=lambda status, output, errors: None if status == 0 else "refused")

    # As for records: each begins in the middle of a matrix.
    MATRICES = {
        "a text": ('"provenance":"', "x", '"', "text-size"),
        "a name": ('"', "x", '":1', "text-size"),
        "a text of one's own": ('"x-a":"', "x", '"', "sound"),
        "a number": ('"coverage":0.8', "0", "", "sound"),
        "a large number": ('"coverage":8', "0", "", "number-size"),
        "unknown names": ("", '"a#":1,', '"b":1', "list-size"),
        "a name again and again": ("", '"name":"a",', '"name":"b"', "list-size"),
        "names again": ("", '"x-#":1,"x-#":2,', '"b":1', "list-size"),
        "names again, in many objects": ('"x-a":[', '{"#":1,"#":2},', "{}]", "json-key-repeated"),
        "names of one's own": ("", '"x-#":1,', '"x-b":1', "list-size"),
        "objects of one's own": ('"x-a":[', '{"#":1},', "{}]", "sound"),
        "depth": ('"x-a":', "[", "", "json-too-deep"),
        "depth of objects": ('"x-a":', '{"a":', "", "json-too-deep"),
        "long names, deep": ('"x-a":{' + ('"' + "n" * 190 + '":{') * 60, '"#":1,',
                             '"b":1}' + "}" * 60, "list-size"),
        "grids": ('"grids":[', "{},", "{}]", "list-size"),
        "factors": ('"factors":[', "{},", "{}]", "list-size"),
        "factors that are none": ('"factors":[', "0,", "0]", "list-size"),
        "market levels": ('"market_level":"trade","market_levels":{"trade":1', ',"l#":2', "}", "list-size"),
        "market levels that are none": ('"market_levels":{"trade":1', ',"l#":"x"', "}", "list-size"),
        "steps of rounding": ('"rounding":[', '{"from":0,"to_nearest":1},',
                              '{"from":9,"to_nearest":9}]', "range-reversed"),
        "empty arrays": ('"x-a":[', "[],", "[]]", "sound"),
        "blanks": ('"x-a":', " ", "1", "sound"),
        "comments": ('"x-a":', "/* a */", "1", "sound"),
        "comments that are not closed": ("", "/* a ", '"x-a":1', "json-syntax"),
        "lines of comment": ('"x-a":', "// a\n", "1", "sound"),
        "bytes that are no text": ('"x-a":"', "\udcff", '"', "json-encoding"),
        "NUL bytes": ('"x-a":"', "\0", '"', "json-encoding"),
        "slips": ('"x-a":[', "1 2 ,, tru ' , ", "]", "json-syntax"),
    }

    def matrices(self):
        shown = json.dumps(self.without_comments(self.root / "examples/own-matrix.json"))
        check = ("check", "--format", "ndjson", "-")
        for name, (begin, pattern, end, code) in self.MATRICES.items():
            stated = json.loads(shown)
            for key in list(stated):
                if f'"{key}":' in begin:
                    del stated[key]
            start = json.dumps(stated)[:-1] + "," + begin

            def judge(status, output, errors, code=code):
                answer = json.loads(output)
                codes = [error["code"] for error in answer.get("errors", [{"code": "sound"}])]
                return None if code in codes and len(codes) <= 202 else f"{codes[:3]}, and not {code}"

            self.tried(f"matrix: {name}", lambda size, p=pattern, s=start, e=end: itertools.chain(
                [s.encode()], repeated(size - len(s) - len(e) - 1, p), [e.encode() + b"}"]),
                (2 * MB, 4 * MB) if self.times else (MB,), *check, most=100 * max(1, 4 * self.times), judge=judge)
        marked = json.dumps(json.loads(shown))[:-1].encode() + b',"x-a":"'
        large = lambda size: itertools.chain([marked], repeated(size, "x"), [b'"}'])
        self.tried("a matrix of a gigabyte, checked", large, (512 * MB, 1024 * MB), *check, most=48,
                   judge=self.refused("record-size"))
        for arguments in (("value", "--matrix", "-", str(self.root / "examples/first-stone.json")),
                          ("matrix", "show", "--matrix", "-")):
            self.tried(f"a matrix of a gigabyte, {arguments[0]}", large, (512 * MB, 1024 * MB),
                       *arguments, most=48, judge=self.nothing_done("larger than 4,194,304 bytes"))

    # A template of one piece again and again, and what it is refused for, if at all. The notes of
    # the stone are as long as they may be.
    TEMPLATES = {
        "words": ("{title} x", None), "braces": ("{{", None), "lines": ("\r\n", None),
        "placeholders": ("{notes}", "more than 100 placeholders"),
        "wide placeholders": ("{notes:999}", "more than 100 placeholders"),
        "unknown placeholders": ("{a}", "There are more than 50 errors"),
        "open braces": ("{", None),
        "closed braces": ("} ", "There are more than 50 errors"),
        "a long name": ("a", "There is no placeholder"),
        "escapes": ("\x1b[2J", "There are more than 50 errors"),
        "bytes that are no text": ("\udcff", "There are more than 50 errors"),
    }

    def templates(self):
        record = {**json.loads(self.stone), "notes": "n" * 10_000}
        with tempfile.NamedTemporaryFile("w", suffix=".json") as stone:
            json.dump(record, stone)
            stone.flush()
            for name, (pattern, says) in self.TEMPLATES.items():
                lead, tail = {"words": ("", ""), "a long name": ("{", "}")}.get(name, ("{title}", ""))
                once = pattern.replace("{title}", "") if name == "words" else pattern

                def judge(status, output, errors, says=says):
                    if says is None:
                        return None if status == 0 and output else "it is refused"
                    return None if status == 2 and says in " ".join(errors.decode().split()) \
                        and len(errors) < 2 * MB else f"it is not told: {says}"

                self.tried(f"template: {name}", lambda size, p=once, b=lead, e=tail: itertools.chain(
                    [b.encode() or b"{title}"], repeated(size - 20, p), [e.encode()]),
                    (MB // 2, MB), "describe", "--template", "-", stone.name, most=40, judge=judge)
            self.tried("template: too large", lambda size: repeated(size, "x"), (64 * MB,), "describe",
                       "--template", "-", stone.name, most=24,
                       judge=self.nothing_done("larger than 1,048,576 bytes"))

    def other_commands(self):
        """Answers of every kind to a record that is too large, alone or among others."""
        stone = str(self.root / "examples/first-stone.json")
        long = self.record_in("lines", '{"id":"', "x", '"}')
        for command in (("describe",), ("check",), ("weigh",), ("describe", "--format", "json"),
                        ("offer", "--invented-prices"), ("value", "--format", "csv"),
                        ("value", "--format", "html"),
                        ("compare", "--quiet", "demonstration", "demonstration")):
            self.tried(f"a record too large: {' '.join(command)}", long, (7 * MB, 14 * MB), *command,
                       "-", most=24, judge=lambda status, output, errors: None if status == 1 and
                       b"record-size" in output + errors else "it is not refused")
        self.tried("a record too large: recut", self.record_in("alone", '{"id":"', "x", '"}'),
                   (7 * MB, 14 * MB), "recut", "-", most=24,
                   judge=self.nothing_done("one stone at a time"))
        for name, pattern, says in (("alternatives", '{"name":"#"},', "more than 50 errors"),
                                    ("outcomes", '{"name":"#","outcomes":[{"changes":{}}]},',
                                     "more than 500 alternatives"),
                                    ("numbers", "0,", "more than 50 errors")):
            self.tried(f"plan: {name}", lambda size, p=pattern: itertools.chain(
                [b'{"format":"trayworth/plan/1","name":"a","currency":"AUD","alternatives":['],
                repeated(size - 200, p), [b"{}]}"]), (MB // 2, MB), "recut", "--plan", "-", stone,
                most=120, judge=lambda status, output, errors, s=says: None if status == 1 and
                s in " ".join(errors.decode().split()) and len(errors) < MB else f"no: {s}")
        # Each in as much memory as a few times the whole, which is changed at once.
        for name, pattern, says in (("records that are none", "0,", "more than 50 errors"),
                                    ("unknown fields", '{"a":1},', "more than 50 errors"),
                                    ("texts", '"' + "x" * 900 + '",',
                                     "more than 50 errors")):
            self.tried(f"record edit: {name}", lambda size, p=pattern: itertools.chain(
                [b"["], repeated(size, p), [self.stone.encode(), b"]"]), (MB // 4, MB // 2), "record",
                "edit", "-", "--set=/0=1", most=240, judge=lambda status, output, errors, s=says: None
                if status == 2 and s in " ".join(errors.decode().split()) and len(errors) < MB
                else f"no: {s}")
        self.tried("record edit: too large", lambda size: itertools.chain(
            [b"["], repeated(size, self.stone + ","), [b"{}]"]), (80 * MB, 160 * MB), "record", "edit",
            "-", "--set=/0/id=a", most=320, judge=self.nothing_done("is too large to be edited at once"))
        shown = self.without_comments(self.root / "examples/own-matrix.json")
        faults = shown["factors"][2]["values"]
        faults.clear()
        with tempfile.TemporaryDirectory() as folder:
            # So many kinds of faults as there may be, each with so many places, or severities.
            for places, severities, status in ((30, 5, 0), (1, 100, 0), (1, 101, 2), (1001, 1, 2)):
                spread = {f"s{i}": [0.8, 0.9] for i in range(severities)}
                for kind in range(200):
                    faults[f"k{kind}"] = {f"p{i}": spread for i in range(places)}
                text = json.dumps(shown).encode()
                for arguments in (("show", "--format", "text"), ("show", "--format", "csv"),
                                  ("show", "--format", "html"), ("show", "--format", "json"),
                                  ("export", folder, "--replace")):
                    self.tried(f"{places} places, {severities} severities: {' '.join(arguments)}",
                               lambda size, t=text: [t], (len(text),), "matrix", *arguments, "--matrix", "-",
                               most=200, judge=lambda status, output, errors, s=status: None if status
                               == (0 if b'"grids"' in output else s) else f"not {s}")
            subprocess.run([self.binary, "matrix", "export", folder, "--replace", "--matrix",
                            str(self.root / "examples/own-matrix.json")], check=True, capture_output=True)
            self.tables(pathlib.Path(folder))

    def tables(self, folder):
        """CSVs of an exported matrix, each far too large or full of faults."""
        for file, headings in (("market-levels.csv", "name,low,high,comment"),
                               ("factor-3-faults.csv", "kind,place,minor low,minor high,comment"),
                               ("grid-1-black-crystal.csv", "body_tone,1 low,1 high,comment")):
            path = folder / file
            whole = path.read_bytes()
            for name, pattern in (("names", "a,1,2,\r\n"), ("no numbers", "#,b,x,y,\r\n"),
                                  ("other names", "#,face,0.5,,\r\n"), ("cells", "a,"),
                                  ("quotes", '"'), ("lines", "\r\n"), ("comments", "// a\r\n"),
                                  ("bytes that are no text", "\udcff\r\n")):
                path.write_bytes(headings.encode() + b"\r\n" + b"".join(repeated(2 * MB, pattern)))
                self.tried(f"{file}: {name}", lambda size: [], (0,), "matrix", "import", str(folder),
                           most=500, judge=lambda status, output, errors: None if status in (0, 2) and
                           len(output) + len(errors) < 8 * MB else "it is not refused")
            path.write_bytes(whole)
        head = folder / "matrix.json"
        named = self.without_comments(head)
        grid = named["grids"][0]
        for name, grids in (("no table", [{**grid, "body_tone": "none"}]),
                            ("the same table again and again", [grid])):
            head.write_text(json.dumps({**named, "grids": grids * 1000}))
            self.tried(f"a head: {name}", lambda size: [], (0,), "matrix", "import", str(folder),
                       most=500, judge=self.nothing_done("error:"))

    def command_line(self):
        stone = str(self.root / "examples/first-stone.json")
        for count, status in ((100, 0), (101, 2)):
            done = subprocess.run([self.binary, "value", *["--only=tone=N3"] * count, stone],
                                  capture_output=True, timeout=60)
            self.expect(done.returncode == status, f"{count} conditions: {done.stderr}")
        for option in ("--level", "--matrix", "--only", "--sort", "--format", "--jobs", "--output"):
            done = subprocess.run([self.binary, "value", option, "x" * 100_000, stone],
                                  capture_output=True, timeout=60)
            self.expect(done.returncode == 2, f"{option} of 100,000 characters: {done.returncode}")

    def run_all(self):
        for part in (self.command_line, self.templates, self.other_commands, self.matrices, self.trays,
                     self.streams, self.full_records, self.large_records):
            began = time.monotonic()
            part()
            print(f"{part.__name__}: {time.monotonic() - began:.1f} s")


def main(root, binary, *rest):
    tests = Tests(pathlib.Path(root).resolve(), str(pathlib.Path(binary).resolve()),
                  "--times" in rest)
    tests.run_all()
    print("\n".join(tests.failures[:40]))
    print(f"{tests.checks} checks, {len(tests.failures)} failed")
    return 1 if tests.failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
