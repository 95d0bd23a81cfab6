#!/usr/bin/env python3
"""Sources the completions in bash, zsh and fish and asks each shell, at a terminal, for what it would
insert; and holds the completions to --help, command by command and option by option.

completions.py ROOT BINARY
"""

import fcntl
import json
import os
import pathlib
import pty
import re
import select
import struct
import subprocess
import sys
import tempfile
import termios
import time

from listed import commands

PATIENCE = 60  # seconds that a shell may take to answer
INSERT_ALL = b"\x1bi"
FORMATS = ["text", "json", "ndjson", "csv", "html", "svg"]
MEANT_ILL = "s$(touch hit)"
TONES = [f"N{step}" for step in range(1, 10)]

SHELLS = {
    "bash": {
        "start": ["bash", "--noprofile", "--norc", "-i"],
        "set up": ["bind 'set enable-bracketed-paste off'", r"""bind '"\ei": insert-completions'"""],
    },
    "zsh": {
        "start": ["zsh", "-f", "-i"],
        "set up": ["unset zle_bracketed_paste; unsetopt prompt_sp", "bindkey -e",
                   "autoload -Uz compinit; compinit -u -D",
                   "zstyle ':completion:insert-all:*' completer _all_matches _complete",
                   "zstyle ':completion:insert-all:*' insert yes",
                   "zle -C insert-all complete-word _generic; bindkey '\\ei' insert-all"],
    },
}


class Shell:
    """A shell at a terminal of its own."""

    def __init__(self, name, folder, environment):
        self.name = name
        pid, self.terminal = pty.fork()
        if pid == 0:
            os.chdir(folder)
            os.execvpe(SHELLS[name]["start"][0], SHELLS[name]["start"], environment)
        self.serial = 0
        # So wide that no line is broken.
        fcntl.ioctl(self.terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 50, 1000, 0, 0))
        for line in SHELLS[name]["set up"]:
            self.answer(line.encode())

    def read_until(self, end):
        text = b""
        deadline = time.monotonic() + PATIENCE
        while not re.search(end, text):
            ready, _, _ = select.select([self.terminal], [], [], deadline - time.monotonic())
            if not ready:
                raise TimeoutError(f"{self.name} does not answer:\n{text.decode(errors='replace')}")
            text += os.read(self.terminal, 65536)
        return text.decode(errors="replace")

    def answer(self, keys, after=b""):
        """What a command prints between two marks, typed as keys."""
        self.serial += 1
        mark = f"mark {self.serial}"
        os.write(self.terminal, keys + after + f"; printf '<%s>\\n' 'mark'\\ '{self.serial}'\r".encode())
        return self.read_until(f"<{mark}>".encode())

    def inserted(self, typed):
        """The words after `typed` once every completion of its last word is inserted."""
        text = self.answer(typed.encode() + INSERT_ALL + b"\x01printf '<%s>\\n' \x05")
        return [word for word in re.findall(r"<([^>\r\n]*>?=?[^>\r\n]*)>\r?\n", text)
                if not word.startswith("mark ")]


def from_fish(typed, folder, environment):
    done = subprocess.run(["fish", "--no-config", "-c",
                           "trayworth completion fish | source; "
                           f"complete --do-complete {json.dumps(typed)}"],
                          cwd=folder, env=environment, capture_output=True, text=True,
                          timeout=PATIENCE)
    return [line.split("\t")[0] for line in done.stdout.splitlines()] + done.stderr.splitlines()


def asked_of_program(binary, words):
    done = subprocess.run([binary, "completion", "bash", "--", *words], capture_output=True, text=True)
    return [line.split("\t")[0] for line in done.stdout.splitlines()]


def against_help(binary):
    """Commands, options and fixed values in --help and among the completions, both ways."""
    for words, text in commands(binary):
        listed = re.search(r"^Subcommands:\n((?:  .*\n)+)", text, re.M)
        names = re.findall(r"^  (\S+)", listed.group(1) if listed else "", re.M)
        if names:
            yield words, "commands", asked_of_program(binary, [*words, ""]), names
        options = ["--" + name for name in re.findall(r"^  (?:-\w,)?--([a-z-]+)", text, re.M)]
        yield words, "options", asked_of_program(binary, [*words, "-"]), options
        for name, values in re.findall(r"^  (--[a-z-]+) \w+:\{([^}]*)\}", text, re.M):
            yield words, name, asked_of_program(binary, [*words, name, ""]), values.split(",")
        for name in re.findall(r"^  (--[a-z-]+) FILE", text, re.M):
            yield words, name, asked_of_program(binary, [*words, name, ""])[-1:], [":files"]


def questions(root, binary, home):
    """What is typed, and the words that every shell has to insert."""
    first = [name for words, _ in commands(binary) if len(words) == 1 for name in words]
    help_of_value = subprocess.run([binary, "value", "--help"], capture_output=True, text=True).stdout
    options = ["--" + name for name in re.findall(r"^  (?:-\w,)?--([a-z-]+)", help_of_value, re.M)]
    matrix = (root / "data/demonstration-matrix.json").read_text()
    levels = re.findall(r'^    "(\w+)":', re.search(r'"market_levels": {.*?}', matrix, re.S).group(), re.M)
    return [
        ("trayworth ", first),
        ("trayworth va", ["value"]),
        ("trayworth value --", options),
        ("trayworth value --quiet --qu", []),
        ("trayworth value --only fault=none --on", ["--on", "--only"]),
        ("trayworth value --format ", FORMATS),
        ("trayworth value --format n", ["ndjson"]),
        ("trayworth value --format=", ["--format=" + name for name in FORMATS]),
        ("trayworth value --format=cs", ["--format=csv"]),
        ("trayworth value --level ", levels),
        ("trayworth value --matrix mine.json --level ", ["show", "shop", MEANT_ILL]),
        ("trayworth value --matrix=mine.json --level sho", ["show", "shop"]),
        ("trayworth value --matrix none.json --level ", []),
        ("trayworth value --sort -", ["-id", "-name", "-weight", "-likely", "-range"]),
        ("trayworth value --sort l", ["likely"]),
        ("trayworth value --only to", ["tone="]),
        ("trayworth value --only lik", ["likely>=", "likely<="]),
        ("trayworth value --only tone=", ["tone=" + tone for tone in TONES]),
        ("trayworth value --only type!=dou", ["type!=doublet"]),
        ("trayworth record new --set /body", ["/body_tone=", "/body_hue="]),
        ("trayworth record edit stones.ndjson --unset /cut/d", ["/cut/dome"]),
        ("trayworth value --jobs ", []),
        ("trayworth value st", ["stone one.json", "stones.ndjson"]),
        ("trayworth value --output st", ["stone one.json", "stones.ndjson"]),
        ("trayworth value --output=stones", ["--output=stones.ndjson"]),
        ("trayworth value ~/stones", [f"{home}/stones.ndjson"]),
        ("trayworth value -- st", ["stone one.json", "stones.ndjson"]),
        ("trayworth weigh --outline o", ["oval", "octagon"]),
        ("trayworth weigh --density west", ["west java"]),
        ("trayworth weigh --dome ", ["low", "medium", "high"]),
        ("trayworth matrix sh", ["show"]),
        ("trayworth schema re", ["record", "recut"]),
        ("trayworth fit --format ", ["text", "json", "html"]),
        ("trayworth fit --report=stones", ["--report=stones.ndjson"]),
        ("trayworth completion ", ["bash", "zsh", "fish"]),
        ("trayworth valu st", []),
        ("./bin/trayworth schema pl", ["plan"]),
    ]


def as_bash_inserts(typed, words):
    """Readline replaces what stands after the last = only, and inserts the rest without it."""
    begun = typed.split(" ")[-1]
    before = begun[:begun.rfind("=") + 1]
    return words[:1] + [word.removeprefix(before) for word in words[1:]]


def ask_at_terminal(name, source, where, questions_asked, expect):
    shell = Shell(name, where[0], where[1])
    shell.answer(source.encode())
    for typed, wanted in questions_asked:
        words = typed.split()
        settled = words if typed.endswith(" ") else words[:-1]
        wanted = wanted or words[len(settled):]
        if name == "bash":
            wanted = as_bash_inserts(typed, sorted(wanted))
        expect(f"{name}, {source}: {typed!r}", shell.inserted(typed), settled + wanted)


def main(root, binary):
    root, binary = pathlib.Path(root).resolve(), str(pathlib.Path(binary).resolve())
    failures, tried = [], 0

    def expect(where, got, wanted):
        nonlocal tried
        tried += 1
        if sorted(got) != sorted(wanted):
            failures.append(f"{where}: {got}, not {wanted}")

    for words, what, got, wanted in against_help(binary):
        expect(f"{' '.join(words)}: {what}", got, wanted)
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "bin").mkdir()
        (folder / "bin/trayworth").symlink_to(binary)
        (folder / "stone one.json").touch()
        (folder / "stones.ndjson").touch()
        text = (root / "examples/own-matrix.json").read_text()
        levels = re.sub(r'"market_levels": \{[^}]*\}',
                        '"market_levels": {"show": 1, "shop": 2, "%s": 3}' % MEANT_ILL, text)
        (folder / "mine.json").write_text(re.sub(r'"market_level": "[^"]*"', '"market_level": "show"',
                                                 levels))
        environment = {"PATH": f"{folder}/bin:{os.environ['PATH']}", "HOME": str(folder),
                       "TERM": "dumb", "LC_ALL": "C.UTF-8", "PS1": "$ ", "INPUTRC": "/dev/null"}
        scripts = {}
        for shell, name in (("bash", "trayworth.bash"), ("zsh", "_trayworth"),
                            ("fish", "trayworth.fish")):
            scripts[shell] = root / "data/completions" / name
            printed = subprocess.run([binary, "completion", shell], capture_output=True, text=True)
            expect(f"completion {shell}", printed.stdout.splitlines(),
                   scripts[shell].read_text().splitlines())
        asked = questions(root, binary, folder)
        for name in SHELLS:
            ask_at_terminal(name, f"source <(trayworth completion {name})", (folder, environment), asked, expect)
        # As it is found where it is installed.
        found = f"fpath=({scripts['zsh'].parent} $fpath); compinit -u -D"
        ask_at_terminal("zsh", found, (folder, environment), asked[:3], expect)
        for typed, wanted in asked:
            expect(f"fish: {typed!r}", from_fish(typed, folder, environment),
                   [word.replace(str(folder), "~") for word in wanted])
        expect("a market level that is a command", [str(p.name) for p in folder.glob("hit")], [])
    print("\n".join(failures))
    print(f"{tried} questions, {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
