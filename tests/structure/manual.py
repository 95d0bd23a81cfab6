#!/usr/bin/python3
"""The manual pages are clean mdoc, and trayworth(1) has the options that the program has.

Usage: manual.py ROOT BINARY
"""

import pathlib
import re
import subprocess
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "cli"))
from listed import commands  # noqa: E402


def lint(page):
    done = subprocess.run(["mandoc", "-Tlint", str(page)], capture_output=True, text=True)
    # The pages refer to each other before they are installed.
    return [line for line in done.stdout.splitlines() if "referenced manual not found" not in line]


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
    if checks < 20:
        failures.append(f"only {checks} options were found")
    print("\n".join(failures))
    print(f"{checks} options, {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
