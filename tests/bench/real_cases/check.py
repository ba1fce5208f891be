#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Scores must stay above those of the first, frozen tables and of naive guessing; every usual form is read alike.

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
BETTER = {"top1": 1, "top3": 1, "log_score": 1, "brier": -1}  # 1: the greater


def run(program, path, text=None):
    if text is not None:
        path.write_bytes(text.encode())
    return subprocess.run([program, str(path), "--json"], capture_output=True, text=True, check=False)


def rewritten(rows, **form):
    text = io.StringIO(newline="")
    csv.writer(text, **{"lineterminator": "\n", **form}).writerows(rows)
    return text.getvalue()


def low_scores(scores):
    for key, frozen in FROZEN.items():
        if scores[key] < frozen:
            yield f"{key} {scores[key]} is below the frozen {frozen}"
    for key, sign in BETTER.items():
        if sign * (scores[key] - scores[f"naive_{key}"]) <= 0:
            yield f"{key} is no better than guessing"


def forms_read_apart(program, path, rows):
    plain = json.loads(run(program, path, rewritten(rows)).stdout)
    forms = {
        "quoted, CRLF": rewritten(rows, quoting=csv.QUOTE_ALL, lineterminator="\r\n"),
        "columns the other way round": rewritten([row[::-1] for row in rows]),
        "byte order mark": "\ufeff" + rewritten([row[3:4] + row[:3] + row[4:] for row in rows]),
        "capitals and blanks in the heading": rewritten([[f" {c.title()} " for c in rows[0]], *rows[1:]]),
    }
    for form, text in forms.items():
        answer = run(program, path, text)
        if answer.returncode or json.loads(answer.stdout) != plain:
            yield f"other scores: {form}"


def denials_missed(program, path):
    denials = ("does not bog off idle", "no real bog off idle", "not a hint of a bog off idle",
               "no cough or bog off idle", "never really bogs off idle")
    cases = ([["symptoms", "fix"], [words, "pilot_jet_restricted"]] for words in ("does bog off idle", *denials))
    said, *denied = (json.loads(run(program, path, rewritten(rows)).stdout)["log_score"] for rows in cases)
    for words, score in zip(denials, denied):
        if said <= score:
            yield f"speaks for the pilot jet as much as a bog: {words}"


def faults_not_refused(program, path, rows):
    faults = {
        "expected": rewritten([["id", "engine", "words"], ["a", "single", "no_start"]]),
        "not closed": rewritten(rows) + '"R,',
    }
    for message, text in faults.items():
        answer = run(program, path, text)
        if answer.returncode == 0 or message not in answer.stderr:
            yield f"not refused as \"{message}\": {text[-40:]!r}"


def main(program, cases):
    rows = list(csv.reader(open(cases, newline="", encoding="utf-8")))[:6]
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "cases.csv"
        wrong = [*low_scores(json.loads(run(program, cases).stdout)), *forms_read_apart(program, path, rows),
                 *denials_missed(program, path), *faults_not_refused(program, path, rows)]
    print("\n".join(wrong))
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
