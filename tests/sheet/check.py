# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py PROGRAM

Job sheets: each is well-formed, loads nothing, and says what the text report says, in its words and with its figures;
headings, tables and pictures are what a screen reader asks for; names are escaped; a file is whole or not there.
"""
import json
import os
import pathlib
import re
import tempfile
import xml.etree.ElementTree as tree
from html.parser import HTMLParser

from sheets import ROOT, SHEETS, run

LOADS = re.compile(r"https?:|//|\bsrc\b|\bhref\b|url\(|@import|<script|<link|<iframe|<object|<embed|\bon[a-z]+=", re.I)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
VOID = {"meta"}


def plain(text):
    return " ".join(text.split())


def words_of(element):
    return plain("".join(element.itertext()))


class Balanced(HTMLParser):
    """As a browser reads it: every element closed in its turn."""

    def __init__(self):
        super().__init__()
        self.open, self.seen = [], []

    def handle_starttag(self, tag, attributes):
        self.seen.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        assert self.open and self.open.pop() == tag, tag


def check_well_formed(page):
    assert page.startswith("<!DOCTYPE html>\n")
    assert not LOADS.search(page), LOADS.search(page)
    reader = Balanced()
    reader.feed(page)
    assert not reader.open and ("html", {"lang": "en"}) in reader.seen
    return tree.fromstring(page)


def check_outline(root):
    levels = [int(e.tag[1]) for e in root.iter() if re.fullmatch("h[1-6]", e.tag)]
    assert levels[0] == 1 and levels.count(1) == 1, levels
    assert all(after <= before + 1 for before, after in zip(levels, levels[1:])), levels
    assert [e.tag for e in root.find("body")] == ["header", "main"]
    assert root.find("head/title").text
    for heading in root.iter("h2"):
        assert words_of(heading) and not words_of(heading).endswith(":")


def check_tables(root):
    for table in root.iter("table"):
        for cell in table.iter("th"):
            assert cell.get("scope") in ("row", "col") and words_of(cell)
        assert all(len(row) == len(table[0]) for row in table.iter("tr"))
        assert any(cell.get("scope") for cell in table.iter("th"))


def check_picture(svg):
    """Title and description come first; all places lie inside."""
    assert svg.get("role") == "img" and svg[0].tag == "title" and svg[1].tag == "desc"
    assert svg[0].text and svg[1].text
    width, height = float(svg.get("width")), float(svg.get("height"))
    for group in svg.findall("g"):
        left, top = (float(n) for n in NUMBER.findall(group.get("transform")))
        for text in group.findall("text"):
            size = 7.6 * len(text.text)
            x = left + float(text.get("x")) - size * {"start": 0, "middle": 0.5, "end": 1}[text.get("text-anchor")]
            assert 0 <= x and x + size <= width, text.text
            assert 12 <= top + float(text.get("y")) <= height - 2, text.text


def check_says_the_same(root, report):
    """Every sentence, entry and cell of the page stands in the report; figures of the picture, too, but for ticks."""
    report = plain(report)
    body = root.find("body")
    written = {id(e) for section in body.iter("section") if section.get("class") == "form" for e in section.iter()}
    for element in body.iter():
        if element.tag in ("h1", "h2", "p", "td", "th") and id(element) not in written:
            assert words_of(element) in report, words_of(element)
        if element.tag == "li":
            assert plain(element.text) in report, element.text
    known = {"1", *NUMBER.findall(report)}  # the border of lean and rich
    for figure in body.iter("figure"):
        told = [words_of(figure.find("figcaption")), figure.find("svg/desc").text]
        told += [t.text for t in figure.iter("text") if t.get("text-anchor") == "start"]
        for number in NUMBER.findall(" ".join(told)):
            assert number in known, f"{number} is not in the report"


def check_sheet(folder, *command):
    path = folder / "sheet.html"
    done = run(*command, "--html", str(path))
    assert done.returncode == 0, done.stderr
    page = path.read_text()
    root = check_well_formed(page)
    check_outline(root)
    check_tables(root)
    for figure in root.iter("figure"):
        check_picture(figure.find("svg"))
    check_says_the_same(root, done.stdout)
    assert "prefers-color-scheme:dark" in page and "@media print" in page and "size:A4" in page
    return root


def check_cases(folder):
    """All that come along: one fault, two, none; with a profile and with a class; over visits."""
    pictures = 0
    for case in sorted((ROOT / "profiles/cases").glob("*.yaml")):
        root = check_sheet(folder, "explain", case.stem)
        pictures += len(list(root.iter("figure")))
        headings = [words_of(h) for h in root.iter("h2")]
        assert "What to do" in headings, headings
    assert pictures >= 3


def check_others(folder):
    """Those of the other commands; each has a picture, or no range to draw."""
    for command in SHEETS:
        if command[0] != "explain":
            figures = list(check_sheet(folder, *command).iter("figure"))
            assert len(figures) == ("--throttle" not in command), command


def check_escape(folder):
    text = (ROOT / "profiles/engines/courier-150.yaml").read_text()
    name = "</p></title><script>alert(1)</script> & \"5 < 6\" 'µ'"
    odd = re.sub(r"^name: .*$", lambda _: f"name: {json.dumps(name, ensure_ascii=False)}", text, flags=re.M)
    assert odd != text
    engine = folder / "odd.yaml"
    engine.write_text(odd)
    for command in (["explain", str(engine), "--seen", "hunts@idle,runs_well@full"],
                    ["rejet", str(engine), "--altitude", "1600m"], ["mixture", str(engine)]):
        root = check_sheet(folder, *command)
        assert name in words_of(root.find("body/header")), words_of(root.find("body/header"))
        assert name in root.find("head/title").text
        assert not list(root.iter("script"))


def check_control(folder):
    """What steers a terminal or is no character is a blank, on a page, in a picture and in text."""
    text = (ROOT / "profiles/engines/courier-150.yaml").read_text()
    engine = folder / "steers.yaml"
    engine.write_text(re.sub(r"^name: .*$", lambda _: r'name: "a\e[2Jb\x9b2Jc\uFFFEd\uFFFFe"', text, flags=re.M))
    root = check_sheet(folder, "mixture", str(engine))
    assert "a [2Jb 2Jc d e" in words_of(root.find("body/header"))
    picture = folder / "steers.svg"
    done = run("rejet", str(engine), "--altitude", "1600m", "--svg", str(picture))
    assert done.returncode == 0 and not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\uFFFE\uFFFF]", done.stdout)
    assert "a [2Jb" in picture.read_text() and tree.parse(picture)


def check_files(folder):
    explain, rejet, mixture = ["explain", "stood-five-months"], ["rejet", "courier-150"], ["mixture", "courier-150"]
    for command, option in ((explain, "--html"), (explain, "--svg"), (rejet, "--html"), (rejet, "--svg"),
                            (mixture, "--html")):  # whose --svg is of --cycle
        nowhere = folder / "no/such"
        done = run(*command, option, str(nowhere))
        assert done.returncode == 1 and str(nowhere) in done.stderr and "No such file" in done.stderr, done.stderr
        (folder / "taken").mkdir(exist_ok=True)
        done = run(*command, option, str(folder / "taken"))
        assert done.returncode == 1 and "taken" in done.stderr, done.stderr
        done = run(*command, option, "/dev/full")
        assert done.returncode == 1 and "No space left" in done.stderr, done.stderr
        if os.geteuid():  # whom no folder is closed to
            closed = folder / "closed"
            closed.mkdir(exist_ok=True)
            closed.chmod(0o500)
            done = run(*command, option, str(closed / "a"))
            closed.chmod(0o700)
            assert done.returncode == 1 and "Permission denied" in done.stderr and not list(closed.iterdir())
        assert not list((folder / "taken").iterdir())
    assert not [path.name for path in folder.iterdir() if path.name.endswith(".new")]


def check_svg(folder):
    """The picture alone, and a plain refusal where there is none to draw."""
    path = folder / "lambda.svg"
    done = run("explain", "stood-five-months", "--svg", str(path))
    assert done.returncode == 0, done.stderr
    svg = tree.parse(path).getroot()
    assert svg.tag.endswith("}svg") and svg[0].text and svg[1].text
    for number in NUMBER.findall(svg[1].text):
        assert number in NUMBER.findall(done.stdout), number
    path.unlink()
    done = run("explain", "two-faults-at-once", "--svg", str(path))
    assert done.returncode == 1 and str(path) in done.stderr and not path.exists()


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        check_cases(folder)
        check_others(folder)
        check_escape(folder)
        check_control(folder)
        check_files(folder)
        check_svg(folder)


main()
