#!/usr/bin/python3
"""Makes small mistakes in the sums, one at a time, and reports which of them the tests miss.

Usage: mutate.py [--sample N] [--seed S] [--file PATH...] [--at PATH:LINE...] [--jobs N]
                 [--least PERCENT] [--list]

Mutates the functions of src/weight, src/pricing and src/valuation. Without --sample, all of it; a
sample of the same seed from the same sources is the same. --at repeats the mutants of one line.

A mutant is compiled alone and linked in front of the library, whose definitions of the same functions
give way, so that nothing else is built again.
First the unit tests of its folder run on it, then the command-line cases, the sums done by hand, and
last all other unit tests, which take longest. It is killed by the first test that fails, or when a
step takes many times what it usually takes. It is not counted when it does not compile, or when
equivalent.txt, beside this script, says why it means the same as the original.

Exits with 1 when fewer than --least percent (90) of the mutants that count are killed.
"""

import argparse
import collections
import concurrent.futures
import dataclasses
import json
import os
import pathlib
import random
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = ROOT / "build-mutation"
FOLDERS = ("weight", "pricing", "valuation")

TOKEN = re.compile(
    r"""(?P<comment>//[^\n]*|/\*.*?\*/)
      | (?P<directive>^[ \t]*\#[^\n]*)
      | (?P<text>R"(?P<mark>[^(\s]*)\(.*?\)(?P=mark)"|"(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*')
      | (?P<number>0x[\da-fA-F]+(?:p[+-]?\d+)?|\d[\d']*(?:\.\d+)?(?:e[+-]?\d+)?)[uUlLz]*
      | (?P<word>[A-Za-z_]\w*)
      | (?P<sign><=>|->|::|\+\+|--|&&|\|\||<<|>>|[-+*/%&|^!=<>]=|[^\s\w])""",
    re.X | re.M | re.S)

SWAPS = {
    "arithmetic": {"+": "-", "-": "+", "*": "/", "/": "*", "+=": "-=", "-=": "+=", "*=": "/=",
                   "/=": "*="},
    "comparison": {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "=="},
    "logic": {"&&": "||", "||": "&&"},
}
WORDS = {"true": "false", "false": "true", "min": "max", "max": "min"}
ENDS = {"low": "high", "high": "low", "first": "second", "second": "first",
        "below": "above", "above": "below"}
ASSIGNMENTS = ("=", "+=", "-=", "*=", "/=")
OPEN, CLOSE = {"(": ")", "[": "]", "{": "}"}, {")": "(", "]": "[", "}": "{"}
NOT_EXPRESSIONS = {
    "return", "using", "namespace", "struct", "class", "enum", "template", "constexpr", "static",
    "case", "default", "break", "continue", "const", "auto", "if", "for", "while", "do", "switch",
    "else", "public", "private", "protected", "friend", "explicit", "inline", "throw"}


@dataclasses.dataclass(frozen=True)
class Mutant:
    path: str  # from the root
    begin: int
    end: int
    instead: str
    kind: str
    line: int
    before: str  # the whole line, or the lines that the change touches, without their indent
    after: str

    def where(self):
        return f"{self.path}:{self.line}"


@dataclasses.dataclass
class Token:
    kind: str
    text: str
    begin: int
    end: int


class Source:
    """The tokens of a file, and the mutants of its functions."""

    def __init__(self, path):
        self.path = path.relative_to(ROOT).as_posix()
        self.text = path.read_text()
        self.tokens = [
            Token(match.lastgroup if match.lastgroup != "mark" else "text", match.group(),
                  match.start(), match.end())
            for match in TOKEN.finditer(self.text)]
        self.tokens = [t for t in self.tokens if t.kind not in ("comment", "directive")]
        self.partner = self.match_brackets()
        self.in_function = self.find_functions()
        self.found = []

    def at(self, i):
        return self.tokens[i].text if 0 <= i < len(self.tokens) else ""

    def match_brackets(self):
        partner, open_ = {}, []
        for i, token in enumerate(self.tokens):
            if token.kind == "sign" and token.text in OPEN:
                open_.append(i)
            elif token.kind == "sign" and token.text in CLOSE:
                partner[i] = open_.pop()
                partner[partner[i]] = i
        return partner

    def find_functions(self):
        """Whether each token stands in the body of a function, or in a constant of a source file:
        constants of headers are compiled into what includes them."""
        inside = [False] * len(self.tokens)
        for i, token in enumerate(self.tokens):
            if token.text == "{" and i in self.partner and self.begins_body(i):
                for j in range(i + 1, self.partner[i]):
                    inside[j] = True
        if self.path.endswith(".cpp"):
            for i, token in enumerate(self.tokens):
                if token.text == "constexpr" and not inside[i]:
                    j = i
                    while self.at(j) not in ("=", ";", "{"):
                        j += 1
                    while self.at(j) == "=" or j < len(self.tokens) and self.at(j) != ";":
                        inside[j] = True
                        j = self.partner.get(j, j) + 1 if self.at(j) in OPEN else j + 1
        return inside

    def begins_body(self, i):
        back = i - 1
        while self.at(back) in ("const", "override", "noexcept", "final", "mutable"):
            back -= 1
        if self.at(back) == ")":
            return True
        # A result type after "->", and the members that a constructor begins with.
        for j in range(back, max(back - 12, -1), -1):
            if self.at(j) in ("->",):
                return True
            if self.at(j) in (";", "{", "}"):
                break
        return False

    def spaced(self, i):
        """A binary operator, which clang-format puts between blanks."""
        token = self.tokens[i]
        return self.text[token.begin - 1] in " \n" and self.text[token.end] in " \n"

    def add(self, begin, end, instead, kind):
        start = self.text.rfind("\n", 0, begin) + 1
        stop = self.text.find("\n", max(begin, end - 1))
        before = " ".join(self.text[start:stop].split())
        after = " ".join((self.text[start:begin] + instead + self.text[end:stop]).split())
        if before != after and not re.search(r"\breserve\(", before):
            self.found.append(Mutant(self.path, begin, end, instead, kind,
                                     self.text.count("\n", 0, begin) + 1, before, after))

    def mutants(self):
        for i, token in enumerate(self.tokens):
            if not self.in_function[i]:
                continue
            if token.kind == "sign":
                self.mutate_sign(i, token)
            elif token.kind == "number":
                self.mutate_number(i, token)
            elif token.kind == "word":
                self.mutate_word(i, token)
            if self.at(i - 1) in (";", "{", "}"):
                self.drop_statement(i)
        return sorted(set(self.found), key=lambda m: (m.path, m.begin, m.end, m.instead))

    def mutate_sign(self, i, token):
        for kind, swaps in SWAPS.items():
            if token.text in swaps and self.spaced(i):
                self.add(token.begin, token.end, swaps[token.text], kind)
        if token.text in ("+", "-", "*", "/") and self.spaced(i):
            self.drop_operand(i, self.end_of_term(i + 1, token.text in "+-"), "term")
        if token.text in ("&&", "||") and self.spaced(i):
            stops = ("||", "?", ":", ";", ",") + (("&&",) if token.text == "&&" else ())
            self.drop_operand(i, self.end_of_clause(i + 1, stops), "clause")
        if token.text == "?" and self.spaced(i):
            self.add(token.begin, token.begin, "&& false ", "choice")
            self.add(token.begin, token.begin, "|| true ", "choice")

    def mutate_number(self, i, token):
        text = token.text
        glued = self.text[token.begin - 1] == "<" or self.text[token.end] == ">"
        if glued:  # of a template
            return
        if "." in text or "e" in text and not text.startswith("0x") or "p" in text:
            nought = float.fromhex(text) == 0 if text.startswith("0x") else float(text) == 0
            self.add(token.begin, token.end, "1.0" if nought else f"({text} * 1.01)", "constant")
        elif text.rstrip("uUlLz").isdigit():
            digits = text.rstrip("uUlLz")
            suffix = text[len(digits):]
            for changed in (int(digits) + 1, int(digits) - 1):
                if changed >= 0 or self.at(i - 1) not in ("[", "<<", ">>"):
                    self.add(token.begin, token.end, f"{changed}{suffix}", "integer")

    def mutate_word(self, i, token):
        member = self.at(i - 1) in (".", "->")
        if token.text in WORDS and (token.text in ("true", "false") or self.at(i - 1) == "::"):
            self.add(token.begin, token.end, WORDS[token.text], "word")
        if token.text in ENDS and member:
            self.add(token.begin, token.end, ENDS[token.text], "end")
        if token.text in ("if", "while") and self.at(i + 1) == "(":
            self.negate(i + 1)
        if token.text in ("break", "continue") and self.at(i + 1) == ";":
            self.add(token.begin, token.end, "", "statement")

    def negate(self, opening):
        closing = self.partner[opening]
        last, assigned = None, None
        i = opening + 1
        while i < closing:
            if self.at(i) == ";":
                last = i
            elif self.at(i) == "=" and assigned is None:
                assigned = i
            i = self.partner[i] + 1 if self.at(i) in OPEN else i + 1
        begin, end = self.tokens[opening].end, self.tokens[closing].begin
        if last is not None:
            begin = self.tokens[last].end
        elif assigned is not None:  # if (const auto x = f())
            self.add(end, end, f"; !{self.at(assigned - 1)}", "negation")
            return
        blank = "" if last is None else " "
        self.add(begin, end, f"{blank}!({self.text[begin:end].strip()})", "negation")

    def end_of_primary(self, i):
        """The last token of a name, call, number or bracketed expression; None when there is no
        such thing."""
        while self.at(i) in ("-", "!", "*", "+"):
            i += 1
        if i >= len(self.tokens):
            return None
        if self.tokens[i].kind == "number":
            return i
        if self.at(i) == "(":
            last = self.partner[i]
        elif self.tokens[i].kind == "word":
            last = i
        else:
            return None
        while True:
            following = self.at(last + 1)
            if following in ("::", ".", "->") and last + 2 < len(self.tokens):
                last += 2
            elif following in ("(", "["):
                last = self.partner[last + 1]
            elif following == "{" and self.tokens[last].kind == "word" and \
                    self.tokens[last].end == self.tokens[last + 1].begin:
                last = self.partner[last + 1]
            elif following == "<" and not self.spaced(last + 1):
                depth, j = 1, last + 2
                while depth and j < len(self.tokens):
                    depth += {"<": 1, ">": -1, ">>": -2}.get(self.at(j), 0)
                    j += 1
                last = j - 1
            else:
                return last

    def end_of_term(self, i, whole_product):
        last = self.end_of_primary(i)
        while last is not None and whole_product and self.at(last + 1) in ("*", "/") and \
                self.spaced(last + 1):
            last = self.end_of_primary(last + 2)
        return last

    def end_of_clause(self, i, stops):
        last = None
        while i < len(self.tokens) and self.at(i) not in CLOSE and self.at(i) not in stops:
            last = self.partner[i] if self.at(i) in OPEN else i
            i = last + 1
        return last

    def drop_operand(self, i, last, kind):
        if last is not None:
            self.add(self.tokens[i].begin, self.tokens[last].end, "", kind)

    def end_of_statement(self, i):
        while i < len(self.tokens) and self.at(i) != ";":
            if self.at(i) in CLOSE:
                return None
            i = self.partner[i] + 1 if self.at(i) in OPEN else i + 1
        return i

    def drop_statement(self, i):
        token = self.tokens[i]
        last = self.end_of_statement(i)
        if last is None or last >= len(self.tokens):
            return
        if token.text == "return":
            self.drop_early_return(i, last)
        elif self.is_expression(i):
            self.add(token.begin, self.tokens[last].begin, "", "statement")

    def drop_early_return(self, i, last):
        condition = self.at(i - 1) == "{" and self.at(i - 2) == ")" and \
            self.at(self.partner[i - 2] - 1) == "if"
        if condition and self.at(last + 1) == "}":
            self.add(self.tokens[i].begin, self.tokens[last].begin, "", "return")

    def is_expression(self, i):
        """Whether the statement that begins here calls or assigns, and declares nothing."""
        if self.at(i) in ("++", "--"):
            return True
        if self.at(i) == "*":
            i += 1
        if self.tokens[i].kind != "word" or self.at(i) in NOT_EXPRESSIONS:
            return False
        last, called = i, False
        while True:
            following = self.at(last + 1)
            if following in ("::", ".", "->"):
                last += 2
            elif following in ("(", "["):
                called = called or following == "("
                last = self.partner[last + 1]
            else:
                return following in ASSIGNMENTS or called and following == ";" or \
                    following in ("++", "--")


def sources():
    return sorted(path for folder in FOLDERS
                  for path in (ROOT / "src" / folder).glob("*.?pp"))


# ---- what is known to mean the same

def equivalents():
    """{(path, before, after): reason}"""
    known, path, before, after = {}, None, None, None
    for number, line in enumerate(
            (pathlib.Path(__file__).parent / "equivalent.txt").read_text().splitlines(), 1):
        mark, rest = line[:2], " ".join(line[2:].split())
        if line.startswith("src/"):
            path = line.strip()
        elif mark == "- ":
            before = rest
        elif mark == "+ ":
            after = rest
        elif mark == "= ":
            if None in (path, before, after) or not rest:
                raise ValueError(f"equivalent.txt:{number}: a reason without its mutant")
            known[path, before, after] = rest
            after = None
        elif line.strip() and not line.startswith("#"):
            raise ValueError(f"equivalent.txt:{number}: {line}")
    return known


# ---- building and running

class Workshop:
    """A build in which a function of a mutant takes the place of the original's: the flags forbid the
    compiler to rely on what a function does that another may replace."""

    def __init__(self, folder):
        self.folder = folder
        # The first definition of a function, which is the mutant's, is the one that is linked.
        self.linker = ["-Wl,--allow-multiple-definition",
                       *(["-fuse-ld=lld"] if shutil.which("ld.lld") else [])]
        launcher = ["-DCMAKE_CXX_COMPILER_LAUNCHER=ccache"] if shutil.which("ccache") else []
        self.quietly("cmake", "-S", ROOT, "-B", BUILD, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=None",
                     "-DCMAKE_CXX_FLAGS=-O1 -fPIC -fno-inline -D_GLIBCXX_ASSERTIONS",
                     "-DBUILD_TESTING=ON", "-DCMAKE_UNITY_BUILD=ON", *launcher)
        self.quietly("cmake", "--build", BUILD, "--target", "trayworth_tests", "trayworth")
        commands = json.loads((BUILD / "compile_commands.json").read_text())
        self.compile = next(shlex.split(entry["command"]) for entry in commands
                            if "trayworth_core.dir" in entry["command"])
        self.link = {target: self.link_command(target)
                     for target in ("trayworth_tests", "trayworth")}
        self.patience = {}  # seconds a step may take
        for name in (*FOLDERS, None):
            failed = self.failed_test([], folder / "original", name)
            if failed:
                raise SystemExit(f"without any mutation, {failed} fails")

    @staticmethod
    def quietly(*command):
        done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
        if done.returncode != 0:
            raise SystemExit(f"{shlex.join(map(str, command))}\n{done.stdout}{done.stderr}")

    @staticmethod
    def link_command(target):
        lines = subprocess.run(["ninja", "-C", str(BUILD), "-t", "commands", target], check=True,
                               capture_output=True, text=True).stdout.splitlines()
        line = next(line for line in reversed(lines) if re.search(rf"-o \S*{target} ", line))
        return shlex.split(re.sub(r"^: && | && .*$", "", line))

    def compiled(self, mutant, text, place):
        """The object that holds the mutant, or None."""
        place.mkdir(parents=True)
        original = ROOT / mutant.path
        unit, flags = place / "mutant.cpp", []
        if original.suffix == ".hpp":
            # Every inline function of the header, in an object that comes before all others.
            overlay = place / original.relative_to(ROOT / "src")
            overlay.parent.mkdir()
            overlay.write_text(text)
            unit.write_text(f'#include "{original.relative_to(ROOT / "src")}"\n')
            flags = [f"-I{place}", "-fkeep-inline-functions"]
        else:
            unit.write_text(text)
        command = [part for part in self.compile if part != "ccache" and
                   not part.endswith("/ccache")]
        for option, value in (("-o", place / "mutant.o"), ("-c", unit)):
            command[command.index(option) + 1] = str(value)
        done = subprocess.run([command[0], *flags, *command[1:], "-O0", "-w"], cwd=BUILD, capture_output=True)
        return place / "mutant.o" if done.returncode == 0 else None

    def linked(self, target, objects, place):
        command = list(self.link[target])
        command[command.index("-o") + 1] = str(place / target)
        subprocess.run([command[0], *self.linker, *map(str, objects), *command[1:]], cwd=BUILD,
                       check=True, capture_output=True)
        return str(place / target)

    def failed_test(self, objects, place, folder):
        """The step that found the mutant, or None. Of the original, those near one folder, or all."""
        place.mkdir(parents=True, exist_ok=True)
        tests = [self.linked("trayworth_tests", objects, place), "--abort-after=1"]
        near = f"*/tests/{folder}/*"
        if folder and not self.passes(f"near {folder}", [*tests, f"--source-file={near}"]):
            return "tests near it"
        if folder and not objects:
            return None
        program = self.linked("trayworth", objects, place)
        for script in ("run_cases", "by_hand"):
            if not self.passes(script, [sys.executable, str(ROOT / "tests" / "cli" / f"{script}.py"),
                                        str(ROOT), program]):
                return f"{script}.py"
        if not self.passes("far", [*tests, f"--source-file-exclude={near}"]):
            return "other tests"
        return None

    def passes(self, step, command):
        begin = time.monotonic()
        try:
            done = subprocess.run(command, cwd=BUILD / "tests", stdout=subprocess.DEVNULL,
                                  stderr=subprocess.DEVNULL, timeout=self.patience.get(step, 600))
        except subprocess.TimeoutExpired:
            return False
        self.patience.setdefault(step, 5 * (time.monotonic() - begin) + 20)
        return done.returncode == 0

    def fate(self, mutant, text):
        """"does not compile", "survived", or what killed it; `text` is that of the file."""
        text = text[:mutant.begin] + mutant.instead + text[mutant.end:]
        place = pathlib.Path(tempfile.mkdtemp(dir=self.folder)) / "mutant"
        try:
            mutated = self.compiled(mutant, text, place)
            if mutated is None:
                return "does not compile"
            return self.failed_test([mutated], place, mutant.path.split("/")[1]) or "survived"
        finally:
            shutil.rmtree(place.parent)


# ---- the report

def percent(killed, counted):
    return 100 * killed / counted if counted else 100.0


def show(mutant, fate, seconds):
    line = f"{mutant.where()}: {mutant.kind}: {fate} ({seconds:.0f} s)"
    if fate == "survived":
        line += f"\n    - {mutant.before}\n    + {mutant.after}"
    print(line, flush=True)


def summary(fates):
    """A line a folder and one for all; the percentage that was killed."""
    rows = collections.defaultdict(collections.Counter)
    for mutant, fate in fates.items():
        kind = fate if fate in ("survived", "does not compile", "equivalent") else "killed"
        for row in (mutant.path.split("/")[1], "all"):
            rows[row][kind] += 1
    print(f"\n{'':10} {'mutants':>8} {'killed':>8} {'survived':>9} {'equivalent':>11} "
          f"{'not compiled':>13} {'killed %':>9}")
    for name in [*FOLDERS, "all"]:
        row = rows[name]
        counted = row["killed"] + row["survived"]
        print(f"{name:10} {row.total():8} {row['killed']:8} {row['survived']:9} "
              f"{row['equivalent']:11} {row['does not compile']:13} "
              f"{percent(row['killed'], counted):9.1f}")
    return percent(rows["all"]["killed"], rows["all"]["killed"] + rows["all"]["survived"])


def chosen(arguments):
    all_ = [mutant for path in sources() for mutant in Source(path).mutants()]
    if arguments.file:
        all_ = [m for m in all_ if any(m.path.endswith(name) for name in arguments.file)]
    if arguments.at:
        all_ = [m for m in all_ if m.where() in arguments.at]
    if arguments.sample and arguments.sample < len(all_):
        all_ = random.Random(arguments.seed).sample(all_, arguments.sample)
    return sorted(all_, key=lambda m: (m.path, m.begin, m.end, m.instead))


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--file", nargs="*", default=[])
    parser.add_argument("--at", nargs="*", default=[])
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--least", type=float, default=90)
    parser.add_argument("--list", action="store_true", help="show the mutants and run nothing")
    arguments = parser.parse_args()
    mutants = chosen(arguments)
    if arguments.list:
        for mutant in mutants:
            print(f"{mutant.where()}: {mutant.kind}\n    - {mutant.before}\n    + {mutant.after}")
        print(f"{len(mutants)} mutants")
        return 0
    known = equivalents()
    texts = {path: (ROOT / path).read_text() for path in {mutant.path for mutant in mutants}}
    fates = {m: "equivalent" for m in mutants if (m.path, m.before, m.after) in known}
    with tempfile.TemporaryDirectory() as folder:
        workshop = Workshop(pathlib.Path(folder))

        def run(mutant):
            begin = time.monotonic()
            fate = workshop.fate(mutant, texts[mutant.path])
            show(mutant, fate, time.monotonic() - begin)
            return fate

        left = [mutant for mutant in mutants if mutant not in fates]
        with concurrent.futures.ThreadPoolExecutor(arguments.jobs) as threads:
            fates.update(zip(left, threads.map(run, left)))
    return 0 if summary(fates) >= arguments.least else 1


if __name__ == "__main__":
    sys.exit(main())
