#!/usr/bin/env python3
"""Runs the fenced `console` blocks of the documents as a reader would type them.

Each document gets a fresh folder with samples/ beside it, and `afterpick` on its path with --today 2026-11-02, so that what is
printed does not depend on the day. A document with the line <!-- book: demo --> starts with the book and the files of samples/demo.sh, and AFTERPICK_BOOK names it.
Lines that begin with `$ ` are typed, one after the other, through the whole document (`> ` continues one); what they print, errors
too, must be what stands below them, and a code above 1 must stand there as [exit N]. UPDATE=1 rewrites what is printed.
"""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

TODAY = "2026-11-02"
top = pathlib.Path(__file__).resolve().parents[2]
program = top / os.environ.get("BUILD", "build/release") / "afterpick"


def commands_of(lines):
    """(command, lines it prints) of a block."""
    steps = []
    for line in lines:
        if line.startswith("$ "):
            steps.append([line[2:], [], [line]])
        elif not steps:
            raise ValueError("a console block begins with '$ '")
        elif line.startswith("> ") and not steps[-1][1]:
            steps[-1][0] += "\n" + line[2:]
            steps[-1][2].append(line)
        else:
            steps[-1][1].append(line)
    return steps


def run(command, folder, bin_folder):
    environment = {"PATH": f"{bin_folder}:/usr/bin:/bin", "HOME": str(folder), "LC_ALL": "C.UTF-8", "TZ": "UTC"}
    if (folder / "demo").exists():
        environment["AFTERPICK_BOOK"] = "demo/demo.book"
    done = subprocess.run(["sh", "-c", command], cwd=folder, env=environment, stdin=subprocess.DEVNULL,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=120)
    printed = done.stdout.decode("utf-8", "replace").rstrip("\n")
    lines = [line.rstrip() for line in printed.split("\n")] if printed else []
    return lines + ([f"[exit {done.returncode}]"] if done.returncode > 1 else [])


def try_document(path, work, demo):
    """The document with what was printed, and the number of commands that print what it says and of those that do not."""
    folder = work / path.stem
    folder.mkdir()
    (folder / "samples").symlink_to(top / "samples")
    text = path.read_text(encoding="utf-8")
    if "<!-- book: demo -->" in text:
        shutil.copytree(demo(), folder / "demo")
    out, block, good, bad = [], None, 0, 0
    for line in text.split("\n"):
        if block is None:
            out.append(line)
            block = [] if line.strip() == "```console" else None
        elif line.strip() != "```":
            block.append(line)
        else:
            for command, expected, typed in commands_of(block):
                got = run(command, folder, work / "bin")
                want = [one.rstrip() for one in expected]
                if got == want:
                    good += 1
                else:
                    bad += os.environ.get("UPDATE") != "1"
                    print(f"{'new' if os.environ.get('UPDATE') == '1' else 'FAILED'} {path.relative_to(top)}: $ {command}")
                    print("\n".join(["  says:"] + want[:30] + ["  prints:"] + got[:30]))
                out += typed + got
            out.append(line)
            block = None
    return "\n".join(out), good, bad


def main():
    documents = [top / "README.md"] + sorted((top / "docs").glob("*.md"))
    good = bad = 0
    with tempfile.TemporaryDirectory() as name:
        work = pathlib.Path(name)
        (work / "bin").mkdir()
        wrapper = work / "bin" / "afterpick"
        wrapper.write_text(f'#!/bin/sh\n[ "$*" != --version ] || exec {program} --version\nexec {program} --today {TODAY} "$@"\n')
        wrapper.chmod(0o755)

        def demo():
            """Made once, by the script itself, in a folder that looks like the project's."""
            place = work / "project"
            if not place.exists():
                place.mkdir()
                shutil.copytree(top / "samples", place / "samples")
                subprocess.run(["sh", "samples/demo.sh"], cwd=place, env={**os.environ, "BIN": str(program)},
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=300, check=False)
            return place / "demo"

        for path in documents:
            text, passed, failed = try_document(path, work, demo)
            if os.environ.get("UPDATE") == "1":
                path.write_text(text, encoding="utf-8")
            good += passed
            bad += failed
    print(f"{good} passed, {bad} failed")
    return bad > 0


if __name__ == "__main__":
    sys.exit(main())
