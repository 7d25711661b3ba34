"""The lines of tests/json/commands: what is typed, in which book, and what came of it."""
import subprocess

BOOKS = {"DEMO": "demo/demo.book", "MESSY": "messy.book", "NEW": "new.book"}


def lines(top):
    """(the line, whether it only prepares, what is typed with the books by their files)"""
    for line in (top / "tests/json/commands").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            typed = line.lstrip("! ")
            for name, book in BOOKS.items():
                typed = typed.replace(f"--book {name}", f"--book {book}")
            yield line, line.startswith("!"), typed


def run(program, work, typed):
    return subprocess.run(["sh", "-c", f"'{program}' --today 2026-11-02 {typed}"], cwd=work, stdin=subprocess.DEVNULL,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=120)
