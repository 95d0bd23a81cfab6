#!/usr/bin/python3
"""What the program is linked with, as it is built by default and with TRAYWORTH_STATIC.

Usage: linked.py ROOT BINARY STATIC-BINARY

By default it needs the C library's own files alone, and none of the C++ one's; the other needs
nothing, not even a loader. Both print the same.
"""

import pathlib
import re
import subprocess
import sys

# Of the C library (GNU), and of its loader.
ITS_OWN = re.compile(r"(libc|libm|libpthread|libdl|ld-linux[\w-]*)\.so\.\d+")
COMMANDS = [["--version"], ["value", "examples/first-stone.json"],
            ["value", "--format", "json", "--jobs", "3", "examples/tray.json"],
            ["value", "--simulate", "2000", "examples/first-stone.json"],
            ["value", "--output", "/dev/full", "examples/tray.json"], ["value", "no-such-file"]]


def needed(binary):
    text = subprocess.run(["readelf", "--dynamic", "--program-headers", "--wide", binary],
                          capture_output=True, text=True, check=True).stdout
    return re.findall(r"\(NEEDED\).*\[(.*)\]", text), "INTERP" in text


def printed(root, binary, words):
    done = subprocess.run([binary, *words], cwd=root, capture_output=True)
    return done.returncode, done.stdout, done.stderr


def main(root, binary, alone):
    root = pathlib.Path(root)
    failures = []
    libraries, loader = needed(binary)
    failures += [f"{name} is needed" for name in libraries if not ITS_OWN.fullmatch(name)]
    if not libraries or not loader:
        failures.append("the default program needs no C library: the check is at fault")
    if needed(alone) != ([], False):
        failures.append(f"the static program needs {needed(alone)}")
    for words in COMMANDS:
        if printed(root, binary, words) != printed(root, alone, words):
            failures.append(f"{' '.join(words)}: the two print something else")
    print("\n".join(failures))
    print(f"needs {', '.join(libraries)}; {len(COMMANDS)} commands, {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
