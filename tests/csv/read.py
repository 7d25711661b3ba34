"""Runs every line of tests/json/commands with --csv and reads what it prints with the csv module.

Sources: RFC 4180 for the form (a header, rows as long as it, CR LF); OWASP, "CSV Injection", for the first characters that a
spreadsheet takes for a formula. That the header does not depend on what is in the book is the project's own promise.
"""
import csv
import io
import pathlib
import re
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "json"))
import typed_lines

work = pathlib.Path(sys.argv[1])
top = pathlib.Path(sys.argv[2])
program = sys.argv[3]
# What makes a header another one by its nature: a grid has a column a cut, and --by a column a name.
FREE = ("--grid",)
# A profile is a text to be read and kept, with --csv too.
TEXTS = ("profile guess ",)
NUMBER = re.compile(r"-?\d+(\.\d+)?")
good = bad = 0


def check(right, what):
    global good, bad
    good += bool(right)
    bad += not right
    if not right:
        print("FAILED csv:", what)


def runs(cell):
    """A spreadsheet would take the cell for a formula."""
    return cell.lstrip(" ")[:1] in ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20") and not NUMBER.fullmatch(cell)


def read(line, typed, free):
    done = typed_lines.run(program, work, f"--csv {typed}")
    if not check_code(line, done):
        return None
    text = done.stdout.decode("utf-8", "strict")
    lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    if not lines:
        check(False, f"'{line}' prints nothing")
        return None
    check(text.endswith("\r\n") and "\n" not in text.replace("\r\n", ""), f"'{line}': lines do not end with CR LF")
    if not free:
        check(all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in lines[0]), f"'{line}': no header of names: {lines[0]}")
    check(len(set(lines[0])) == len(lines[0]), f"'{line}': a name twice: {lines[0]}")
    check(all(len(row) == len(lines[0]) for row in lines), f"'{line}': rows of other lengths than the header")
    live = [cell for row in lines for cell in row if runs(cell)]
    check(not live, f"'{line}': a spreadsheet would run {live[:3]}")
    return lines


def check_code(line, done):
    check(done.returncode <= 1, f"'{line}' ends with {done.returncode}: {done.stderr.decode()[:200]}")
    return done.returncode <= 1


# The check itself must see what is wrong.
check(runs("=1+1") and runs(" @x") and runs("-cmd") and not runs("-33.7") and not runs("'=1"), "blind to formulas")

headers = {}
for line, prepares, typed in typed_lines.lines(top):
    if prepares or line.startswith(TEXTS):
        check_code(line, typed_lines.run(program, work, typed))
        continue
    lines = read(line, typed, any(word in line for word in FREE))
    if lines is None:
        continue
    # The same words in another book, or of another month or pick, have the same header.
    same = re.sub(r" --book \w+| --month [\d-]+", "", line)
    same = re.sub(r"^(pick) [JM]\d+/\d+", r"\1 PICK", same)
    if not any(word in line for word in FREE):
        first = headers.setdefault(same, (line, lines[0]))
        check(first[1] == lines[0], f"'{line}' has another header than '{first[0]}': {lines[0]} for {first[1]}")
print(f"{good} passed, {bad} failed")
sys.exit(bad > 0)
