"""Writes hostile texts into every place that takes a text, and reads everything the program writes.

Places: the columns of a log, its file name, a header, the company, entries of cranes, slings, species, profiles, phrase rules, actions, reasons,
roles, write-ups and what is attached to them. Outputs: pages for a terminal, CSV, JSON, HTML, SVG, Markdown, plain text, errors. What nothing
of a person's text goes into (the man page, the completion) is held to what it is without a book.

Sources: OWASP, "CSV Injection" (first characters of a formula); Unicode UAX #9 (marks that turn a line round); ECMA-48 (control bytes);
RFC 8259. CommonMark by libcmark, raw HTML let through, so that what a reader's program would make of review.md is seen.
"""
import csv
import ctypes
import ctypes.util
import html.parser
import io
import json
import os
import pathlib
import re
import sqlite3
import subprocess
import sys
import xml.etree.ElementTree as ET

work = pathlib.Path(sys.argv[1])
top = pathlib.Path(sys.argv[2])
program = sys.argv[3]
good = bad = 0

TEXTS = [
    "<script>document.title='ran'</script>",
    "\"><img src=x onerror=\"document.title='ran'\">",
    "' onfocus='document.title=`ran`' autofocus='",
    "back`touch ran`tick $(touch ran) ${IFS}",
    "two\nlines",
    "\u202eright to left\u202c \u2066isolated\u2069 \u200f\u05d0\u05dc\u05d5\u05df 17",
    "tree \U0001f333\U0001f469\u200d\U0001f527",
    ("long " * 60).strip(),
    "unbroken" * 37,
    "=cmd|' /C calc'!A0",
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "{/Bold=40 x} $a^2_3 \\ \"; system(\"touch ran\"); # `touch ran`",
    "'; drop table pick; --",
    "[link](javascript:alert(1)) ![p](http://wanted.example.invalid/p.png) | **b** <b> &lt;b&gt;",
    "\x1b[31mred\x1b[0m\x07\x08 bell",
    "../../../etc/passwd",
    "%s%n%x %1$s",
]
BOOK = str(work / "h.book")
env = {"PATH": os.environ["PATH"], "HOME": str(work), "LC_ALL": "C.UTF-8", "AFTERPICK_FIGURE_SECONDS": "120"}


def check(right, what):
    global good, bad
    good += bool(right)
    bad += not right
    if not right:
        print("FAILED hostile:", what[:700])
    return right


def run(*words, most=1, as_bytes=False):
    done = subprocess.run([program, "--book", BOOK, "--today", "2026-11-02", *words], cwd=work, env=env, stdin=subprocess.DEVNULL,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=300)
    check(done.returncode <= most, f"{words[:3]} ends with {done.returncode}: {done.stderr.decode(errors='replace')[:300]}")
    terminal(done.stderr, f"errors of {words[:3]}")
    return done.stdout


# Nothing that moves the cursor, and no mark that turns a line round or hides what follows.
MOVES = re.compile("[\x00-\x08\x0b-\x1f\x7f\x80-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def terminal(raw, what):
    try:
        text = raw.decode("utf-8", "strict")
    except UnicodeDecodeError as error:
        return check(False, f"{what} is no UTF-8: {error}")
    found = MOVES.search(text)
    return check(not found, f"{what}: {found and repr(text[max(0, found.start() - 40):found.end() + 40])}")


NUMBER = re.compile(r"-?\d+(\.\d+)?")
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def sheet(raw, what):
    text = raw.decode("utf-8", "strict")
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    if check(rows and all(len(row) == len(rows[0]) for row in rows), f"{what} is no table"):
        live = [cell for row in rows for cell in row if cell.lstrip(" ")[:1] in FORMULA and not NUMBER.fullmatch(cell)]
        check(not live, f"{what}: a spreadsheet would run {live[:2]}")
    found = re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\u202a-\u202e\u2066-\u2069]", text)
    check(not found, f"{what}: {found and repr(text[max(0, found.start() - 40):found.end() + 40])}")


class Page(html.parser.HTMLParser):
    """Elements and attributes that do something."""
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.faults = []
        self.scripts = 0

    def handle_starttag(self, tag, attrs):
        if tag == "script":
            self.scripts += 1
        if tag in ("img", "iframe", "object", "embed", "base", "link", "form"):
            self.faults.append(f"<{tag}>")
        for name, value in attrs:
            if name.startswith("on") or name in ("autofocus", "srcdoc", "formaction"):
                self.faults.append(f"{tag} {name}")
            if name in ("href", "src", "action", "xlink:href") and re.match(r"\s*(javascript|data|vbscript|https?|//|file):?", value or "", re.I):
                self.faults.append(f"{tag} {name}={value}")


def page(text, what, scripts):
    reader = Page()
    reader.feed(text)
    check(not reader.faults, f"{what}: {reader.faults[:4]}")
    check(reader.scripts <= scripts, f"{what}: {reader.scripts} scripts")
    found = MOVES.search(text)
    check(not found, f"{what}: {found and repr(text[max(0, found.start() - 40):found.end() + 40])}")


def drawing(raw, what):
    try:
        root = ET.fromstring(raw)
    except ET.ParseError as error:
        return check(False, f"{what} is no XML: {error}")
    faults = [e.tag for e in root.iter() if e.tag.rsplit("}")[-1] in ("script", "image", "foreignObject", "a", "style")]
    faults += [n for e in root.iter() for n in e.attrib if n.rsplit("}")[-1].startswith("on") or (n.endswith("href") and not e.attrib[n].startswith("#"))]
    return check(not faults, f"{what}: {faults[:4]}")


cmark = ctypes.util.find_library("cmark")
if cmark:
    cmark = ctypes.CDLL(cmark)
    cmark.cmark_markdown_to_html.restype = ctypes.c_void_p
    cmark.cmark_markdown_to_html.argtypes = [ctypes.c_char_p, ctypes.c_size_t, ctypes.c_int]
    UNSAFE = 1 << 17


def markdown(raw, what):
    terminal(raw, what)
    if not cmark:
        return
    made = ctypes.string_at(cmark.cmark_markdown_to_html(raw, len(raw), UNSAFE)).decode("utf-8")
    made = re.sub(r'<img src="figures/[\w-]+\.svg" alt="[^"<>]*" />', "", made)  # the figures' own
    page(made, f"{what} as a reader's program shows it", 0)


# The check itself must see what is wrong.
def blind():
    global good, bad
    kept = (good, bad)
    real, sys.stdout = sys.stdout, io.StringIO()
    terminal(b"\x1b[31m", "")
    sheet(b"a\r\n=1+1\r\n", "")
    page("<p onclick=x><img src=y><a href='javascript:x'>z</a>", "", 0)
    drawing(b"<svg><script/></svg>", "")
    drawing(b"<svg>", "")
    wanted = 5
    if cmark:
        markdown(b"[a](javascript:x) <script>x</script>", "")
        wanted += 2
    seen = bad - kept[1]
    sys.stdout = real
    good, bad = kept
    check(seen == wanted, f"the check sees {seen} faults of {wanted}")


blind()

# --- the places ------------------------------------------------------------------------------------------------------
COLUMNS = ["job", "site", "crew", "estimator", "climber", "operator", "crane", "tree", "species", "notes", "leg_1_tag", "leg_2_tag"]
FIXED = {"date": "2026-10-05", "piece": "limb", "length_ft": "18", "butt_diameter_in": "16", "tip_diameter_in": "8", "planned_weight_lb": "1000",
         "planned_as": "net", "rigging_weight_lb": "350", "measured_weight_lb": "1500", "measured_as": "net", "planned_radius_ft": "40",
         "planned_capacity_lb": "4000", "cut_radius_ft": "44", "cut_capacity_lb": "1500", "cut": "step", "movement": "butt_up", "toward": "climber",
         "leg_1_kind": "eye", "leg_1_hitch": "choker", "leg_1_at_ft": "4", "leg_1_length_ft": "12", "leg_1_state": "tight", "leg_1_wll_lb": "500",
         "leg_2_kind": "eye", "leg_2_hitch": "choker", "leg_2_at_ft": "14", "leg_2_length_ft": "12", "leg_2_state": "slack", "leg_2_wll_lb": "500"}
head = COLUMNS + ["pick"] + list(FIXED)
# A marker behind each text says which place it came from: what is never seen anywhere was never tried.
marks = set()
# Places that are shown by a role, or only where something else is asked for.
LOG = "log;$(touch ran) \u202e'\"`<b>.csv"


def cell(text, column, most):
    mark = f"Z{column.replace('_', '')}Z"
    marks.add(mark)
    return text[:most] + mark


with open(work / LOG, "w", newline="", encoding="utf-8") as out:
    writer = csv.writer(out)
    writer.writerow(head)
    for i, text in enumerate(TEXTS):
        short = {"job": 40, "crane": 60, "tree": 40, "leg_1_tag": 40, "leg_2_tag": 40}
        row = {column: cell(text.replace("\n", " ") if column == "job" else text, column, short.get(column, 300)) for column in COLUMNS}
        row["pick"] = str(i + 1)
        row["species"], odd = "white oak", row["species"]
        writer.writerow([row.get(name, FIXED.get(name, "")) for name in head])
        writer.writerow([{"job": "JS", "pick": f"s{i}", "species": odd}.get(name, FIXED.get(name, "")) for name in head])
        if re.search("[\x00-\x1f]", text):
            writer.writerow([{"job": "JN", "pick": f"n{i}", "species": "white oak", "notes": row["notes"]}.get(name, FIXED.get(name, "")) for name in head])
    # Words of vocabularies and numbers that are none: set aside, shown by problems.
    for i, text in enumerate(TEXTS):
        for column in ("cut", "movement", "planned_weight_lb", "date", "leg_1_hitch"):
            row = {"job": "JX", "pick": f"{i}-{column}", **FIXED, column: cell(text, column, 60), "species": "white oak"}
            writer.writerow([row.get(name, "") for name in head])
run("init", BOOK, "--company", TEXTS[0] + " Zcompany", "--quiet")
names = run("import", LOG)
terminal(names, "import")

why = TEXTS[14].replace("\x08", "") + TEXTS[0] + " Zwhy"
role = TEXTS[5][:60] + " Zrole"
jobs = json.loads(run("pick", "--json"))["picks"]
# A line break or control byte in a name sets the row aside; in notes it may stand.
LINES = [text for text in TEXTS if re.search("[\x00-\x1f]", text)]
check(len(jobs) >= len(TEXTS) - len(LINES), f"{len(jobs)} picks stored of {len(TEXTS)}")
stored = len(jobs)
first = jobs[0]["pick"]
cranes = [c["crane"] for c in json.loads(run("crane", "--json"))["cranes"]]
tags = [s["sling"] for s in json.loads(run("sling", "--json"))["slings"]]
check(len(cranes) >= 10 and len(tags) >= 10, f"{len(cranes)} cranes, {len(tags)} tags")
for crane in cranes:
    run("crane", crane, "set", "block_weight=420lb", "--why", why, "--as", role)
run("crane", cranes[0], "calibrate", "factor=0.97", "on=2026-09-01", "source=" + TEXTS[13] + " Zsource", "--why", why)
for tag in tags:
    run("sling", tag, "set", "wll=400lb", "source=" + TEXTS[1] + " Zslingsource", "--why", why, "--as", role)
for text in TEXTS:
    flat = text.replace("\n", " ").replace("\x1b", "").replace("\x07", "").replace("\x08", "")
    run("species", "teach", flat[:80] + " Ztaught", "white oak", "--why", why, most=3)
    run("action", "add", flat + " Zaction", "--owner", flat[:60] + " Zowner", "--due", "2026-11-20", "--target", flat + " Ztarget", most=3)
run("action", "done", "1", "--why", why, "--as", role)
run("findings", "--month", "2026-10")
run("review", "--month", "2026-10", "--out", str(work / "review"), "--briefing", "--book-of-picks")
run("findings", "acknowledge", "1", "--why", why, "--as", role)
run("findings", "dismiss", "2", "--why", why, "--as", role)
run("amend", first, "notes=" + TEXTS[0] + " Zamended", "--why", why, "--as", role)
run("set", "jurisdiction", TEXTS[13], "--why", why, most=3)
(work / "p.profile").write_text(run("profile", "guess", LOG, "--name", "odd").decode(), encoding="utf-8")
run("writeup", "new", first, "--out", "w.md")
text = (work / "w.md").read_text(encoding="utf-8")
markdown(text.encode(), "a new write-up")
head_end = text.index("## The order of events")
(work / "w.md").write_text(text[:head_end] + "\n\n".join(TEXTS) + "\n\nZwritten\n\n" + text[head_end:], encoding="utf-8")
run("writeup", "keep", "w.md", "--why", why, "--as", role)
(work / "photo <b>.txt").write_text("x")
run("writeup", "attach", "1", "photo <b>.txt", "--says", TEXTS[0] + " Zattached")
run("writeup", "render", "w.md", "--out", "w.html")
run("writeup", "render", "w.md", "--redacted", "--out", "r.html")
run("review", "--month", "2026-10", "--out", str(work / "again"), "--briefing", "--book-of-picks")

# --- what is read back -------------------------------------------------------------------------------------------------
seen = set()


def note(raw):
    text = raw.decode("utf-8", "replace") if isinstance(raw, bytes) else raw
    flat = re.sub(r"\s+", "", text)
    seen.update(mark for mark in marks if mark in flat)
    seen.update(re.findall(r"Z[a-z]+", flat))


READS = [["pick"], ["weights"], ["weights", "--by", "species,crew"], ["weights", "--by", "crane"], ["weights", "--by", "estimator", "--names"],
         ["weights", "--by", "job"], ["weights", "--by", "tree"], ["weights", "--by", "setup"], ["factors"], ["factors", "--by", "estimator", "--names"],
         ["trend"], ["trend", "--by", "crew"], ["density"], ["density", "history"], ["findings", "--month", "2026-10"], ["findings", "--associations"],
         ["findings", "show", "1"], ["findings", "show", "2"], ["action"], ["action", "overdue", "--today", "2027-01-01"], ["action", "show", "1"], ["problems", "--all"],
         ["crane"], ["crane", cranes[0]], ["sling"], ["sling", tags[0]], ["species", "white oak"], ["set"], ["rule"], ["rule", "phrases"],
         ["profile", "list"], ["check"], ["evidence", "list"], ["writeup"], ["weight-sheet", "white oak"]]
READS += [["pick", one["pick"], "--names", "--history"] for one in jobs]
READS += [["pick", first, "--working"], ["pick", first, "--suppose", "cut=hinge"]]
for words in READS:
    for form in ([], ["--csv"], ["--json"]):
        raw = run(*words, *form)
        what = " ".join(words[:2])[:60] + " " + " ".join(form)
        note(raw)
        if form == ["--csv"]:
            sheet(raw, what)
        elif form == ["--json"]:
            terminal(re.sub(b"[\xe2][\x80\x81][\x8e\x8f\xa6-\xae]", b"", raw), what)  # JSON carries marks as they were written
            json.loads(raw)
        else:
            terminal(raw, what)
for words in (["writeup", "show", "1"], ["writeup", "diff", "1"], ["pick", first, "--figure", "text"], ["trend", "--figure", "text"],
              ["rule", "try", TEXTS[13] + " butt jumped at the climber"]):
    raw = run(*words)
    note(raw)
    if words[0] != "writeup":
        terminal(raw, " ".join(words[:1]))

# Words that are wrong, said again in an error.
for text in TEXTS:
    flat = text.replace("\n", " ")
    for words in ([flat], ["pick", flat], ["crane", flat], ["weights", "--by", flat], ["set", flat, "1"], ["import", flat], ["--" + flat], ["rule", flat],
                  ["findings", "show", flat], ["action", flat], ["density", flat], ["species", flat], ["sling", flat], ["calc", flat], ["calc", "weight", flat],
                  ["review", "--month", flat, "--out", "x"], ["evidence", flat], ["writeup", flat], ["profile", flat], ["problems", "drop", flat, "--why", "x"],
                  ["amend", first, flat + "=1", "--why", "x"], ["undo", flat, "--why", "x"]):
        terminal(run(*words, most=4), "an answer to " + " ".join(words[:1])[:30])

for folder in ("review", "again"):
    for path in sorted((work / folder).rglob("*")):
        if path.is_dir():
            continue
        raw = path.read_bytes()
        what = f"{folder}/{path.relative_to(work / folder)}"
        note(raw)
        check(re.fullmatch(r"[a-z0-9.-]+", path.name), f"a file is called {path.name!r}")
        if path.suffix == ".html":
            page(raw.decode("utf-8"), what, 1)
            for svg in re.findall(rb"<svg[\s>].*?</svg>", raw, re.S):
                drawing(svg, f"a drawing in {what}")
        elif path.suffix == ".svg":
            drawing(raw, what)
        elif path.suffix == ".md":
            markdown(raw, what)
        else:
            terminal(raw, what)
for name in ("w.html", "r.html"):
    raw = (work / name).read_bytes()
    note(raw)
    page(raw.decode("utf-8"), name, 1)
    redacted = name == "r.html"
    check(not redacted or "Zsite" not in raw.decode("utf-8"), "the site is in a redacted write-up")
    check(not redacted or "Zcompany" not in raw.decode("utf-8"), "the company is in a redacted write-up")

# The picks as a log, that log in a new book, the whole book merged into another: the same texts, and nothing in them runs.
def texts_of(book):
    base = sqlite3.connect(book)
    names = [row[1] for row in base.execute("PRAGMA table_info(picks)")]
    own = [name for name in names if name not in ("import_id", "source_file", "source_line", "pick_id")]
    return base.execute(f"SELECT {', '.join(own)} FROM picks ORDER BY name").fetchall()


run("export", "--names", "--out", "h.csv")
with open(work / "h.csv", newline="", encoding="utf-8") as log:
    rows = list(csv.reader(log, strict=True))
live = [c for row in rows for c in row if c.lstrip(" ")[:1] in FORMULA and not NUMBER.fullmatch(c)]
check(len(rows) == stored + 1 and not live, f"the exported log has {len(rows)} rows; a spreadsheet would run {live[:2]}")
check(all(len(row) == len(rows[0]) for row in rows), "the exported log is no table")
terminal(run("backup", "<b> \u202e$(touch ran).book"), "backup")
for book, words in (("from-log.book", ["import", "h.csv"]), ("merged.book", ["merge", BOOK]), ("merged-again.book", ["merge", "<b> \u202e$(touch ran).book"])):
    run("init", str(work / book), "--quiet")
    terminal(run(*words, "--book", book), words[0])
    sheet(run(*words, "--csv", "--book", book), words[0])
    json.loads(run(*words, "--json", "--book", book))
    check(texts_of(str(work / book)) == texts_of(BOOK), f"{book} has other picks than the book they come from")
terminal(run("pick", first, "--history", "--names", "--book", "merged-again.book"), "the history of a merged pick")

# Nothing was run, nothing was dropped, nothing was written elsewhere.
check(not any(path.name == "ran" for path in work.rglob("*")), "a text was run by a shell")
check(sqlite3.connect(BOOK).execute("select count(*) from pick").fetchone()[0] == stored, "picks are gone")
check(run("check", "--json") and not json.loads(run("check", "--json"))["damaged"], "the book is damaged")
plain = subprocess.run([program, "--completion", "bash"], stdout=subprocess.PIPE, check=True, cwd=work, env=env).stdout
with_book = subprocess.run([program, "--completion", "bash"], stdout=subprocess.PIPE, check=True, cwd=work, env={**env, "AFTERPICK_BOOK": BOOK}).stdout
check(plain == with_book and b"Zj" not in plain, "the completion depends on a book")
check(b"Zj" not in (top / "docs/afterpick.1").read_bytes(), "the man page holds a text of a book")
wanted = marks | {"Zcompany", "Zwhy", "Zrole", "Zsource", "Zslingsource", "Zaction", "Zowner", "Ztarget", "Zamended", "Zwritten", "Zattached", "Ztaught"}
never = sorted(mark for mark in wanted if not any(one.startswith(mark.rstrip("Z")) for one in seen))
check(not never, f"texts of these places were never shown, so not tried: {never}")
if not cmark:
    print("Markdown as a reader's program shows it: not run, there is no libcmark")
print(f"{good} passed, {bad} failed")
sys.exit(bad > 0)
