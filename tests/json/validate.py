"""Runs every line of tests/json/commands with --json and holds what it prints to docs/schema/ by a general validator.

Every schema is held to the standard's own first, every object in it is closed, says what it requires and is told of in docs/json.md. Then
what was printed is spoiled, one place at a time and at every depth: a key renamed, a key added, a value of another kind. A schema that
lets such a one pass would not catch a change, and fails here.
"""
import copy
import json
import pathlib
import re
import subprocess
import sys

import jsonschema

import typed_lines

work = pathlib.Path(sys.argv[1])
top = pathlib.Path(sys.argv[2])
program = sys.argv[3]
good = bad = 0


def check(right, what):
    global good, bad
    good += bool(right)
    bad += not right
    if not right:
        print("FAILED json:", what)


told = (top / "docs/json.md").read_text(encoding="utf-8")
told_of_all = told[:told.index("\n## ")]
# A number says its unit behind its last underscores, or is one of these: a ratio, a share, a logarithm, a chance, a factor, a bound of one.
UNIT = re.compile(r"_(kg|m|m3|n|deg|days|kg_m3|kg_per_m|n_m)$")
BARE = re.compile(
    r"(^|_)(log|ratio|share|factor|sd|p|low|high|difference|chance|allowance|confidence|content|gravity|pct|level|limit|rate|use|band|k|"
    r"peak|value|shrink|p_value|q_value|change_p|p_adjusted)$|^(share|ratio|difference|rise)_\w+$|_log_per_year$|"
    r"^(band_stop|band_watch|brush_at|heavier|surprise|over|mean_added|mean_log_ratio|mean_square_less|median_ratio|factor_before|factor_after|"
    r"planning_factor_before|false_alarms_expected|if_independent|needs_more_picks|picks_per_alarm|reading_error|days_since_over|worst_share_heavier|"
    r"share_heavier_10pct|log_shift)$")
# A value that is a number or a word by its nature.
EITHER = {("pick", "working", "inputs", "value")}


def section(command):
    found = re.search(rf"^## `afterpick {command}`\n(.*?)(?=^## |\Z)", told, re.M | re.S)
    return found[1] if found else ""


def objects(schema, where="", root=None):
    """Every schema of an object in it, with where it stands; definitions where they are used."""
    root = root or schema
    if "$ref" in schema:
        target = root
        for step in schema["$ref"].lstrip("#/").split("/"):
            target = target[step]
        if where.count("/$") > 3:
            return
        yield from objects(target, where + "/$", root)
    if "properties" in schema or schema.get("type") == "object":
        yield where or "/", schema
    for key, inner in schema.get("properties", {}).items():
        yield from objects(inner, f"{where}/{key}", root)
    for word in ("items", "additionalProperties", "not", "if", "then", "else"):
        if isinstance(schema.get(word), dict):
            yield from objects(schema[word], f"{where}[]", root)
    for word in ("oneOf", "anyOf", "allOf", "prefixItems"):
        for inner in schema.get(word, []):
            yield from objects(inner, where, root)


def look_at(name, schema):
    check(schema.get("$schema") == "https://json-schema.org/draft/2020-12/schema", f"{name} names another draft")
    check(schema.get("title") and schema.get("description"), f"{name} has no title or description")
    also = "".join(section(other) for other in set(re.findall(r"`([a-z-]+)`", section(name))) & schemas)
    words = set(re.findall(r"[A-Za-z0-9_]+", section(name) + also + told_of_all))
    keys = set()
    for where, inner in objects(schema):
        closed = inner.get("additionalProperties")
        check(closed is False or isinstance(closed, dict), f"{name} {where} lets any key in")
        keys |= set(inner.get("properties", {}))
        for key, one in inner.get("properties", {}).items():
            kinds = one.get("type", [])
            if "number" in ([kinds] if isinstance(kinds, str) else kinds):
                check(UNIT.search(key) or BARE.search(key), f"{name} {where}/{key} says no unit")
            elif UNIT.search(key) and not key.endswith("_days"):
                check("integer" not in kinds, f"{name} {where}/{key} is a measure but must be whole")
    missing = sorted(key for key in keys if key not in words)
    check(not missing, f"docs/json.md does not tell of {missing} of '{name}'")


schemas = {path.stem for path in (top / "docs/schema").glob("*.json")}
validators = {}
for path in sorted((top / "docs/schema").glob("*.json")):
    schema = json.loads(path.read_text(encoding="utf-8"))
    try:
        jsonschema.Draft202012Validator.check_schema(schema)
        look_at(path.stem, schema)
    except jsonschema.SchemaError as error:
        check(False, f"{path.name} is no schema: {error.message}")
    validators[path.stem] = jsonschema.Draft202012Validator(schema)


def shape(value):
    if isinstance(value, dict):
        return tuple(sorted((key, shape(inner)) for key, inner in value.items()))
    return "[]" if isinstance(value, list) else type(value).__name__


def short(value):
    """The same with long lists cut to three of different shapes: every kind of place, and quick to judge."""
    if isinstance(value, dict):
        return {key: short(inner) for key, inner in value.items()}
    if not isinstance(value, list):
        return value
    kinds = {}
    for inner in value:
        kinds.setdefault(shape(inner), inner)
    return [short(inner) for inner in list(kinds.values())[:3]]


def places(value, path=()):
    """Paths of everything in it; a number stands for a place in a list."""
    yield path
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, one in inner:
        yield from places(one, path + (key,))


def at(value, path):
    for step in path:
        value = value[step]
    return value


def spoiled_at(whole, path):
    """What is wrong in one place: (how, the whole with it)."""
    value = at(whole, path)
    other = {} if isinstance(value, (str, bool)) else "text" if not isinstance(value, (dict, list)) else 7
    if value is None:
        other = []
    wrong = copy.deepcopy(whole)
    if not path:
        return
    at(wrong, path[:-1])[path[-1]] = other
    yield f"{other!r} in its place", wrong
    if isinstance(value, dict):
        wrong = copy.deepcopy(whole)
        at(wrong, path)["key_of_nobody"] = 1
        yield "with a key more", wrong
    if isinstance(path[-1], str):
        wrong = copy.deepcopy(whole)
        holder = at(wrong, path[:-1])
        holder[f"{path[-1]}_renamed"] = holder.pop(path[-1])
        yield "renamed", wrong


seen_places = set()


def spoil(line, command, printed, validator):
    small = short(printed)
    if not validator.is_valid(small):
        check(False, f"'{line}' cut short is no longer right: the schema counts the rows of a list")
        return
    for path in places(small):
        place = (command, tuple("[]" if isinstance(step, int) else step for step in path), shape(at(small, path)) if path else "")
        if place in seen_places:
            continue
        seen_places.add(place)
        if (command,) + tuple(step for step in path if isinstance(step, str)) in EITHER:
            continue
        for how, wrong in spoiled_at(small, path):
            check(not validator.is_valid(wrong), f"'{line}': {'/'.join(str(step) for step in path)} {how} is not noticed")


tried = set()
for line, prepares, typed in typed_lines.lines(top):
    done = typed_lines.run(program, work, typed if prepares else f"--json {typed}")
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
    if not errors:
        spoil(line, command, printed, validator)

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
