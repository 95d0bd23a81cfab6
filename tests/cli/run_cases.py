#!/usr/bin/python3
"""Runs the command-line cases of the folder cases/ and compares every byte.

Usage: run_cases.py [--rewrite] ROOT BINARY [NAME...]

A case is a text file of sections, each headed by a line "--- NAME":

    --- args                what follows the program's name, quoted as in a shell
    --- stdin               its standard input; "--- stdin < FILE" takes it from a file
    --- file NAME           a file for the program to find
    --- stdout              what it must write; "--- stdout = FILE" compares it with a file
    --- stderr
    --- exit                its exit status

Every line of a section ends with a line feed. "\\-" at the end of the last one takes that away.
In stdin and files "%%TEXT*NUMBER%%" stands for so many times the text. Sections left out are empty,
and the exit status 0. Each case runs in a folder of its own, in which examples/ and data/ are those
of the project. Lines before the first section are a comment.

--rewrite puts what the program writes in the place of what was expected. Review the difference:
what it shows is a change that users will see.
"""

import difflib
import os
import pathlib
import re
import shlex
import subprocess
import sys
import tempfile

HEADER = re.compile(rb"^--- (args|stdin|file|stdout|stderr|exit)(?: (?:([<=]) )?(\S+))?\n", re.M)
FILE_OF = {"stdin": "<", "stdout": "="}


class Section:
    def __init__(self, kind, mark, name, body):
        self.kind, self.mark, self.name, self.body = kind, mark, name, body

    def header(self):
        words = ["---", self.kind] + ([self.mark] if self.mark else []) + \
            ([self.name] if self.name else [])
        return " ".join(words).encode() + b"\n"


REPEATED = re.compile(rb"%%(.+?)\*(\d+)%%")


def bytes_of(body):
    return body[:-3] if body.endswith(b"\\-\n") else body


def written_out(body):
    return REPEATED.sub(lambda found: found.group(1) * int(found.group(2)), bytes_of(body))


def body_of(data):
    return data if not data or data.endswith(b"\n") else data + b"\\-\n"


def parse(path):
    text = path.read_bytes()
    headers = list(HEADER.finditer(text))
    if not headers or headers[0].group(1) != b"args":
        raise ValueError(f"{path.name}: the first section is not args")
    ends = [h.start() for h in headers[1:]] + [len(text)]
    sections = []
    for header, end in zip(headers, ends):
        kind, mark, name = (part.decode() if part else "" for part in header.groups())
        if mark and mark != FILE_OF.get(kind) or (kind == "file") != bool(name and not mark):
            raise ValueError(f"{path.name}: {header.group().decode().strip()}")
        sections.append(Section(kind, mark, name, text[header.end():end]))
    return text[:headers[0].start()], sections


def section(sections, kind):
    return next((s for s in sections if s.kind == kind), None)


def expected(found, root):
    if found is None:
        return b""
    if found.mark:
        return (root / found.name).read_bytes()
    return written_out(found.body) if found.kind == "stdin" else bytes_of(found.body)


def run(root, binary, sections):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for shared in ("examples", "data"):
            (folder / shared).symlink_to(root / shared)
        for each in sections:
            if each.kind == "file":
                (folder / each.name).write_bytes(written_out(each.body))
        arguments = shlex.split(section(sections, "args").body.decode())
        environment = {k: v for k, v in os.environ.items() if k != "NO_COLOR"}
        try:
            done = subprocess.run([binary, *arguments], cwd=folder, capture_output=True,
                                  input=expected(section(sections, "stdin"), root),
                                  env=environment, timeout=60)
        except subprocess.TimeoutExpired:
            return {"stdout": b"", "stderr": b"", "exit": b"none after a minute\n"}
    return {"stdout": done.stdout, "stderr": done.stderr, "exit": b"%d\n" % done.returncode}


def wanted(sections, root):
    streams = {kind: expected(section(sections, kind), root) for kind in ("stdout", "stderr")}
    status = section(sections, "exit")
    return {**streams, "exit": status.body if status else b"0\n"}


def difference(kind, want, got):
    lines = difflib.unified_diff(
        want.decode(errors="backslashreplace").splitlines(keepends=True),
        got.decode(errors="backslashreplace").splitlines(keepends=True),
        f"{kind} expected", f"{kind} found")
    return "".join(line if line.endswith("\n") else line + "\\-\n" for line in lines)


def rewrite(path, comment, sections, got):
    kept = [s for s in sections if s.kind in ("args", "stdin", "file") or
            (s.kind == "stdout" and s.mark)]
    text = comment + b"".join(s.header() + s.body for s in kept)
    for kind in ("stdout", "stderr"):
        found = section(kept, kind)
        if got[kind] and not found:
            text += b"--- " + kind.encode() + b"\n" + body_of(got[kind])
    if got["exit"] != b"0\n":
        text += b"--- exit\n" + got["exit"]
    path.write_bytes(text)


def main(arguments):
    rewriting = "--rewrite" in arguments
    arguments = [a for a in arguments if a != "--rewrite"]
    root, binary, names = pathlib.Path(arguments[0]).resolve(), arguments[1], arguments[2:]
    binary = str(pathlib.Path(binary).resolve())
    paths = sorted((pathlib.Path(__file__).resolve().parent / "cases").glob("*.case"))
    if len(paths) < 60:
        print(f"only {len(paths)} cases were found")
        return 1
    failed = 0
    for path in paths:
        if names and path.stem not in names:
            continue
        comment, sections = parse(path)
        got, want = run(root, binary, sections), wanted(sections, root)
        differences = [difference(kind, want[kind], got[kind])
                       for kind in ("exit", "stderr", "stdout") if want[kind] != got[kind]]
        if not differences:
            continue
        failed += 1
        print(f"{path.stem}: trayworth {section(sections, 'args').body.decode().strip()}")
        print("\n".join(differences))
        if rewriting:
            rewrite(path, comment, sections, got)
    print(f"{len(paths)} cases, {failed} {'rewritten' if rewriting else 'failed'}")
    return 1 if failed and not rewriting else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
