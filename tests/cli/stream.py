#!/usr/bin/env python3
"""Many records, from outside: threads, order, faults set aside, processes under GNU parallel.

stream.py ROOT BINARY
"""

import csv
import io
import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

RECORDS = 3000
BROKEN = (17, 1500, 2999)  # lines that are no record


class Checks:
    def __init__(self, binary):
        self.binary = binary
        self.count = 0
        self.failed = 0

    def expect(self, holds, otherwise):
        self.count += 1
        if not holds:
            self.failed += 1
            print(otherwise)

    def run(self, *arguments, text=b""):
        return subprocess.run([self.binary, *arguments], input=text, capture_output=True,
                              timeout=120)


def records(root):
    generate = root / "tests" / "bench" / "generate.py"
    text = subprocess.run([sys.executable, str(generate), str(RECORDS), "7"], check=True,
                          capture_output=True).stdout
    return text.splitlines(keepends=True)


def spoiled(lines):
    lines = list(lines)
    for at in BROKEN:
        lines[at] = b'{"id": "broken", "type": 1\n'
    return b"".join(lines)


def threads(check, text):
    for arguments in (["--format", "ndjson"], ["--format", "ndjson", "--brief"],
                      ["--format", "csv"], []):
        one = check.run("value", *arguments, "--jobs", "1", "-", text=text)
        check.expect(one.returncode == 1, f"{arguments}: exit status {one.returncode}")
        for jobs in ("2", "3", "8"):
            many = check.run("value", *arguments, "--jobs", jobs, "-", text=text)
            check.expect((many.stdout, many.stderr) == (one.stdout, one.stderr),
                         f"{arguments}: {jobs} threads write other bytes than one")


def in_place(check, text):
    done = check.run("value", "--format", "ndjson", "--brief", "-", text=text)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    check.expect(len(answers) == RECORDS, f"{len(answers)} answers to {RECORDS} records")
    wrong = [i for i, answer in enumerate(answers) if ("error" in answer) != (i in BROKEN)]
    check.expect(not wrong, f"refused or valued in the wrong place: {wrong[:5]}")
    ids = [answer["id"] for i, answer in enumerate(answers) if i not in BROKEN]
    check.expect(ids == sorted(ids), "the answers are out of order")
    lines = [answers[i]["error"]["line"] for i in BROKEN]
    check.expect(lines == [i + 1 for i in BROKEN], f"the errors are said to be in lines {lines}")
    summary = f"{RECORDS - len(BROKEN)} valued, {len(BROKEN)} refused, "
    check.expect(done.stderr.decode().startswith(summary), f"summary: {done.stderr.decode()!r}")
    quiet = check.run("value", "--format", "ndjson", "--brief", "--quiet", "-", text=text)
    check.expect(quiet.stderr == b"" and quiet.stdout == done.stdout, "--quiet is not quiet")


def brief_is_full(check, text):
    """The same weight and value with and without the reasons."""
    full = check.run("value", "--format", "ndjson", "-", text=text).stdout.splitlines()
    brief = check.run("value", "--format", "ndjson", "--brief", "-", text=text).stdout.splitlines()
    for a, b in zip(map(json.loads, full), map(json.loads, brief)):
        if "error" in a:
            check.expect(a == b, f"{a['id']}: another error")
            continue
        del a["weight_ct"]["low"], a["weight_ct"]["high"]
        same = all(a[key] == b[key] for key in ("id", "name", "weight_ct", "value"))
        check.expect(same and b["invented"] is True, f"{a['id']}: another answer when brief")


def fail_fast(check, text):
    for jobs in ("1", "4"):
        done = check.run("value", "--format", "ndjson", "--brief", "--fail-fast", "--jobs", jobs,
                         "-", text=text)
        answers = done.stdout.splitlines()
        check.expect(len(answers) == BROKEN[0] + 1 and done.returncode == 1,
                     f"--fail-fast, {jobs} threads: {len(answers)} answers")


def set_aside(check, text):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "faults.ndjson"
        check.run("value", "--format", "ndjson", "--errors", str(path), "-", text=text)
        faults = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    errors = [fault for fault in faults if fault["severity"] == "error"]
    check.expect({fault["line"] for fault in errors} == {i + 1 for i in BROKEN},
                 f"--errors: {len(errors)} errors")
    nowhere = check.run("value", "--errors", "/nowhere/faults", "-", text=text)
    check.expect(nowhere.returncode == 2 and b"takes no new file" in nowhere.stderr,
                 "--errors into a folder that is not there")


def totals(check, root, text):
    tray = str(root / "examples" / "tray.json")
    stones = json.loads(check.run("value", "--format", "json", tray).stdout)
    total = json.loads(check.run("value", "--total", "--format", "json", tray).stdout)
    likely = sum(round(100 * stone["value"]["likely"]) for stone in stones)
    check.expect(abs(round(100 * total["total"]["likely"]) - likely) <= len(stones),
                 "the total is not the sum of the likely values")
    check.expect(total["total"]["low"] < total["total"]["likely"] < total["total"]["high"],
                 "a total outside its range")
    check.expect(total["matrix"]["invented"] is True, "a total that hides invented prices")
    refused = json.loads(check.run("value", "--total", "--format", "ndjson", "-",
                                   text=text).stdout)
    check.expect(refused["refused"] == len(BROKEN), f"{refused['refused']} refused in the total")


def selected(check, text):
    def ids(*arguments):
        done = check.run("value", "--format", "csv", *arguments, "-", text=text)
        return {row["id"]: row for row in csv.DictReader(io.StringIO(done.stdout.decode()))}

    everything = ids("--only", "refused=no")
    check.expect(len(everything) == RECORDS - len(BROKEN), f"{len(everything)} not refused")
    dear = ids("--only", "likely>=500")
    check.expect(set(dear) == {name for name, row in everything.items()
                               if float(row["likely"]) >= 500}, "--only likely>=500")
    both = ids("--only", "likely>=500", "--only", "basis=weighed", "--only", "weight<2")
    check.expect(both and all(float(row["weight_ct"]) < 2 for row in both.values())
                 and set(both) < set(dear), "conditions do not add up")


def long_trays(check, lines):
    """Text of so many stones that they are written as they come, refused ones in their place."""
    text = spoiled(lines * 4)
    one = check.run("value", "--quiet", "--jobs", "1", "-", text=text)
    rows = one.stdout.decode().splitlines()
    first = next(i for i, row in enumerate(rows) if row.startswith("  stone")) + 1
    refused = [i for i in range(4 * RECORDS) if "refused:" in rows[first + i]]
    check.expect(refused == list(BROKEN), f"a long tray: refused in lines {refused[:5]}")
    many = check.run("value", "--quiet", "--jobs", "3", "-", text=text)
    check.expect(many.stdout == one.stdout, "a long tray: threads write other bytes than one")
    told = f"{4 * RECORDS - len(BROKEN):,} stones, sum of likely values"
    check.expect(told in " ".join(one.stdout.decode().split()), "a long tray: no sum")
    checked = check.run("check", "-", text=text)
    check.expect(f"{4 * RECORDS} records, {len(BROKEN)} refused" in checked.stdout.decode(),
                 f"check: {checked.stdout.decode()[-200:]!r}")


def memory(check, root):
    """The peak does not grow with the input."""
    def peak(count):
        text = b"".join(records(root)) * count
        with tempfile.TemporaryFile() as source:
            source.write(text)
            source.seek(0)
            code = ("import resource, subprocess, sys\n"
                    "subprocess.run(sys.argv[1:], stdin=0, stdout=subprocess.DEVNULL, check=True)\n"
                    "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)")
            done = subprocess.run([sys.executable, "-c", code, check.binary, "value", "--format",
                                   "ndjson", "--quiet", "-"], stdin=source, capture_output=True,
                                  check=True)
        return int(done.stdout) / 1024

    small, large = peak(1), peak(12)
    check.expect(large < small + 16,  # instrumented builds begin higher
                 f"peak memory {small:.0f} MiB, and {large:.0f} MiB for twelve times the records")


def processes(check, lines):
    if shutil.which("parallel") is None:
        check.expect(False, "GNU parallel is not installed")
        return
    text = b"".join(lines)
    one = check.run("value", "--format", "ndjson", "--quiet", "-", text=text)
    for block in ("10k", "200k"):
        many = subprocess.run(
            ["parallel", "--will-cite", "--pipe", "--keep-order", "--block", block, check.binary,
             "value", "--format", "ndjson", "--quiet", "-"],
            input=text, capture_output=True, timeout=300)
        same = strip_places(many.stdout) == strip_places(one.stdout)
        check.expect(same and many.returncode == 0,
                     f"parallel, blocks of {block}: other bytes than one process, "
                     f"{many.stderr.decode()[:200]}")


def strip_places(text):
    """Without the lines of warnings, which count from the start of a process's own part."""
    answers = []
    for line in text.splitlines():
        answer = json.loads(line)
        for warning in answer["warnings"]:
            del warning["line"]
        answers.append(json.dumps(answer))
    return answers


def main():
    root, binary = Path(sys.argv[1]).resolve(), str(Path(sys.argv[2]).resolve())
    check = Checks(binary)
    lines = records(root)
    text = spoiled(lines)
    threads(check, text)
    in_place(check, text)
    brief_is_full(check, text)
    fail_fast(check, text)
    set_aside(check, text)
    totals(check, root, text)
    selected(check, text)
    long_trays(check, lines)
    if "sanitize" not in binary:  # shadow memory is no memory of the program's
        memory(check, root)
    processes(check, lines)
    print(f"{check.count} checks, {check.failed} failed")
    return 1 if check.failed else 0


if __name__ == "__main__":
    sys.exit(main())
