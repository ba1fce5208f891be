# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: look.py PROGRAM

Job sheets in headless Chromium, at 360 and 1280 pixels, light and dark: nothing sticks out sideways, the colours are the
theme's, axe-core, where it is installed, has nothing to object to, and on paper each is one sheet of A4.
"""
import os
import pathlib
import re
import subprocess
import sys
import tempfile

import browser
from sheets import ROOT, SHEETS, run

WIDTHS = (360, 1280)
THEMES = {"light": "rgb(255, 255, 255)", "dark": "rgb(21, 24, 27)"}
A4 = (595, 842)  # points
AXE = "axe-core/axe.min.js"


def find_axe():
    """Where npm puts it: below the project, or for all."""
    folders = [ROOT / "node_modules", *ROOT.glob("build*/node_modules")]
    try:
        folders.append(pathlib.Path(subprocess.run(["npm", "root", "--global"], capture_output=True, text=True).stdout.strip()))
    except FileNotFoundError:
        pass
    return next((folder / AXE for folder in folders if (folder / AXE).exists()), None)


def check_screen(page, path, axe):
    for theme, paper in THEMES.items():
        for width in WIDTHS:
            page.show(path, width, theme)
            where = f"{path.read_text().split('<title>')[1].split('<')[0]}, {width} px, {theme}"
            assert page.tell("innerWidth") == width
            wide = page.tell("document.documentElement.scrollWidth")
            assert wide <= width, f"{where}: {wide} px wide"
            # A picture's words, too: they scale with it.
            small = page.tell("Math.min(...[...document.querySelectorAll('svg')].map(s => "
                              "s.getBoundingClientRect().width / s.viewBox.baseVal.width), 1)")
            assert 14 * small >= 11, f"{where}: words of {14 * small:.1f} px"
            assert page.tell("getComputedStyle(document.body).backgroundColor") == paper, where
            assert page.tell("getComputedStyle(document.querySelector('.form')).display") == "none", where
            if axe:
                page.tell(axe)
                found = page.tell("axe.run().then(r => r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html)))")
                assert not found, f"{where}: {found}"


def check_paper(page, path):
    """The page objects of the file: one, with a box of that size."""
    pdf = page.pdf()
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1, f"{path}: not one page"
    box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", pdf)
    assert tuple(round(float(n)) for n in box.groups()) == A4, box


def main():
    program, axe = browser.find(), find_axe()
    if not program:
        print("SKIP: Chromium is not there to look at the sheets")
        return 77
    with tempfile.TemporaryDirectory() as name, tempfile.TemporaryDirectory() as profile:
        path = pathlib.Path(name) / "sheet.html"
        with browser.Browser(program, profile) as page:
            for command in SHEETS:
                done = run(*command, "--html", str(path))
                assert done.returncode == 0, done.stderr
                check_screen(page, path, axe and axe.read_text())
                check_paper(page, path)
    if not axe:
        print("axe-core is not there (npm install --global axe-core); all else about the sheets was looked at")
    return 0


sys.exit(main())
