"""What must come out of each log, by hand: counts of rows, and some picks in full."""

import json
import os
import shutil
import subprocess
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
PROGRAM = os.path.join(HERE, "../..", os.environ.get("BUILD", "build/release"), "afterpick")
LB = 0.45359237  # exact, NIST Handbook 44 Appendix C
FT = 0.3048
passed = failed = 0


def check(what, right, shown=""):
    global passed, failed
    passed += bool(right)
    failed += not right
    if not right:
        print(f"messy: {what}: {shown}")


def run(folder, *words):
    env = {k: v for k, v in os.environ.items() if not k.startswith("AFTERPICK_BOOK")}
    done = subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, text=True, env=env, timeout=120)
    return done.returncode, done.stdout, done.stderr


def same(got, want):
    if isinstance(want, float):
        return got is not None and abs(got - want) <= 1e-6 * abs(want)
    return got == want


# rows: all rows a person sees behind the header (or all lines of a text log).
LOGS = {
    "notes.txt": {
        "asks": ["--with year=YEAR", "--with words=yes", "--with first=planned_weight", "--with wished=planned_weight",
                 "--with species:maple=NAME", "--with measured_as=gross", "--with ton=short"],
        "silent": ["--with guess="],
        "answers": ["words=yes", "year=2026", "measured_as=gross", "ton=short", "first=planned_weight",
                    "wished=planned_weight", "species:maple=sugar maple"],
        # 13 lines: six picks, two headings (the day with the job, the day alone), one blank; the others are told.
        "rows": 13, "stored": 6, "headers": 2, "blank": 1, "totals": 0,
        "aside": {5: "measured_weight", 8: "line", 9: "line", 13: "line"},
        "said": {5: "about 900 lb", 8: "two weights say planned weight", 13: "no date, pick, species or weight"},
        "picks": {
            "W7/1": {"planned_weight_kg": 2600 * LB, "measured_weight_kg": 2410 * LB, "movement": "settled", "cut": "step",
                     "date": "2026-09-14"},
            "W7/2": {"planned_weight_kg": 1100 * LB, "measured_weight_kg": 1390 * LB, "movement": "tip_dive+roll", "cut": "snap"},
            "W7/4": {"planned_weight_kg": 1500 * LB, "measured_weight_kg": 1380 * LB, "movement": "still"},
            "W7/5": {"planned_weight_kg": 2.25 * 2000 * LB, "measured_weight_kg": 4720 * LB, "cut": "through"},
            "W7/7": {"planned_weight_kg": 2000 * LB, "measured_weight_kg": 2260 * LB, "date": "2026-09-15", "job": "W7"},
            "W7/12a": {"planned_weight_kg": 850 * LB, "measured_weight_kg": None, "piece": "stub"},
        },
        "month": "2026-09",
    },
    "german.tsv": {
        "asks": ["--with cut:Stufe=WORD", "--with 'species:Weißeiche=NAME'", "--with measured_as=net"],
        "answers": ["species:Weißeiche=white oak", "species:Buche=American beech", "species:Kiefer=Scotch pine",
                    "cut:Stufe=step", "cut:durch=through", "measured_as=net", "9=notes"],
        "rows": 6, "stored": 4, "headers": 0, "blank": 0, "totals": 1,
        "aside": {6: "planned_weight"}, "said": {6: "ca. 700"},
        "picks": {
            "B-17/1": {"planned_weight_kg": 850.0, "measured_weight_kg": 910.5, "date": "2026-03-12", "cut": "step",
                       "notes": "Stamm kam hoch"},
            "B-17/3": {"planned_weight_kg": 2050.0, "measured_weight_kg": 2610.0, "date": "2026-03-13"},
            "B-18/1": {"planned_weight_kg": 640.0, "measured_weight_kg": 655.0, "cut": "through"},
        },
        "month": "2026-03",
    },
    "noheader.txt": {
        "asks": ["--with 1=date", "--with 5=planned_weight", "--with 6=measured_weight"],
        "answers": ["1=date", "2=job", "3=pick", "4=species", "5=planned_weight", "6=measured_weight", "7=cut", "words=yes",
                    "measured_as=net"],
        "rows": 4, "stored": 4, "headers": 0, "blank": 0, "totals": 0, "aside": {}, "said": {},
        "picks": {
            "K-4/1": {"date": "2026-03-09", "planned_weight_kg": 900 * LB, "measured_weight_kg": 1010 * LB, "cut": "step"},
            "K-4/2": {"cut": "step"},
            "K-4/3": {"date": "2026-03-16", "planned_weight_kg": 2200 * LB, "measured_weight_kg": 2640 * LB, "cut": "through"},
            "K-5/1": {"planned_weight_kg": 1800 * LB, "measured_weight_kg": None},
        },
        "month": "2026-03",
    },
    "office.xlsx": {
        "asks": ["--with carry=job,date", "--with 4=species", "--with crew=North", "--with crane=K7", "--with measured_as=gross"],
        "answers": ["4=species", "10=cut_radius", "12=movement", "crew=North", "crane=K7", "carry=job,date", "words=yes",
                    "measured_as=gross"],
        # "n/a" is a weight that is not recorded, once it is asked and answered.
        "rows": 11, "stored": 9, "headers": 0, "blank": 0, "totals": 2, "aside": {}, "said": {},
        "picks": {
            "N12/2": {"date": "2026-10-05", "crew": "North", "crane": "K7", "planned_weight_kg": 1300 * LB,
                      "measured_weight_kg": 1610 * LB, "planned_radius_m": 48 * FT, "cut_radius_m": 48 * FT,
                      "movement": "butt_up", "notes": "butt came up"},
            "N12/5": {"date": "2026-10-06", "planned_weight_kg": 3900 * LB, "measured_weight_kg": 4260 * LB, "movement": "settled"},
            "N13/1": {"planned_weight_kg": 800 * LB, "measured_weight_kg": None},
            "N13/3": {"date": "2026-10-12", "movement": "butt_up+swing", "planned_radius_m": 44 * FT, "cut_radius_m": 45 * FT},
        },
        "month": "2026-10",
    },
    "jobs.xlsx": {
        "asks": ["--with sheets=job", "--with 'species:white pine=NAME'"],
        "answers": ["sheets=job", "measured_as=gross", "species:white pine=eastern white pine"],
        "rows": 7, "stored": 7, "headers": 0, "blank": 0, "totals": 0, "aside": {}, "said": {},
        "warns": "the sheet 'Summary' was not read",
        "picks": {
            "J501/2": {"planned_weight_kg": 2200 * LB, "measured_weight_kg": 2400 * LB, "notes": "swung at the bucket"},
            "J502/1": {"date": "2026-10-07", "cut": "snap", "measured_weight_kg": 880 * LB},
            "J503/2": {"planned_weight_kg": 2500 * LB, "measured_weight_kg": None},
        },
        "month": "2026-10",
    },
    "crane.csv": {
        "asks": ["--with 3=cut_radius", "--with COLUMN=measured_weight", "--with species=TEXT"],
        "answers": ["1=date", "2=pick", "3=cut_radius", "4=measured_weight in tonnes", "5=cut_capacity in tonnes", "job=C9",
                    "species=white oak", "measured_as=gross"],
        "rows": 4, "stored": 4, "headers": 0, "blank": 0, "totals": 0, "aside": {}, "said": {},
        "picks": {"C9/103": {"measured_weight_kg": 3710.0, "cut_capacity_kg": 3500.0, "cut_radius_m": 15.4, "date": "2026-03-12"}},
        "month": "2026-03",
    },
    # Numbers of picks start anew with each tree, thousands are parted by a comma where cells are parted by semicolons.
    "trees.csv": {
        "asks": ["--with numbers=tree", "--with decimal=point", "--with '9=measured_weight in lb'", "--with measured_as=gross",
                 "--with 'species:w. oak=NAME'", "--with 'movement:no swing at all=WORD'"],
        "answers": ["numbers=tree", "decimal=point", "9=measured_weight in lb", "measured_as=gross", "species:w. oak=white oak",
                    "movement:no swing at all=still", "movement:fine=blank", "words=yes"],
        "rows": 7, "stored": 5, "headers": 0, "blank": 1, "totals": 1, "aside": {}, "said": {},
        "picks": {
            "P31/A/1": {"planned_weight_kg": 2200 * LB, "movement": None, "date": "2026-03-04"},
            "P31/A/2": {"planned_weight_kg": 1450 * LB, "movement": "swing", "notes": "swung to road side"},
            "P31/B/1": {"measured_weight_kg": 1560 * LB, "movement": "butt_up", "cut": "through", "estimator": "E4"},
            "P31/B/2": {"planned_weight_kg": 1450 * LB, "measured_weight_kg": None},
            "P32/A/1": {"species": "white oak", "movement": "still"},
        },
        "month": "2026-03",
    },
    "voice.txt": {
        "asks": ["--with 4=species", "--with carry=job,date", "--with '5=planned_weight in lb'", "--with dates=mdy"],
        "answers": ["4=species", "carry=job,date", "words=yes", "dates=mdy", "measured_as=net", "5=planned_weight in lb"],
        # Two blocks that are picks, one above them with the job and the day, two blank lines between.
        "rows": 3, "stored": 2, "headers": 1, "blank": 0, "totals": 0, "aside": {}, "said": {},
        "picks": {
            "H7/1": {"date": "2026-10-05", "planned_weight_kg": 1200 * LB, "measured_weight_kg": 1430 * LB, "cut": "step",
                     "movement": "butt_up", "notes": "butt jumped"},
            "H7/2": {"date": "2026-10-05", "planned_weight_kg": 2000 * LB, "cut": "through", "movement": None},
        },
        "month": "2026-10",
    },
    "nonumbers.csv": {
        "asks": ["--with 3=species", "--with pick=count", "--with 2=job", "--with species:oak=NAME"],
        "answers": ["3=species", "pick=count", "2=job", "measured_as=net", "4=planned_weight in lb", "5=measured_weight in lb",
                    "species:oak=white oak", "species:maple=red maple", "species:ash=white ash"],
        "rows": 6, "stored": 5, "headers": 0, "blank": 0, "totals": 0,
        "aside": {6: "planned_weight"}, "said": {6: "heavy"},
        # The row set aside keeps its place: the one behind it is the third of that day, and it is the second once mended.
        "picks": {
            "Hill Rd/2026-10-05/3": {"planned_weight_kg": 900 * LB, "cut": "snap"},
            "Lake St/2026-10-13/1": {"measured_weight_kg": None},
            "Lake St/2026-10-13/3": {"planned_weight_kg": 1100 * LB},
        },
        "mend": (",heavy,", ",850,", "Lake St/2026-10-13/2", 850 * LB),
        "month": "2026-10",
    },
}


def import_log(folder, log, want):
    stem = log.split(".")[0]
    profile = stem + ".profile"
    code, out, err = run(folder, "profile", "guess", log, "--out", profile)
    text = " ".join(out.split())
    check(f"{log}: a guess with questions ends with 1", code == 1, f"{code} {err}")
    for option in want["asks"]:
        check(f"{log}: asks {option}", option in text, out)
    for option in want.get("silent", []):
        check(f"{log}: does not ask {option}", option not in text, out)
    code, _, err = run(folder, "profile", "keep", profile, "--why", "too early")
    check(f"{log}: questions are not kept", code == 3 and "open question" in err, err)

    options = [word for answer in want["answers"] for word in ("--with", answer)]
    code, out, err = run(folder, "profile", "guess", log, "--out", profile, *options)
    check(f"{log}: nothing is left to ask", code == 0 and "Nothing is left to ask" in " ".join(out.split()), f"{code} {out} {err}")
    # The three commands below the page, as a shell takes them.
    next_lines = [line for line in out.splitlines() if line.startswith("afterpick ")]
    check(f"{log}: three commands follow", len(next_lines) == 3, next_lines)
    code, _, err = run(folder, "profile", "keep", profile, "--why", "read")
    check(f"{log}: kept", code == 0, err)
    code, out, err = run(folder, "import", log, "--profile", stem, "--rejects", f"{stem}-mend.csv", "--json")
    check(f"{log}: imported", code in (0, 1), err)
    return json.loads(out)


def judge(folder, log, want, result):
    files = result["files"]
    total = {key: sum(f[key] for f in files) for key in ("rows", "stored", "set_aside", "conflicts", "headers", "blank", "totals",
                                                         "skipped", "unchanged")}
    for key in ("rows", "stored", "headers", "blank", "totals"):
        check(f"{log}: {key}", total[key] == want[key], f"{total[key]}, by hand {want[key]}")
    counted = sum(total[k] for k in ("stored", "set_aside", "conflicts", "headers", "blank", "totals", "skipped", "unchanged"))
    check(f"{log}: every row is accounted for", counted == want["rows"], f"{counted} of {want['rows']}")
    aside = {one["line"]: one["column"] for one in result["set_aside"]}
    check(f"{log}: what is set aside", aside == want["aside"], f"{aside}, by hand {want['aside']}")
    for one in result["set_aside"]:
        words = one["reason"] + " " + str(one["text"])
        check(f"{log}:{one['line']} says why and how to mend it", one["remedy"] and want["said"].get(one["line"], "") in words, words)
    if want["aside"]:
        with open(os.path.join(folder, log.split(".")[0] + "-mend.csv"), encoding="utf-8") as mend:
            check(f"{log}: the rows to mend are written", len(mend.read().splitlines()) == len(want["aside"]) + 1, "")
    if "warns" in want:
        check(f"{log}: warns", want["warns"] in json.dumps(result["warnings"]), result["warnings"])
    for name, values in want["picks"].items():
        code, out, err = run(folder, "pick", name, "--json")
        check(f"{log}: {name} is there", code == 0, err)
        logged = json.loads(out)["logged"] if code == 0 else {}
        for key, value in values.items():
            check(f"{log}: {name} {key}", same(logged.get(key), value), f"{logged.get(key)}, by hand {value}")


def mend(folder, log, want):
    """What was set aside, mended in its file and imported, is the pick it would have been."""
    found, put, name, weight = want["mend"]
    stem = log.split(".")[0]
    path = os.path.join(folder, stem + "-mend.csv")
    with open(path, encoding="utf-8") as rows:
        text = rows.read()
    with open(path, "w", encoding="utf-8") as rows:
        rows.write(text.replace(found, put))
    code, out, err = run(folder, "import", stem + "-mend.csv", "--profile", stem, "--json")
    check(f"{log}: mended", code == 0 and sum(f["stored"] for f in json.loads(out)["files"]) == 1, out + err)
    code, out, err = run(folder, "pick", name, "--json")
    check(f"{log}: {name} as mended", code == 0 and same(json.loads(out)["logged"]["planned_weight_kg"], weight), out + err)


def crane_agrees_with_itself(folder):
    """The crane's file has its own share of capacity: what was read must give it."""
    with open(os.path.join(folder, "crane.csv"), encoding="utf-8") as log:
        rows = [line.strip().split(";") for line in log if line.startswith("2026")]
    for row in rows:
        logged = json.loads(run(folder, "pick", f"C9/{row[1]}", "--json")[1])["logged"]
        share = 100 * logged["measured_weight_kg"] / logged["cut_capacity_kg"]
        check(f"crane.csv: share of C9/{row[1]}", round(share) == int(row[5]), f"{share}, the crane's {row[5]}")


def main():
    work = tempfile.mkdtemp()
    try:
        for log, want in LOGS.items():
            folder = os.path.join(work, log.replace(".", "-"))
            os.mkdir(folder)
            shutil.copy(os.path.join(HERE, log), folder)
            code, _, err = run(folder, "init", "new.book", "--company", "Invented New Crew")
            check(f"{log}: a book", code == 0, err)
            code, _, err = run(folder, "import", log)
            check(f"{log}: refused without a profile, and says what to do", code == 3 and "profile guess" in err, err)
            judge(folder, log, want, import_log(folder, log, want))
            if "mend" in want:
                mend(folder, log, want)
            if log == "crane.csv":
                crane_agrees_with_itself(folder)
            code, out, err = run(folder, "import", log, "--profile", log.split(".")[0], "--json")
            check(f"{log}: again adds nothing", sum(f["stored"] for f in json.loads(out)["files"]) == 0, out)
            code, out, err = run(folder, "review", "--month", want["month"], "--out", "review", "--today", "2026-11-02")
            check(f"{log}: a review", code == 0 and os.path.getsize(os.path.join(folder, "review/review.html")) > 10000, err)
    finally:
        shutil.rmtree(work)
    print(f"{passed} passed, {failed} failed")
    raise SystemExit(failed > 0)


main()
