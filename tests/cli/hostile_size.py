#!/usr/bin/python3
"""Inputs of every kind, far too large: refused in their place, in memory that is bounded, and the
records around them answered.

Usage: hostile_size.py ROOT BINARY [--times]

Each input is made as it is read, on a pipe, in two sizes, the second twice the first. What decides
is the peak of memory, which must not grow, and what is said; --times prints how long each took, and
how many instructions where valgrind is there (for tests/bench, no test depends on it).
"""

import itertools
import json
import os
import pathlib
import resource
import subprocess
import sys
import tempfile
import threading
import time

MB = 1 << 20
CHUNK = 256 * 1024


def filled(size, pattern):
    """So many bytes of a pattern, whole repetitions."""
    piece = pattern * max(1, CHUNK // len(pattern))
    whole, rest = divmod(max(size // len(pattern), 1) * len(pattern), len(piece))
    yield from itertools.repeat(piece, whole)
    yield pattern * (rest // len(pattern))


def numbered(size, form):
    """So many bytes of a text with a running number in it."""
    written, number = 0, 0
    while written < size:
        piece = "".join(form.format(n) for n in range(number, number + 5000)).encode()
        number += 5000
        written += len(piece)
        yield piece


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

    def run(self, pieces, *arguments):
        """Exit status, output, errors and the peak of memory in MiB. Outputs are kept in files."""
        with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
            process = subprocess.Popen([self.binary, *arguments], stdin=subprocess.PIPE, stdout=out,
                                       stderr=err)

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
                texts.append(file.read(8 * MB))
                if size > 8 * MB:
                    file.seek(size - 1 * MB)
                    texts[-1] += file.read()
        return process.returncode, *texts, usage.ru_maxrss / 1024, usage.ru_utime + usage.ru_stime

    def tried(self, name, make, sizes, *arguments, most, judge):
        """`make(size)` gives the pieces; `judge(status, output, errors)` what is wrong, if anything."""
        peaks = []
        for size in sizes:
            status, output, errors, peak, seconds = self.run(make(size), *arguments)
            if self.times:
                print(f"{name:44} {size / MB:7.1f} MB {peak:6.0f} MiB {seconds:7.2f} s")
            peaks.append(peak)
            wrong = judge(status, output, errors)
            self.expect(not wrong, f"{name}, {size / MB:g} MB: {wrong}; exit status {status}, "
                        f"{output[:200]!r} {errors[-300:]!r}")
            self.expect(not self.measured or peak <= most,
                        f"{name}, {size / MB:g} MB: a peak of {peak:.0f} MiB, and {most} are allowed")

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

    def record_in(self, shape, begin, middle, end):
        """A record of three parts, the middle made of pieces, alone or among sound ones."""
        sound = self.stone.encode()
        lead, between, tail = {"alone": (b"", b"", b""),
                               "lines": (sound + b"\n", b"", b"\n" + sound + b"\n"),
                               "array": (b"[" + sound + b",", b"", b"," + sound + b"]"),
                               "tray": (b'{"tray":{},"stones":[' + sound + b",", b"",
                                        b"," + sound + b"]}")}[shape]
        return lambda size: itertools.chain([lead + begin], middle(size), [end + tail])

    def large_records(self):
        records = {
            "a text": (b'{"id":"', lambda size: filled(size, b"x"), b'"}'),
            "a name": (b'{"', lambda size: filled(size, b"x"), b'":1}'),
            "a text of escapes": (b'{"id":"', lambda size: filled(size, b"\\\""), b'"}'),
            "a number": (b'{"weight_ct":1', lambda size: filled(size, b"0"), b"}"),
            "decimals": (b'{"weight_ct":1.', lambda size: filled(size, b"3"), b"}"),
            "colours": (b'{"play_of_colour":{"colours":[',
                        lambda size: filled(size, b'{"colour":"red","share":0.1},'),
                        b'{"colour":"red","share":0.1}]}}'),
            "faults": (b'{"faults":[', lambda size: filled(
                size, b'{"kind":"crack","place":"face","severity":"minor"},'), b"{}]}"),
            "treatments": (b'{"treatments":[', lambda size: filled(size, b'"oil",'), b'"oil"]}'),
            "names": (b"{", lambda size: numbered(size, '"a{}":1,'), b'"b":1}'),
            "names of one's own": (b"{", lambda size: numbered(size, '"x-{}":1,'), b'"b":1}'),
            "one name again and again": (b"{", lambda size: filled(size, b'"id":"a",'), b'"b":1}'),
            "names again, deep": (b'{"x-a":{"b":{', lambda size: filled(size, b'"id":"a",'),
                                  b'"b":1}}}'),
            "depth": (b'{"x-a":', lambda size: filled(size, b"["), b"}"),
            "depth of objects": (b'{"x-a":', lambda size: filled(size, b'{"a":'), b"}"),
            "blanks": (b'{"id":', lambda size: filled(size, b" "), b'"a"}'),
            "bytes that are no text": (b'{"id":"', lambda size: filled(size, b"\xff"), b'"}'),
            "NUL bytes": (b'{"id":"', lambda size: filled(size, b"\0"), b'"}'),
            "slips": (b'{"a":', lambda size: filled(size, b"1 2 ,, ' tru }"), b"}"),
        }
        for shape in ("alone", "lines", "array", "tray"):
            for name, parts in records.items():
                if name in ("depth", "depth of objects", "slips") and shape != "lines":
                    continue  # brackets that do not match swallow what follows them
                self.tried(f"{name}, {shape}", self.record_in(shape, *parts), (12 * MB, 24 * MB),
                           "value", "--format", "ndjson", "--quiet", "--jobs", "1", "-", most=24,
                           judge=self.refused("record-size") if shape == "alone" else
                           self.between("record-size"))

    def run_all(self):
        self.large_records()


def main(root, binary, *rest):
    tests = Tests(pathlib.Path(root).resolve(), str(pathlib.Path(binary).resolve()),
                  "--times" in rest)
    tests.run_all()
    print("\n".join(tests.failures[:40]))
    print(f"{tests.checks} checks, {len(tests.failures)} failed")
    return 1 if tests.failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
