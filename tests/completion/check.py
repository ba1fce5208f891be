# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py PROGRAM FOLDER bash|fish|zsh

Completion in a shell offers the commands, every option of each command's help, and the names that the program lists. zsh
completes only on a terminal, so it runs in tmux for a few lines; what it would offer else is read from its function.
"""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
PROGRAM, FOLDER = (pathlib.Path(argument).resolve() for argument in sys.argv[1:3])
SHELL = sys.argv[3]
ENVIRONMENT = {**os.environ, "PATH": f"{PROGRAM.parent}:{os.environ['PATH']}",
               "JETWRIGHT_PROFILES": str(ROOT / "profiles")}
BASH = """. "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _jetwright; printf '%s\\n' "${COMPREPLY[@]}\""""
# Stubs that print what the function would have offered.
ZSH = """_arguments() { print -rl -- "$@" }; _describe() { print -rl -- "${(@P)4%%:*}" }; compadd() { : }
source_text=$(<"$1"); shift; words=("$@"); CURRENT=$#; eval "$source_text" """
faults = []


def expect(holds, what):
    if not holds:
        faults.append(what)


def output(*words):
    return subprocess.run(words, env=ENVIRONMENT, capture_output=True, text=True, timeout=60).stdout


def offered_bash(words):
    return output("bash", "--norc", "-c", BASH, "bash", str(FOLDER / "jetwright.bash"), *words).splitlines()


def offered_fish(words):
    lines = output("fish", "--no-config", "-c", f"source {FOLDER}/jetwright.fish; complete -C \"{' '.join(words)}\"")
    return [line.split("\t")[0] for line in lines.splitlines()]


def offered_zsh(words):
    return [re.sub(r"=?\[.*", "", line) for line in
            output("zsh", "-f", "-c", ZSH, "zsh", str(FOLDER / "_jetwright"), *words).splitlines()]


def screen_zsh(typed, wanted):
    """Whether a terminal shows what is wanted once the line and the tabulator are typed; else the screen is a fault."""
    server = f"completion-{os.getpid()}-{len(typed)}"  # one that is being killed takes no new session

    def tmux(*words):
        return subprocess.run(["tmux", "-L", server, "-f", "/dev/null", *words], env=ENVIRONMENT, capture_output=True,
                              text=True, check=True).stdout

    def shows(text):
        for _ in range(200):
            screen = tmux("capture-pane", "-p")
            if text in screen:
                return True
            time.sleep(0.1)
        faults.append(f"{typed}: a terminal does not show {text}\n{screen}")
        return False

    with tempfile.TemporaryDirectory() as folder:
        (pathlib.Path(folder) / "_jetwright").symlink_to(FOLDER / "_jetwright")
        tmux("new-session", "-d", "-x", "120", "-y", "60", f"cd {folder} && exec zsh -f")
        tmux("send-keys", f"fpath=({folder} $fpath); autoload -U compinit; compinit -u -D; print rea''dy", "Enter")
        if shows("ready"):
            tmux("send-keys", typed, "Tab")
            shows(wanted)
        subprocess.run(["tmux", "-L", server, "kill-server"], check=False)


def main():
    missing = [tool for tool in [SHELL] + ["tmux"] * (SHELL == "zsh") if not shutil.which(tool)]
    if missing:
        print(f"SKIP {missing[0]} is missing")
        return 77
    offered = {"bash": offered_bash, "fish": offered_fish, "zsh": offered_zsh}[SHELL]
    usage = output(PROGRAM, "--help")
    commands = re.findall(r"^  ([a-z]+)  ", usage, re.M)
    shown = offered(["jetwright", ""])
    expect(len(commands) > 5 and not set(commands) - set(shown), f"of the commands {commands} it offers {shown}")
    for command in commands:
        options = re.findall(r"^  (--\S+)", output(PROGRAM, command, "--help"), re.M)
        shown = offered(["jetwright", command, "--"])
        expect(options and not set(options) - set(shown), f"{command}: of {options} it offers {shown}")
    names = {("mixture", ""): "courier-150", ("explain", "stood"): "stood-five-months", ("restrict", "courier-150", "pi"):
             "pilot_jet", ("rejet", "--fuel", ""): "e85", ("rejet", "--season", ""): "winter", ("list", "ev"): "evidence",
             ("restrict", "--at", ""): "off_idle", ("jet", "--as", ""): "number_drill"}
    joined = ("rejet", "--season", "=", "wi") if SHELL == "bash" else ("rejet", "--season=wi")  # bash parts it in three
    names[joined] = "--season=winter" if SHELL == "fish" else "winter"
    for words, name in names.items() if SHELL != "zsh" else ():
        expect(name in offered(["jetwright", *words]), f"{' '.join(words)}: {name} is not offered")
    if SHELL == "zsh":
        screen_zsh("jetwright restrict --fi", "jetwright restrict --film")
        screen_zsh("jetwright mixture cour", "jetwright mixture courier-150")
        screen_zsh("jetwright rejet courier-150 --season wi", "--season winter")
        screen_zsh("jetwright rejet courier-150 --season=wi", "--season=winter")
    for fault in faults:
        print(f"FAILED {fault}")
    print(f"{SHELL}: {len(commands)} commands, {len(faults)} faults")
    return 1 if faults else 0


sys.exit(main())
