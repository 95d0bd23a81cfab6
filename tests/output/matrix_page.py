#!/usr/bin/python3
"""Reads the HTML page of a matrix as a browser and a reader would.

Usage: matrix_page.py ROOT TRAYWORTH

Nothing in it comes from a network or runs; tags are closed; each heat map has a name; text in a
cell has a contrast of 4.5 at least (WCAG 2.2, 1.4.3); names are text, whatever stands in them; and
the figures are those of the matrix.
"""

import html.parser
import json
import re
import subprocess
import sys

VOID = {"meta", "rect", "line", "br", "link", "img", "input", "hr"}
SELF_CLOSED = {"rect", "line"}
FAULTS = []


class Page(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.open, self.tags, self.texts, self.cells, self.fill = [], [], [], [], None
        self.headings = []

    def handle_starttag(self, tag, attrs):
        attributes = dict(attrs)
        self.tags.append((tag, attributes))
        if tag == "rect" and "fill" in attributes:
            self.fill = attributes["fill"]
        if tag == "text" and "fill" in attributes:
            self.cells.append((self.fill, attributes["fill"]))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        if tag not in SELF_CLOSED:
            FAULTS.append(f"<{tag}/> is no void element")
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            FAULTS.append(f"</{tag}> closes nothing")

    def handle_data(self, data):
        if self.open and self.open[-1] == "text":
            self.texts.append(data)
        around = [tag for tag in self.open if tag != "bdi"]
        if around and around[-1] in ("h1", "h2", "h3"):
            self.headings.append((around[-1], data))


def luminance(colour):
    digits = colour[1:] if len(colour) == 7 else "".join(c * 2 for c in colour[1:])
    channels = [int(digits[i:i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
                        for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(a, b):
    lighter, darker = sorted((luminance(a), luminance(b)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def page_of(program, matrix):
    done = subprocess.run([program, "matrix", "show", "--format", "html", "--matrix", "-"],
                          input=matrix, stdout=subprocess.PIPE, text=True, check=True)
    page = Page()
    page.feed(done.stdout)
    page.close()
    if page.open:
        FAULTS.append(f"never closed: {page.open}")
    return done.stdout, page


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    root, program = sys.argv[1:]
    with open(f"{root}/data/demonstration-matrix.json") as file:
        shipped = file.read()
    text, page = page_of(program, shipped)
    for word in ("http:", "https:", "//", "url(", "@import", "<script", "javascript"):
        if word in text.replace("<!DOCTYPE html>", ""):
            FAULTS.append(f"the page holds {word}")
    for tag, attributes in page.tags:
        for name in attributes:
            if name in ("src", "href", "srcset", "data", "action") or name.startswith("on"):
                FAULTS.append(f"<{tag} {name}>")
    matrix = json.loads(re.sub(r'("(?:\\.|[^"\\])*")|//[^\n]*', lambda m: m[1] or "", shipped))
    maps = [a for t, a in page.tags if t == "svg" and a.get("class") == "map"]
    if len(maps) != len(matrix["grids"]) or any("aria-labelledby" not in a for a in maps):
        FAULTS.append("not every grid has a heat map with a name")
    expected = [f"{cell[0]:,}" for grid in matrix["grids"] for row in grid["per_carat"]
                for cell in row]
    lows = [t for t in page.texts if not t.startswith(("N", "\u2013"))]
    grades = {"1", "2", "3", "4", "5"}
    if [t for t in lows if t not in grades] != [e.replace(".0", "") for e in expected
                                                if e.replace(".0", "") not in grades]:
        FAULTS.append("the low ends in the heat maps are not those of the matrix")
    if len(page.cells) != 2 * len(expected):
        FAULTS.append(f"{len(page.cells)} texts in {len(expected)} cells")
    worst = min(contrast(*cell) for cell in page.cells)
    if worst < 4.5:
        FAULTS.append(f"a contrast of {worst:.2f}")
    for light, dark in (("--ink", "--paper"), ("--soft", "--paper"), ("--accent", "--paper")):
        for block in re.findall(r":root \{([^}]*)\}", text):
            colours = dict(re.findall(r"(--\w+): (#\w+)", block))
            if contrast(colours[light], colours[dark]) < 4.5:
                FAULTS.append(f"{light} on {dark}: {contrast(colours[light], colours[dark]):.2f}")
    wanted = [("h1", matrix["name"])] + [("h3", g["name"]) for g in matrix["grids"]] + \
        [("h3", f["name"]) for f in matrix["factors"]]
    for heading in wanted:
        if heading not in page.headings:
            FAULTS.append(f"no heading {heading}")

    name = "<script>alert(1)</script>&amp;\"'"
    matrix["name"] = matrix["grids"][0]["name"] = matrix["factors"][1]["name"] = name
    matrix["factors"][1]["values"][name] = 1
    matrix["factors"][7]["values"][name] = {name: {name: 0.5}}
    matrix["market_levels"][name] = 3
    matrix["provenance"] = name
    text, page = page_of(program, json.dumps(matrix))
    if "<script" in text or text.count("&lt;script&gt;") < 10:
        FAULTS.append("a name is not text")
    if ("h1", name) not in page.headings:
        FAULTS.append(f"the name came out as {page.headings[0]}")

    for fault in FAULTS:
        print(fault)
    print(f"{len(page.cells)} texts in cells, contrast {worst:.2f} at least, {len(FAULTS)} faults")
    sys.exit(1 if FAULTS else 0)


main()
