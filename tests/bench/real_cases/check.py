#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Scores must stay above those of the first, frozen tables and of naive guessing; files in every usual form are read alike.

usage: check.py PROGRAM CASES.csv
"""
import csv
import io
import json
import pathlib
import subprocess
import sys
import tempfile

FROZEN = {"top1": 0.525, "top3": 0.775, "log_score": -1.634}


def run(program, path):
    return subprocess.run([program, str(path), "--json"], capture_output=True, text=True, check=False)


def rewritten(rows, **form):
    text = io.StringIO(newline="")
    csv.writer(text, **form).writerows(rows)
    return text.getvalue()


def main(program, cases):
    scores = json.loads(run(program, cases).stdout)
    low = [f"{k} {scores[k]} is below the frozen {v}" for k, v in FROZEN.items() if scores[k] < v]
    low += [f"{k} is no better than guessing"
            for k, sign in (("top1", 1), ("top3", 1), ("log_score", 1), ("brier", -1))
            if sign * (scores[k] - scores[f"naive_{k}"]) <= 0]
    rows = list(csv.reader(open(cases, newline="", encoding="utf-8")))[:6]
    turned = [list(reversed(row)) for row in rows]
    plain = rewritten(rows, lineterminator="\n")
    forms = {
        "quoted, CRLF": rewritten(rows, quoting=csv.QUOTE_ALL, lineterminator="\r\n"),
        "columns the other way round": rewritten(turned, lineterminator="\n"),
        "byte order mark": "\ufeff" + rewritten([row[3:4] + row[:3] + row[4:] for row in rows], lineterminator="\n"),
        "capitals and blanks in the heading": rewritten([[f" {c.title()} " for c in rows[0]], *rows[1:]]),
    }
    nameless = rewritten([["id", "engine", "words"], ["a", "single", "no_start"]])
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "cases.csv"
        path.write_bytes(plain.encode())
        few = json.loads(run(program, path).stdout)
        for form, text in forms.items():
            path.write_bytes(text.encode())
            answer = run(program, path)
            if answer.returncode or json.loads(answer.stdout) != few:
                low.append(f"other scores: {form}")
        said = []
        for words in ("does bog off idle", "does not bog off idle"):
            path.write_text(rewritten([["symptoms", "fix"], [words, "pilot_jet_restricted"]]), encoding="utf-8")
            said.append(json.loads(run(program, path).stdout)["log_score"])
        if said[0] <= said[1]:
            low.append("a denied bog speaks for the pilot jet as much as a bog")
        path.write_bytes(nameless.encode())
        answer = run(program, path)
        if answer.returncode == 0 or "expected" not in answer.stderr:
            low.append("a file without symptoms and fix is not refused")
        path.write_bytes(plain.encode() + b'"R,')
        answer = run(program, path)
        if answer.returncode == 0 or "not closed" not in answer.stderr:
            low.append("an open quote is not refused")
    print("\n".join(low))
    return bool(low)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
