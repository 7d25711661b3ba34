"""Runs every line of tests/json/commands with --json and holds what it prints to docs/schema/ by a general validator.

Every schema is held to the standard's own first. Then each object is spoiled: a key taken away, a key renamed, a number turned into a
text. A schema that lets such a one pass at the top level would not catch a change, and fails here.
"""
import json
import os
import pathlib
import subprocess
import sys

import jsonschema

work = pathlib.Path(sys.argv[1])
top = pathlib.Path(sys.argv[2])
program = sys.argv[3]
books = {"DEMO": "demo/demo.book", "MESSY": "messy.book", "NEW": "new.book"}
good = bad = 0


def check(right, what):
    global good, bad
    good += bool(right)
    bad += not right
    if not right:
        print("FAILED json:", what)


validators = {}
for path in sorted((top / "docs/schema").glob("*.json")):
    schema = json.loads(path.read_text(encoding="utf-8"))
    try:
        jsonschema.Draft202012Validator.check_schema(schema)
        check(schema.get("$schema") == "https://json-schema.org/draft/2020-12/schema", f"{path.name} names another draft")
    except jsonschema.SchemaError as error:
        check(False, f"{path.name} is no schema: {error.message}")
    validators[path.stem] = jsonschema.Draft202012Validator(schema)

tried = set()
for line in (top / "tests/json/commands").read_text(encoding="utf-8").splitlines():
    if not line or line.startswith("#"):
        continue
    prepares = line.startswith("!")
    typed = line.lstrip("! ")
    for name, book in books.items():
        typed = typed.replace(f"--book {name}", f"--book {book}")
    done = subprocess.run(["sh", "-c", f"'{program}' --today 2026-11-02 {'' if prepares else '--json'} {typed}"], cwd=work,
                          stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=120)
    if prepares or done.returncode > 1:
        check(done.returncode <= 1, f"'{line}' ends with {done.returncode}: {done.stderr.decode()[:200]}")
        continue
    command = typed.split()[0]
    tried.add(command)
    try:
        printed = json.loads(done.stdout.decode("utf-8", "strict"))
    except ValueError as error:
        check(False, f"'{line}' does not print one object: {error}: {done.stdout[:120]!r}")
        continue
    if command not in validators:
        check(False, f"there is no docs/schema/{command}.json")
        continue
    validator = validators[command]
    errors = sorted(validator.iter_errors(printed), key=lambda error: len(error.absolute_path))
    deepest = errors and min([errors[0]] + list(errors[0].context), key=lambda error: -len(error.absolute_path))
    check(not errors, f"'{line}': {errors and list(deepest.absolute_path)} {errors and deepest.message[:200]}")
    for key in printed:
        spoiled = {f"{one}_renamed" if one == key else one: value for one, value in printed.items()}
        check(not validator.is_valid(spoiled), f"'{line}': '{key}' renamed is not noticed")

listed = subprocess.run([program, "--help"], stdout=subprocess.PIPE, check=True).stdout.decode()
listed = listed[listed.index("\nMONTH\n"):listed.index("\nA monthly review:")]
commands = {one.split()[0] for one in listed.splitlines() if one.startswith("  ") and one[2] != " "}
# An empty log is a file of its own kind, not an answer.
for command in sorted(commands - {"blank-log"}):
    check(command in tried, f"no line of tests/json/commands tries '{command}'")
    check(f"## `afterpick {command}`" in (top / "docs/json.md").read_text(encoding="utf-8"), f"docs/json.md tells nothing of '{command}'")
for name in sorted(set(validators) - commands):
    check(False, f"docs/schema/{name}.json is of no command")
print(f"{good} passed, {bad} failed")
sys.exit(bad > 0)
