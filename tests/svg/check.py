# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py PROGRAM

Pictures: well-formed, read by a machine as by a person. What is drawn over the crank angle is what --json says, read
back through the ticks of the axes; text is text, and inside the picture; names are escaped; both themes are there; a
file is whole or untouched.
"""
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
SVG = "{http://www.w3.org/2000/svg}"
PROGRAM = sys.argv[1]
# Panel by panel: what --json calls it, from SI to the unit of the axis, and the greatest value shown.
TRACES = [("nozzle_pa", 1e-3, None), ("air_kg_s", 1e3, None), ("manifold_pa", 1e-3, None), ("main_fuel_kg_s", 1e6, None),
          ("cylinder_pa", 1e-3, 200), ("pilot_fuel_kg_s", 1e6, None)]
CRANKCASE = ("crankcase_pa", 1e-3, None)  # the last panel, of two-strokes
SLIDE = ("slide_lift_m", 1e3, None)  # the same, where the fall of a floating slide is stated
PIXEL = 0.06  # coordinates are rounded to a tenth


def run(*arguments):
    environment = {**os.environ, "JETWRIGHT_PROFILES": str(ROOT / "profiles")}
    return subprocess.run([PROGRAM, *arguments], cwd=ROOT, env=environment, capture_output=True, text=True)


def answer(*arguments):
    done = run(*arguments)
    assert done.returncode == 0, done.stderr
    return done.stdout


def numbers(text):
    return [float(number) for number in re.findall(r"-?\d+\.?\d*", text)]


def line_through(places):
    """From pixels to values by the outermost ticks; every other tick must lie on the way."""
    (low_at, low), (high_at, high) = min(places), max(places)
    slope = (high - low) / (high_at - low_at)
    for at, value in places:
        assert abs(low + slope * (at - low_at) - value) < 1.01 * PIXEL * abs(slope) + 1e-9, places
    return lambda pixel: low + slope * (pixel - low_at), abs(slope) * PIXEL


def scales(panel):
    ticks = [(text, numbers(text.text)) for text in panel.findall(f"{SVG}text") if not text.get("class")]
    upright = [(float(t.get("y")) - 4, n[0]) for t, n in ticks if t.get("text-anchor") == "end"]
    flat = [(float(t.get("x")), n[0]) for t, n in ticks if t.get("text-anchor") == "middle"]
    assert len(upright) >= 3 and len(flat) >= 3
    return line_through(flat), line_through(upright)


def points_of(panel):
    for path in panel.find(f"{SVG}svg").findall(f"{SVG}path"):
        values = numbers(path.get("d"))
        yield list(zip(values[::2], values[1::2]))


def check_panel(panel, cycles, trace):
    key, factor, most = trace
    (angle_at, angle_error), (value_at, value_error) = scales(panel)
    lines = list(points_of(panel))
    assert len(lines) == len(cycles), key
    for points, cycle in zip(lines, cycles):
        assert points and len(points) % 2 == 1
        told = cycle["trace"][key]
        angles = cycle["trace"]["crank_deg"]
        stride = (len(points) - 1) // (len(angles) - 1)
        for (x, y), angle, value in zip(points[::stride], angles, told, strict=True):
            assert abs(angle_at(x) - angle) <= 2 * angle_error, (key, angle_at(x), angle)
            assert abs(value_at(y) - factor * value) <= 2 * value_error, (key, angle, value_at(y), factor * value)
        if not most:
            ys = [y for _, y in points]
            assert min(ys) >= -PIXEL and max(ys) <= float(panel.find(f"{SVG}svg").get("height")) + PIXEL, key


def check_places(root):
    """No text starts or stands outside; the longest that start at the right have room by a wide letter's breadth."""
    width, height = float(root.get("width")), float(root.get("height"))
    assert root.get("viewBox") == f"0 0 {width:.0f} {height:.0f}"
    for group in [root, *root.findall(f"{SVG}g")]:
        left, top = numbers(group.get("transform")) if group.get("transform") else (0, 0)
        for text in group.findall(f"{SVG}text"):
            size = 6.8 * len(text.text) * (1.5 if text.get("class") == "head" else 1)
            x = left + float(text.get("x")) - size * {"start": 0, "middle": 0.5, "end": 1}[text.get("text-anchor")]
            assert 0 <= x and x + size <= width, text.text
            assert 10 <= top + float(text.get("y")) <= height - 2, text.text


def check_cycle(folder, profile, *point):
    path = folder / "cycle.svg"
    cycles = [p["cycle"] for p in
              json.loads(answer("mixture", profile, "--cycle", *point, "--svg", str(path), "--json"))["points"]]
    root = tree.parse(path).getroot()
    assert root.tag == f"{SVG}svg" and root.get("role") == "img"
    assert root[0].tag == f"{SVG}title" and root[0].text
    assert root[1].tag == f"{SVG}desc" and "Pressure at the nozzle" in root[1].text
    style = root.find(f"{SVG}style").text
    assert "prefers-color-scheme:dark" in style
    used = {word for element in root.iter() for word in (element.get("class") or "").split()} - {"jw-picture"}
    for theme in style.split("@media"):
        for word in used - {"head", "name", "line", "lead", "band"}:
            assert f".{word}{{" in theme, f"{word} has no colour in one theme"
    panels = root.findall(f"{SVG}g")
    two_stroke = cycles[0]["trace"]["crank_deg"][-1] == 360
    assert all(("crankcase_pa" in cycle["trace"]) == two_stroke for cycle in cycles)
    moves = "slide_lift_m" in cycles[0]["trace"]
    for panel, trace in zip(panels, TRACES + [CRANKCASE] * two_stroke + [SLIDE] * moves, strict=True):
        check_panel(panel, cycles, trace)
        labels = [t.text for t in panel.findall(f"{SVG}text") if t.get("text-anchor") == "start"][2:]
        assert len(labels) == (len(cycles) if len(cycles) > 1 else 0)
        dashes = [path.get("stroke-dasharray") for path in panel.find(f"{SVG}svg").findall(f"{SVG}path")]
        assert len(set(dashes)) == len(dashes), "two lines with the same dashes"
    check_places(root)
    return root


def check_rejet(folder):
    """The lines of a rejetting and of a plan end where their labels say, at what --json tells."""
    path = folder / "rejet.svg"
    question = ["rejet", "courier-150", "--bore", "61mm", "--jets", "metric-steps", "--svg", str(path), "--json"]
    answer(*question)
    plan = ["rejet", "pump-200", "--plan", "0m:3000m", "--jets", "metric-steps", "--svg", str(folder / "plan.svg"), "--json"]
    sets = json.loads(answer(*plan))["sets"]
    for file, labels in ((path, {"before", "after", "to fit"}), (folder / "plan.svg", {"idle", "half", "full"})):
        root = tree.parse(file).getroot()
        assert root[0].text and root[1].tag == f"{SVG}desc" and root[1].text
        panel = root.find(f"{SVG}g")
        words = {t.text for t in panel.findall(f"{SVG}text") if t.get("text-anchor") == "start"}
        assert labels <= words, words
        check_places(root)
    drawn = panel.find(f"{SVG}svg").findall(f"{SVG}path")[0].get("d")
    assert drawn.count("M") == len(sets), (drawn, len(sets))


def check_places_visited(folder):
    """Each place has its row, those of one set together, with a mark where --json says that each range is; a long name is cut."""
    path = folder / "places.svg"
    asked = "harbour 0m 25C, valley 800m winter, high pass 2400m 5C, a hut beyond the end of the world 3000m, yard 200m"
    told = json.loads(answer("rejet", "trail-250", "--plan", asked, "--jets", "metric-steps", "--svg", str(path), "--json"))
    places = sorted(told["places"], key=lambda place: place["set"])
    assert len(told["sets"]) > 1
    root = tree.parse(path).getroot()
    check_places(root)
    panel = root.find(f"{SVG}g")
    plain = [t for t in panel.findall(f"{SVG}text") if not t.get("class")]
    rows = {t.text: float(t.get("y")) - 4 for t in plain if t.get("text-anchor") == "end"}
    at, error = line_through([(float(t.get("x")), float(t.text)) for t in plain if t.get("text-anchor") == "middle"])
    for word, path in zip(("idle", "half", "full"), panel.find(f"{SVG}svg").findall(f"{SVG}path"), strict=True):
        marks = numbers(path.get("d"))
        for place, (x, top, same_x, bottom) in zip(places, zip(*[iter(marks)] * 4), strict=True):
            row = next(y for name, y in rows.items() if place["name"].startswith(name.rstrip("\u2026")))
            lamda = next(r["lambda_over_target"] for r in place["ranges"] if r["range"] == word)
            assert x == same_x and abs(at(x) - lamda) <= 2 * error, (place, word)
            assert top < row < bottom and abs((top + bottom) / 2 - row) <= 2 * PIXEL, (place, word)
    assert list(rows.values()) == sorted(rows.values(), reverse=True) and len(rows) == len(places)
    assert sum(name.endswith("\u2026") for name in rows) == 1


def check_moving_slide(folder):
    text = (ROOT / "profiles/engines/courier-150.yaml").read_text()
    moves = text.replace("base_area: 46 mm2", "base_area: 46 mm2, fall_time: 0.2 s")
    assert moves != text
    (folder / "moves.yaml").write_text(moves)
    root = check_cycle(folder, str(folder / "moves.yaml"), "--speed", "4500rpm", "--throttle", "30%")
    assert "Lift of the slide" in root[1].text


def check_escape(folder):
    """A name full of markup comes back as it was, but for control characters."""
    text = (ROOT / "profiles/engines/moped-50.yaml").read_text()
    name = "</title><script>alert(1)</script> & \"5 < 6\" 'µ'"
    quoted = json.dumps(name, ensure_ascii=False)
    odd = re.sub(r"^name: .*$", lambda _: f"name: {quoted}", text, flags=re.M)
    assert odd != text
    (folder / "odd.yaml").write_text(odd)
    root = check_cycle(folder, str(folder / "odd.yaml"), "--speed", "4000rpm", "--throttle", "50%")
    assert root[0].text == f"{name}: one cycle over the crank angle"
    assert not list(root.iter(f"{SVG}script"))


def check_files(folder):
    point = ["mixture", "moped-50", "--cycle", "--speed", "4000rpm", "--throttle", "50%", "--svg"]
    kept = folder / "kept.svg"
    kept.write_text("old")
    kept.chmod(0o640)
    (folder / "link.svg").symlink_to(kept)
    answer(*point, str(folder / "link.svg"))
    assert (folder / "link.svg").is_symlink() and kept.stat().st_mode & 0o777 == 0o640
    tree.parse(kept)
    nowhere = folder / "no/such.svg"
    done = run(*point, str(nowhere))
    assert done.returncode == 1 and str(nowhere) in done.stderr and "No such file" in done.stderr, done.stderr
    (folder / "taken").mkdir()
    done = run(*point, str(folder / "taken"))
    assert done.returncode == 1 and "taken" in done.stderr, done.stderr
    done = run(*point, "/dev/full")
    assert done.returncode == 1 and "No space left" in done.stderr, done.stderr
    done = run("mixture", "moped-50", "--svg", str(kept))
    assert done.returncode == 2 and "--cycle" in done.stderr
    if os.geteuid():  # whom no folder is closed to
        closed = folder / "closed"
        closed.mkdir()
        closed.chmod(0o500)
        done = run(*point, str(closed / "a.svg"))
        closed.chmod(0o700)
        assert done.returncode == 1 and "Permission denied" in done.stderr and not list(closed.iterdir())
    left = sorted(path.name for path in folder.iterdir())
    assert not [name for name in left if name.endswith(".new")], left


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        check_cycle(folder, "courier-150")
        check_moving_slide(folder)
        check_cycle(folder, "kart-125", "--speed", "9000rpm", "--throttle", "1")
        check_rejet(folder)
        check_places_visited(folder)
        check_escape(folder)
        check_files(folder)


main()
