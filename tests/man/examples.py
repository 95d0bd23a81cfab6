#!/usr/bin/python3
"""Runs every example of the README, the manual pages and --help, and compares what they show.

Usage: examples.py ROOT BINARY [--show]

Examples are the literal blocks: what is indented in README.md, and .Bd -literal in a manual page.
    $ trayworth ...     is run by bash; a line that ends in \\ goes on. Below it stands what is printed,
                        errors too, where a line "..." stands for any lines or none.
    {                   is a file; its name is the last one in the paragraph before.
The examples of a page are run in their order, in one folder, in which examples/ and data/ are those of
the project. In trayworth-diagnostics(7) an example is a record or a command, and what it brings about.
--help shows commands only; they have to succeed. --show prints what each command prints.
"""

import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

REST = "..."
# The example of trayworth-matrix(5) has a test of its own.
OTHERS = {"trayworth-matrix.5"}
# What cannot be tried here: to build the program.
NOT_RUN = {"examples/first-valuation.sh", "cmake --install build --prefix ~/.local"}


def of_readme(text):
    """The blocks, each with the paragraph before it."""
    blocks, before = [], ""
    for part in re.split(r"((?:^(?: {4}.*)?\n)+)", text, flags=re.M):
        if part.strip() and part.lstrip("\n").startswith("    "):
            lines = part.strip("\n").split("\n")
            blocks.append((before, "\n".join(line[4:] for line in lines)))
        elif part.strip():
            before = part
    return blocks


def plain(roff):
    for escape, character in (("\\(dq", '"'), ("\\e", "\\"), ("\\&", ""), ("\\-", "-")):
        roff = roff.replace(escape, character)
    return roff


def of_manual(text):
    parts = re.split(r"^\.Bd -literal[^\n]*\n(.*?)^\.Ed\n", text, flags=re.M | re.S)
    return [(before[-300:], plain(block.rstrip("\n"))) for before, block in zip(parts[::2], parts[1::2])]


def file_named(before):
    names = re.findall(r"`([\w-]+\.\w+)`|^\.Pa ([\w-]+\.\w+)", before, re.M)
    return "".join(names[-1]) if names else None


def sessions(block):
    """Each command of a block with what is shown below it."""
    command, shown = None, []
    lines = iter(block.split("\n"))
    for line in lines:
        if line.startswith("$ "):
            if command:
                yield command, shown
            command, shown = line[2:], []
            while command.endswith("\\"):
                command = command[:-1] + next(lines).strip()
        else:
            shown.append(line)
    if command:
        yield command, shown


def same(shown, printed):
    """Whether the lines that are shown are the printed ones, "..." standing for any number."""
    pattern = "".join("(?:.*\n)*?" if line.strip() == REST else re.escape(line.rstrip()) + " *\n"
                      for line in shown)
    return re.fullmatch(pattern, printed) is not None


def trimmed(lines):
    while lines and not lines[-1].strip():
        lines.pop()
    while lines and not lines[0].strip():
        lines.pop(0)
    return lines


class Tests:
    def __init__(self, root, binary, show):
        self.root, self.binary, self.show = root, binary, show
        self.failures, self.run = [], 0

    def folder(self, place):
        place = pathlib.Path(place)
        (place / "bin").mkdir()
        (place / "bin/trayworth").symlink_to(self.binary)
        for shared in ("examples", "data"):
            (place / shared).symlink_to(self.root / shared)
        return place

    def output_of(self, command, place):
        self.run += 1
        environment = {"PATH": f"{place}/bin:/usr/bin:/bin", "HOME": str(place), "LC_ALL": "C.UTF-8"}
        done = subprocess.run(["bash", "-o", "pipefail", "-c", command], cwd=place, env=environment,
                              stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=300)
        printed = done.stdout + done.stderr
        if self.show:
            print(f"$ {command}\n{printed}")
        return done.returncode, printed

    def try_session(self, where, command, shown, place):
        status, printed = self.output_of(command, place)
        if not same(shown, "".join(line + "\n" for line in trimmed(printed.split("\n")))):
            self.failures.append(f"{where}: \"{command}\" prints something else:\n{printed}")
        elif status != 0 and not any("error:" in line for line in shown):
            self.failures.append(f"{where}: \"{command}\" ends with exit status {status}")

    def try_page(self, where, blocks):
        before_it = self.run
        with tempfile.TemporaryDirectory() as place:
            place = self.folder(place)
            for before, block in blocks:
                name = file_named(before)
                if block.startswith("$ "):
                    for command, shown in sessions(block):
                        self.try_session(where, command, trimmed(shown), place)
                elif block.startswith("{") and "\n$ " not in block and name:
                    (place / name).write_text(block + "\n")
                elif block not in NOT_RUN:
                    self.failures.append(f"{where}: neither a command nor a file:\n{block}")
        if self.run == before_it:
            self.failures.append(f"{where}: no example was found")

    def try_help(self, words=()):
        """The commands in the help of a command and of those below it, and what the name alone says."""
        asked = subprocess.run([self.binary, *words, "--help"], capture_output=True, text=True).stdout
        listed = re.search(r"^Subcommands:\n((?:  .*\n)+)", asked, re.M)
        texts = [("--help", asked[asked.find("\n\n", asked.find("Options:")):])]
        if not words:
            alone = subprocess.run([self.binary], capture_output=True, text=True)
            texts.append(("trayworth alone", alone.stderr))
            lines = alone.stderr.splitlines()
            if len(lines) > 12 or max(map(len, lines)) > 80:
                self.failures.append("trayworth alone: more than a glance takes in")
        with tempfile.TemporaryDirectory() as place:
            place = self.folder(place)
            shutil.copy(self.root / "examples/first-stone.json", place / "stone.json")
            for where, text in texts:
                for command in re.findall(r"\btrayworth (?:-|[a-z]+ )[^\"\n]*?(?=  |\"|$)", text, re.M):
                    status, printed = self.output_of(command, place)
                    if status != 0:
                        self.failures.append(f"{' '.join(words)} {where}: \"{command}\" ends with "
                                             f"exit status {status}:\n{printed}")
        for name in re.findall(r"^  (\S+)", listed.group(1) if listed else "", re.M):
            self.try_help((*words, name))

    def try_diagnostics(self, text):
        before_it = self.run
        for code, block in re.findall(r"^\.Ss (\S+)\n.*?^\.Bd -literal\n(.*?)^\.Ed", text, re.M | re.S):
            given, said = plain(block).split("\n\n", 1)
            if REST in given or "\\x" in given or not given.startswith(("{", "trayworth ")):
                continue
            self.run += 1
            with tempfile.TemporaryDirectory() as place:
                place = self.folder(place)
                # Of a document, the name is that in what is said of it.
                name = said.split(":")[0] if given.startswith("{") else "stone.json"
                (place / name).write_text(given)
                shutil.copy(self.root / "examples/own-matrix.json", place / "mine.json")
                words = shlex.split(given)[1:] if given.startswith("trayworth") else ["check", name]
                done = subprocess.run([self.binary, *words], cwd=place, capture_output=True, text=True)
            if said not in done.stderr:
                self.failures.append(f"{code}: the example brings about something else:\n{done.stderr}")
        if self.run - before_it < 12:
            self.failures.append(f"only {self.run - before_it} examples of diagnostics were tried")


def main(root, binary, *flags):
    root = pathlib.Path(root).resolve()
    tests = Tests(root, str(pathlib.Path(binary).resolve()), "--show" in flags)
    tests.try_page("README.md", of_readme((root / "README.md").read_text()))
    for page in sorted((root / "man").iterdir()):
        if page.suffix == ".7":
            tests.try_diagnostics(page.read_text())
        elif page.name not in OTHERS:
            tests.try_page(page.name, of_manual(page.read_text()))
    tests.try_help()
    print("\n".join(tests.failures))
    print(f"{tests.run} examples, {len(tests.failures)} failures")
    return 1 if tests.failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
