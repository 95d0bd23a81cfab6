#!/usr/bin/env python3
"""Pages, from outside and without a browser: their form, what they lead to, threads, long trays.

page.py ROOT BINARY
"""

import html.parser
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

VOID = {"meta", "br", "hr", "img", "link", "input", "path", "line", "rect", "circle", "polyline"}
ALLOWED = {"html", "head", "meta", "title", "style", "body", "header", "main", "footer", "nav",
           "article", "section", "div", "span", "p", "h1", "h2", "h3", "a", "bdi", "strong", "ul",
           "ol", "li", "dl", "dt", "dd", "figure", "figcaption", "table", "caption", "thead",
           "tbody", "tfoot", "tr", "th", "td", "details", "summary", "br", "code", "svg",
           "desc", "path", "line", "polyline", "rect", "circle", "text", "g"}
ALLOWED_ATTRIBUTES = {"class", "id", "lang", "charset", "http-equiv", "content", "name", "href",
                      "scope", "colspan", "style", "role", "aria-label", "aria-hidden", "viewbox",
                      "width", "height", "x", "y", "x1", "y1", "x2", "y2", "d", "cx", "cy", "r",
                      "text-anchor", "tabindex", "aria-labelledby", "rx", "points", "fill", "preserveaspectratio"}
MANY = 10001  # one more than a table holds


class Page(html.parser.HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.faults, self.open = [], []
        self.ids, self.links, self.headings, self.style = [], [], [], ""
        self.named_drawings = self.drawings = 0
        self.texts = []
        self.feed(text)
        self.close()
        if self.open:
            self.faults.append(f"left open: {self.open}")

    def handle_starttag(self, tag, attributes):
        attributes = dict(attributes)
        if tag not in ALLOWED:
            self.faults.append(f"<{tag}> has no place on a page")
        for name in attributes.keys() - ALLOWED_ATTRIBUTES:
            self.faults.append(f"<{tag} {name}> has no place on a page")
        if "style" in attributes and not re.fullmatch(
                r"((left|(min-|max-)?width):[0-9.]+(%|em|px);?)+", attributes["style"]):
            self.faults.append(f"style {attributes['style']}")
        if "id" in attributes:
            self.ids.append(attributes["id"])
        if "href" in attributes:
            self.links.append(attributes["href"])
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "th" and "scope" not in attributes:
            self.faults.append("a <th> without scope")
        if tag == "svg" and attributes.get("aria-hidden") != "true":
            self.drawings += 1
            self.named_drawings += attributes.get("role") == "img"
        if tag == "title" and self.open[-1:] == ["svg"]:
            self.named_drawings += 1
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        if not self.open or self.open[-1] != tag:
            self.faults.append(f"</{tag}> within {self.open[-3:]}")
        else:
            self.open.pop()

    def handle_data(self, data):
        if self.open and self.open[-1] == "style":
            self.style += data
        else:
            self.texts.append(data)

    def all_faults(self):
        faults = list(self.faults)
        if len(self.ids) != len(set(self.ids)):
            faults.append("an id stands twice")
        for link in self.links:
            if not link.startswith("#") or link[1:] not in self.ids:
                faults.append(f"a link leads to {link}")
        for before, here in zip([0] + self.headings, self.headings):
            if here > before + 1:
                faults.append(f"a heading of level {here} follows one of level {before}")
        if self.headings.count(1) != 1:
            faults.append("there is not one heading of level 1")
        if self.named_drawings != 2 * self.drawings:
            faults.append("a drawing without role or title")
        if re.search(r"url\(|@import|expression", self.style) or "prefers-color-scheme" not in \
                self.style:
            faults.append("style that fetches, or that is not this project's")
        return faults


class Checks:
    def __init__(self, binary):
        self.binary = binary
        self.count = self.failed = 0

    def expect(self, holds, otherwise):
        self.count += 1
        if not holds:
            self.failed += 1
            print(otherwise)

    def page(self, *arguments, text=b"", status=0):
        done = subprocess.run([self.binary, "value", "--format", "html", *arguments], input=text,
                              capture_output=True, timeout=300)
        self.expect(done.returncode == status,
                    f"{arguments}: exit status {done.returncode}: {done.stderr[:300]}")
        return done.stdout.decode("utf-8")


def records(root, number):
    generate = root / "tests" / "bench" / "generate.py"
    return subprocess.run([sys.executable, str(generate), str(number), "7"], check=True,
                          capture_output=True).stdout


def form(check, root):
    examples = root / "examples"
    hostile = root / "tests" / "page" / "hostile.ndjson"
    converted = ["--in", "JPY", "--rate", "97.25", "--rate-date", "2026-11-01"]
    for file, status, *options in (
            (examples / "first-stone.json", 0), (examples / "ring-stone-set.json", 0),
            (examples / "tray.json", 0), (examples / "stock.ndjson", 0), (hostile, 1),
            (examples / "first-stone.json", 0, *converted),
            (examples / "tray.json", 0, "--sensitivity"), (hostile, 1, "--sensitivity")):
        text = check.page(*options, str(file), status=status)
        page = Page(text)
        for fault in page.all_faults():
            check.expect(False, f"{file.name}: {fault}")
        said = " ".join(page.texts)
        for caution in ("not an appraisal", "invented for the demonstration", "registered valuer"):
            check.expect(caution in said, f"{file.name} does not say: {caution}")
    texts = Page(check.page(str(hostile), status=1)).texts
    given = [json.loads(line) for line in hostile.read_text().splitlines()]
    check.expect(given[0]["id"] in texts and given[0]["notes"] in texts,
                 "a hostile text is not shown as it was written")
    check.expect(not any(c in text for text in texts for c in "\u202e\u2066\x07\0"),
                 "a control character got through")
    spoiled = Page("<html><p><b>x</p><a href='http://x'>y</a></html>").all_faults()
    check.expect(len(spoiled) >= 4, "the check itself finds nothing")


def tray(check, root):
    tray_file = str(root / "examples" / "tray.json")
    page = check.page(tray_file)
    check.expect(page.count("<article") == 11 and page.count('href="#stone-11"') == 2,
                 "not every stone of the tray has its card, its range and its row")
    check.expect("hydrophane when selling it" in page, "nothing is said of the hydrophane stone")
    order = re.findall(r'<th scope="row"><a href="#stone-(\d+)"', check.page("--sort", "-likely",
                                                                           tray_file))
    check.expect(order[0] == "1" and sorted(map(int, order)) == list(range(1, 12)),
                 f"the table is not in order: {order}")
    some = check.page("--only", "type=solid", tray_file)
    check.expect("4 records did not meet the conditions" in some and some.count("<article") == 7,
                 "stones left out are not said to be")
    check.expect('id="stone-8"' in some, "a stone does not keep its place in the input")
    refused = subprocess.run([check.binary, "value", "--format", "html", "--total", tray_file],
                             capture_output=True)
    check.expect(refused.returncode == 2 and b"--total" in refused.stderr and not refused.stdout,
                 "--total with a page is not refused")
    swings = check.page("--sensitivity", tray_file)
    check.expect(swings.count('class="swings"') == 11, "not every stone has its tornado chart")
    end = page.index('id="tray"')
    check.expect(swings.endswith(page[end:]), "a total depends on what else is asked for")
    broken = check.page("-", text=b'[{"id": "a"}]', status=1)
    check.expect("refused, not valued" in broken and "No stone was valued." in broken,
                 "a refused record is not on the page")


def threads(check, root):
    text = records(root, 1500)
    one = check.page("--jobs", "1", "-", text=text)
    for jobs in ("2", "8"):
        check.expect(check.page("--jobs", jobs, "-", text=text) == one,
                     f"{jobs} threads write other bytes than one")


def many(check, root):
    text = check.page("-", text=records(root, MANY))
    check.expect(text.count("<article") == MANY, "not every stone has a card")
    check.expect("too many stones" in text and "<table class=\"stones\"" not in text,
                 "a long tray has a table all the same")
    check.expect(f"{MANY:,} stones, sum of likely values" in text, "a long tray has no total")


def fit(check, root):
    """The page of a fit: a point a sale, every table, and names as text whatever stands in them."""
    ledger = root / "examples" / "sales.csv"
    sold = sum(",,AUD," in row for row in ledger.read_text().splitlines())
    matrix = (root / "data" / "demonstration-matrix.json").read_text()
    name = r'</title><script>\u202e & \"mine\"'
    with tempfile.TemporaryDirectory() as folder:
        hostile = Path(folder) / "hostile.json"
        hostile.write_text(matrix.replace('"name": "Demonstration matrix"', f'"name": "{name}"')
                           .replace('"name": "colours"', '"name": "<i>colours"'))
        for options in (["--matrix", str(hostile)], []):
            report = Path(folder) / "report.html"
            done = subprocess.run([check.binary, "fit", *options, "--format", "html", "--report",
                                   str(report), "--output", "/dev/null", str(ledger)],
                                  capture_output=True, timeout=300)
            check.expect(done.returncode == 0, f"fit: exit status {done.returncode}")
            text = report.read_text(encoding="utf-8")
            page = Page(text)
            for fault in page.all_faults():
                check.expect(False, f"fit {options}: {fault}")
            said = " ".join(page.texts)
            for words in ("not an appraisal", "invented for the demonstration", "What the sales say",
                          "Not moved, since no sale used them", "Held at 1"):
                check.expect(words in said, f"the page of a fit does not say: {words}")
            check.expect(("<i>colours" in said) == (options != []), "a name is not shown as it is")
            check.expect("\u202e" not in text and "<script" not in text and "<i>" not in text,
                         "a name acts on the page of a fit")
    points = text.count(' r=".9"/>')
    check.expect(points == sold > 20, f"{points} points for {sold} sales")


def main():
    root = Path(sys.argv[1])
    check = Checks(sys.argv[2])
    form(check, root)
    tray(check, root)
    threads(check, root)
    many(check, root)
    fit(check, root)
    print(f"{check.count} checks, {check.failed} failed")
    return 1 if check.failed else 0


if __name__ == "__main__":
    sys.exit(main())
