#!/usr/bin/python3
"""Texts derived from the grammar of RFC 8259 and mutated, read by the program, by Python's json
module and by a recognizer made from the same grammar.

Usage: rfc8259.py BINARY

The three have to agree on what is JSON, and the program has to say where each other text stops being
JSON: at the token that holds the first character that no JSON text has there, or at the token before
it. Where Python does not follow the RFC, it is told to: NaN and Infinity are no JSON (section 6).
Where the RFC leaves a choice, the program makes this one: a byte order mark at the start of a file is
ignored (8.1), an escape that is half of a surrogate pair is refused (8.2), and so is a number that no
double holds (6).
"""

import functools
import json
import pathlib
import random
import re
import subprocess
import sys
import tempfile

# ---- the grammar: RFC 8259, sections 2 to 7, each production by its name there


def chars(first, last=None):
    return ("chars", ord(first), ord(last or first))


def word(text):
    return ("all", *map(chars, text))


def all_of(*parts):
    return ("all", *parts)


def one_of(*parts):
    return ("one", *parts)


def repeat(least, most, part):
    return ("repeat", least, most, part)


def optional(part):
    return repeat(0, 1, part)


MANY = None  # no most
HEX = one_of(chars("0", "9"), chars("A", "F"), chars("a", "f"))
GRAMMAR = {
    "JSON-text": all_of("ws", "value", "ws"),
    "begin-array": all_of("ws", chars("["), "ws"),
    "begin-object": all_of("ws", chars("{"), "ws"),
    "end-array": all_of("ws", chars("]"), "ws"),
    "end-object": all_of("ws", chars("}"), "ws"),
    "name-separator": all_of("ws", chars(":"), "ws"),
    "value-separator": all_of("ws", chars(","), "ws"),
    "ws": repeat(0, MANY, one_of(chars(" "), chars("\t"), chars("\n"), chars("\r"))),
    "value": one_of("number", "string", word("false"), word("null"), word("true"), "object",
                    "array"),
    "object": all_of("begin-object",
                     optional(all_of("member", repeat(0, MANY, all_of("value-separator",
                                                                      "member")))),
                     "end-object"),
    "member": all_of("string", "name-separator", "value"),
    "array": all_of("begin-array",
                    optional(all_of("value", repeat(0, MANY, all_of("value-separator", "value")))),
                    "end-array"),
    "number": all_of(optional(chars("-")), "int", optional("frac"), optional("exp")),
    "int": one_of(chars("0"), all_of(chars("1", "9"), repeat(0, MANY, chars("0", "9")))),
    "frac": all_of(chars("."), repeat(1, MANY, chars("0", "9"))),
    "exp": all_of(one_of(chars("e"), chars("E")), optional(one_of(chars("-"), chars("+"))),
                  repeat(1, MANY, chars("0", "9"))),
    "string": all_of(chars('"'), repeat(0, MANY, "char"), chars('"')),
    "char": one_of("unescaped", all_of(chars("\\"), one_of(
        *map(chars, '"\\/bfnrt'), all_of(chars("u"), HEX, HEX, HEX, HEX)))),
    "unescaped": one_of(chars("\x20", "\x21"), chars("\x23", "\x5b"), chars("\x5d", "\U0010ffff")),
}

# ---- what it derives

# The ends of ranges, and of what UTF-8 writes with as many bytes; none is half of a pair.
ENDS = [0x7F, 0x80, 0x7FF, 0x800, 0xD7FF, 0xE000, 0xFFFF, 0x10000]
SHORTEST = {"value": "0", "string": '""', "ws": "", "number": "0", "object": "{}", "array": "[]"}


def shortest(part):
    if isinstance(part, str):
        return SHORTEST.get(part) if part in SHORTEST else shortest(GRAMMAR[part])
    if part[0] == "chars":
        return chr(part[1])
    if part[0] == "all":
        return "".join(map(shortest, part[1:]))
    return shortest(part[1]) if part[0] == "one" else shortest(part[3]) * part[1]


def derived(part, depth):
    """Texts that cover the part: every alternative, the ends of every range, none, one and more of
    what repeats, each with the rest at its shortest. Values stand in values so deep."""
    if part == "value" and depth == 0:
        return ["0", '""', "null", "{}", "[]"]
    if isinstance(part, str):
        return derived(GRAMMAR[part], depth - (part == "value"))
    if part[0] == "chars":
        return sorted({chr(code) for code in [part[1], part[2], *ENDS] if part[1] <= code <= part[2]})
    if part[0] == "one":
        return [text for each in part[1:] for text in derived(each, depth)]
    if part[0] == "all":
        least = [shortest(each) for each in part[1:]]
        return list(dict.fromkeys(
            "".join(least[:i]) + text + "".join(least[i + 1:])
            for i, each in enumerate(part[1:]) for text in derived(each, depth)))
    _, least, most, each = part
    texts = derived(each, depth)
    counts = [n for n in (0, 1, 2, 3) if n >= least and (most is None or n <= most)]
    found = [shortest(each) * n for n in counts] + texts * (1 in counts)
    if 2 in counts:
        found += [text + other for text, other in zip(texts, texts[1:] + texts[:1])]
    return list(dict.fromkeys(found))


ALPHABET = list('{}[],:"\\/ \t\n\r0123-+.eEuabtfn\'#NI_') + [
    "\0", "\x01", "\x0b", "\x0c", "\x1f", "\x7f", "\x85", "\xa0", "\u2028", "\ufeff", "\U0001f48e",
    "//", "/**/", "NaN", "Infinity", "true", "null", "0x1", "1_0", "\\u", "\\ud800", "\\udc00",
    "\\ud83d\\udc8e", "\\x41", '""', "[]", "{}", "\u0661", "01"]


def mutated(texts, draw, number):
    found = set()
    for text in texts:
        found.update(text[:i] for i in range(len(text)))
        found.update(text[:i] + text[i + 1:] for i in range(len(text)))
        found.update(text[:i] + text[i:i + 1] + text[i:] for i in range(len(text)))
    for _ in range(number):
        text = draw.choice(texts)
        at = draw.randint(0, len(text))
        other = draw.choice(ALPHABET)
        found.add(text[:at] + other + text[at + draw.randint(0, 1):])
    return sorted(found)


# ---- what it recognizes


def expanded(stack):
    """The stacks of what is due whose first is a character, or nothing."""
    if stack is None:
        return {None}
    part, rest = stack
    if isinstance(part, str):
        return expanded((GRAMMAR[part], rest))
    if part[0] == "chars":
        return {stack}
    if part[0] == "all":
        for each in reversed(part[1:]):
            rest = (each, rest)
        return expanded(rest)
    if part[0] == "one":
        return set().union(*(expanded((each, rest)) for each in part[1:]))
    _, least, most, each = part
    found = expanded(rest) if least == 0 else set()
    if most is None or most > 0:
        again = ("repeat", max(least - 1, 0), most and most - 1, each)
        found = found | expanded((each, rest if most == 1 else (again, rest)))
    return found


@functools.lru_cache(maxsize=None)
def after(stacks, character):
    code = ord(character)
    return frozenset(due for stack in stacks if stack and stack[0][1] <= code <= stack[0][2]
                     for due in expanded(stack[1]))


def recognized(text):
    """Whether it is JSON, and how many characters begin a JSON text."""
    stacks = frozenset(expanded(("JSON-text", None)))
    for i, character in enumerate(text):
        stacks = after(stacks, character)
        if not stacks:
            return False, i
    return None in stacks, len(text)


def by_python(text):
    def no_json(name):
        raise ValueError(name)
    try:
        json.loads(text, parse_constant=no_json)
    except ValueError:
        return False
    return True


def refused_by_choice(text):
    """JSON by its grammar, and yet not read: numbers no double holds, halves of pairs."""
    def infinite(number):
        if float(number) in (float("inf"), float("-inf")):
            raise OverflowError
    try:
        value = json.loads(text, parse_float=infinite, parse_int=infinite)
    except OverflowError:
        return True
    try:
        json.dumps(value, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        return True
    return False


TOKEN = re.compile(r'"(?:\\.|[^"\\])*"?|[{}\[\],:]|[^{}\[\],:" \t\n\r]+', re.DOTALL)


def around(text, at):
    """From the token in front of the one that the character belongs to, to the end of that one."""
    begins = [0]
    for token in TOKEN.finditer(text):
        if token.end() > at:
            return begins[-1], token.end()
        begins.append(token.start())
    return begins[-1], len(text)


# ---- the program


def check(binary, text, *arguments):
    done = subprocess.run([binary, "check", "--format", "ndjson", "--quiet", *arguments],
                          input=text, capture_output=True, timeout=300)
    return [json.loads(line) for line in done.stdout.splitlines()], done


NO_JSON = ("json-syntax", "json-encoding", "number-size")


def fault_of(answer):
    return next((e for e in answer.get("errors", []) if e["code"] in NO_JSON), None)


class Comparison:
    def __init__(self, binary):
        self.binary, self.checks, self.failures = binary, 0, []
        self.accepted = 0

    def expect(self, holds, what):
        self.checks += 1
        if not holds:
            self.failures.append(what)

    def judged(self, text):
        """Whether the program is to read it, after a look at whether the judges agree."""
        is_json, viable = recognized(text)
        self.expect(by_python(text) == is_json,
                    f"Python and the grammar differ on {text!r}: {by_python(text)}, {is_json}")
        return is_json and not refused_by_choice(text), viable

    def as_fields(self, texts):
        """Each as the value of a field, a record a line."""
        texts = [text for text in texts if "\n" not in text]
        lead = '{"x-a":'
        lines = "".join(f"{lead}{text}}}\n" for text in texts)
        answers, _ = check(self.binary, lines.encode(), "-")
        self.expect(len(answers) == len(texts), f"{len(answers)} answers to {len(texts)} lines")
        for number, (text, answer) in enumerate(zip(texts, answers), 1):
            record = f"{lead}{text}}}"
            wanted, viable = self.judged(record)
            fault = fault_of(answer)
            self.accepted += fault is None
            self.expect((fault is None) == wanted, f"{record!r}: {fault or 'is read'}")
            if fault and not wanted and not recognized(record)[0]:
                column = fault["column"] - 1
                least, most = around(record, viable)
                self.expect(fault["line"] == number and least <= column <= most,
                            f"{record!r} ends to be JSON at {viable}, and the fault is said to be "
                            f"at {column}: {fault['message']}")

    def as_documents(self, texts):
        """Each as a file of its own."""
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "text.json"
            for text in texts:
                path.write_bytes(text.encode())
                answers, done = check(self.binary, b"", str(path))
                lines = [line for line in text.split("\n") if line.strip(" \t\r")]
                wanted = self.judged(text)[0] or (
                    len(lines) > 1 and all(self.judged(line)[0] for line in lines))
                faults = [fault for fault in map(fault_of, answers) if fault]
                self.accepted += not faults
                self.expect(done.returncode in (0, 1, 2), f"{text!r}: {done.returncode}")
                read = not faults and (bool(answers) or done.returncode == 0)
                self.expect(read == wanted,
                            f"the file {text!r}: {faults or 'is read'}")
                for fault in faults:
                    inside = self.inside(text, fault)
                    self.expect(inside, f"the file {text!r}: a fault at {fault['line']}:"
                                f"{fault['column']}")

    @staticmethod
    def inside(text, fault):
        lines = text.lstrip("\ufeff").split("\n")
        return (1 <= fault["line"] <= len(lines)
                and 1 <= fault["column"] <= len(lines[fault["line"] - 1]) + 1)

    def encodings(self):
        """RFC 8259, 8.1; RFC 3629, sections 3 and 4."""
        record = '{"id":"é"}'
        for mark, wanted in (("", True), ("\ufeff", True), ("\ufeff\ufeff", False),
                             (" \ufeff", False)):
            for rest in ("", "\n", "\n" + record):
                answers, _ = check(self.binary, (mark + record + rest).encode(), "-")
                self.expect((not fault_of(answers[0])) == wanted, f"{mark!r} before a record")
        for at in range(1, len(record) + 1):  # outside strings a mark is a fault, inside it is text
            text = record[:at] + "\ufeff" + record[at:]
            answers, _ = check(self.binary, text.encode(), "-")
            self.expect((fault_of(answers[0]) is None) == by_python(text), f"{text!r}")
        for encoding in ("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-32-le", "utf-32-be",
                         "latin-1"):
            answers, done = check(self.binary, record.encode(encoding), "-")
            self.expect(done.returncode == 2 or fault_of(answers[0]), f"{encoding} is read")
        sound = [b"\x7f", b"\xc2\x80", b"\xdf\xbf", b"\xe0\xa0\x80", b"\xed\x9f\xbf",
                 b"\xee\x80\x80", b"\xef\xbf\xbf", b"\xf0\x90\x80\x80", b"\xf4\x8f\xbf\xbf"]
        spoiled = [b"\x80", b"\xbf", b"\xc0\x80", b"\xc1\xbf", b"\xc2", b"\xc2\x7f", b"\xc2\xc0",
                   b"\xe0\x9f\xbf", b"\xe0\x80\x80", b"\xed\xa0\x80", b"\xed\xbf\xbf", b"\xe1\x80",
                   b"\xef\xbf", b"\xf0\x8f\xbf\xbf", b"\xf4\x90\x80\x80", b"\xf5\x80\x80\x80",
                   b"\xf0\x90\x80", b"\xf8\x88\x80\x80\x80", b"\xfe", b"\xff", b"\xe2\x28\xa1"]
        for parts, wanted in ((sound, True), (spoiled, False)):
            for part in parts:
                for text in (b'{"id":"a' + part + b'"}', b'{"x-' + part + b'":1}',
                             b'{"x-a":["' + part + b'"]}'):
                    answers, _ = check(self.binary, text, "-")
                    fault = fault_of(answers[0])
                    self.expect((fault is None) == wanted, f"{text}: {fault or 'is read'}")
                    if not wanted and fault:
                        begin = text.index(part) + 1
                        self.expect(fault["code"] == "json-encoding" and fault["line"] == 1
                                    and begin <= fault["column"] <= begin + len(part),
                                    f"{text}: said to be at {fault['column']}")

    def line_ends(self):
        """CR, LF and both are blanks (section 2); lines are counted by their line feeds."""
        record = '{\n "id": "a",\n "type": 1\n}'
        for end, place in (("\n", (3, 10)), ("\r\n", (3, 10)), ("\r", (1, 24))):
            answers, _ = check(self.binary, record.replace("\n", end).encode(), "-")
            error = answers[0]["error"]
            self.expect((error["code"], error["line"], error["column"]) == ("value-type", *place),
                        f"{end!r} ends lines: {error}")
        for end in ("\n", "\r\n"):
            lines = f'{{"id":"a","weight_ct":1}}{end}{{"id":1}}{end}'
            answers, _ = check(self.binary, lines.encode(), "-")
            found = [(e["code"], e["line"]) for a in answers for e in a.get("errors", [])]
            self.expect(len(answers) == 2 and ("value-type", 2) in found
                        and ("value-type", 1) not in found, f"NDJSON of lines that end in {end!r}")
        for text in ('{"id":"a\nb"}', '{"id":"a\rb"}', '{"id":"a\tb"}', '{"id":"a\0b"}'):
            answers, _ = check(self.binary, text.encode(), "-")
            self.expect(fault_of(answers[0]), f"{text!r} is read")
        answers, _ = check(self.binary, b'{"id":"a\\u0000b"}', "-")
        self.expect(answers[0]["id"] == "a\0b", "an escaped NUL is a character like others")


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    sys.set_int_max_str_digits(0)
    draw = random.Random(8259)
    comparison = Comparison(sys.argv[1])
    sound = derived("JSON-text", 2)
    values = derived("value", 2)
    numbers = derived("number", 0)
    small = [text for text in values if len(text) <= 16]
    comparison.as_fields(values)
    comparison.as_fields(mutated(small, draw, 12000))
    comparison.as_fields(numbers + mutated(numbers, draw, 2000))
    documents = [text for text in mutated(derived("object", 1) + derived("array", 1), draw, 3000)]
    comparison.as_documents(draw.sample(sound, 150) + draw.sample(documents, 450))
    comparison.encodings()
    comparison.line_ends()
    print("\n".join(comparison.failures[:40]))
    print(f"{len(sound)} texts derived; {comparison.checks} checks, {comparison.accepted} texts "
          f"read, {len(comparison.failures)} failures")
    few = len(sound) < 300 or comparison.accepted < 1000
    sys.exit(1 if comparison.failures or few else 0)


main()
