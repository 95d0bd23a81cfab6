#!/usr/bin/python3
"""The manual pages are clean mdoc, trayworth(1) has the options that the program has, and the examples
of trayworth-diagnostics(7) that are whole are what the program says.

Usage: manual.py ROOT BINARY
"""

import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile


def lint(page):
    done = subprocess.run(["mandoc", "-Tlint", str(page)], capture_output=True, text=True)
    # The pages refer to each other before they are installed.
    return [line for line in done.stdout.splitlines() if "referenced manual not found" not in line]


def commands(binary, words=()):
    """Each command with its help, as the program lists them."""
    text = subprocess.run([binary, *words, "--help"], capture_output=True, text=True).stdout
    yield words, text
    listed = re.search(r"^Subcommands:\n((?:  .*\n)+)", text, re.M)
    for name in re.findall(r"^  (\S+)", listed.group(1) if listed else "", re.M):
        yield from commands(binary, (*words, name))


def plain(roff):
    return roff.replace("\\(dq", '"').replace("\\e", "\\")


def examples(root, binary):
    """What each example that is a record or a command brings about, and what the page says of it."""
    page = (root / "man/trayworth-diagnostics.7").read_text()
    for code, text in re.findall(r"^\.Ss (\S+)\n.*?^\.Bd -literal\n(.*?)^\.Ed", page, re.M | re.S):
        given, said = plain(text).split("\n\n", 1)
        if "..." in given or "\\x" in given or not given.startswith(("{", "trayworth ")):
            continue
        with tempfile.TemporaryDirectory() as folder:
            name = said.split(":")[0] if given.startswith("{") else "stone.json"
            (pathlib.Path(folder) / name).write_text(given)
            shutil.copy(root / "examples/own-matrix.json", pathlib.Path(folder) / "mine.json")
            words = shlex.split(given)[1:] if given.startswith("trayworth") else ["check", name]
            done = subprocess.run([binary, *words], cwd=folder, capture_output=True, text=True)
        yield code, said, done.stderr


def main(root, binary):
    root = pathlib.Path(root)
    binary = str(pathlib.Path(binary).resolve())
    failures = []
    for page in sorted((root / "man").iterdir()):
        failures += lint(page)
    manual = (root / "man/trayworth.1").read_text()
    documented = set(re.findall(r"(?:Fl|\|) -([a-z-]+)", manual))
    known = set()
    checks = 0
    for words, text in commands(binary):
        for option in re.findall(r"^  (?:-\w,)?--([a-z-]+)", text, re.M):
            known.add(option)
            checks += 1
            if option not in documented:
                failures.append(f"--{option} of \"{' '.join(words)}\" is not in the manual page")
    for option in sorted(documented - known):
        failures.append(f"--{option} is in the manual page, and no command has it")
    shown = 0
    for code, said, stderr in examples(root, binary):
        shown += 1
        if said not in stderr:
            failures.append(f"{code}: the example brings about something else:\n{stderr}")
    if shown < 12:
        failures.append(f"only {shown} examples were tried")
    if checks < 20:
        failures.append(f"only {checks} options were found")
    print("\n".join(failures))
    print(f"{checks} options, {shown} examples, {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
