#!/usr/bin/env python3
"""The JSON schemas by another library: they are schemas, the scenario's files and what the
commands print pass, wrong ones do not.

Needs Python 3.11 and jsonschema (pip install jsonschema), whose own rules are draft 2020-12.
"""

import copy
import datetime
import json
import os
import pathlib
import subprocess
import tempfile
import tomllib

import jsonschema

top = pathlib.Path(__file__).resolve().parents[2]


def plain(value):
    """TOML dates as the text that an editor sees."""
    if isinstance(value, dict):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [plain(part) for part in value]
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    return value


def validator(name):
    schema = json.loads((top / "report/schema" / name).read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


site, machine, book = (validator(f"{name}.json") for name in ("site", "machine", "book"))
checked = 0
for path in sorted((top / "fixtures").rglob("*.toml")):
    kinds = {"site": site, "book": book}
    which = machine if "machine" in path.name else kinds.get(path.stem)
    if which is None or path.name == "Cargo.toml":
        continue
    errors = list(which.iter_errors(plain(tomllib.loads(path.read_text()))))
    assert not errors, f"{path}: {errors[0].message}"
    checked += 1
assert checked >= 5, checked

good = plain(tomllib.loads((top / "fixtures/scenario/site.toml").read_text()))
assert not list(site.iter_errors(good))
wrong = 0
for spoil in (
    lambda f: f.update(untis="us"),
    lambda f: f.update(units="imperial"),
    lambda f: f["section"][0].update(area="575"),
    lambda f: f["section"][0].update(area=575),
    lambda f: f["section"][0].pop("id"),
    lambda f: f["step"][0].update(minutes=0),
    lambda f: f["button"][0].update(phase="step 0"),
    lambda f: f["shift"].pop("end"),
):
    bad = copy.deepcopy(good)
    spoil(bad)
    assert list(site.iter_errors(bad)), spoil
    wrong += 1
assert list(book.iter_errors({"measured": [{"date": "2026-11-06", "quadrants": [["1 in"] * 3]}]}))
# What the commands print, kept by the test that makes it.
with tempfile.TemporaryDirectory() as folder:
    test = ["cargo", "test", "--quiet", "--workspace", "--test", "outputs", "every_json"]
    subprocess.run(test, cwd=top, check=True, stdout=subprocess.DEVNULL,
                   env={**os.environ, "UNDERBRUSH_JSON_TO": folder})
    of = {"compare": "comparison"}
    schemas = {name: validator(f"{of.get(name, name)}.json")
               for name in ("events", "trace", "compare", "trends")}
    printed = sorted(pathlib.Path(folder).glob("*.json"))
    for path in printed:
        which = schemas[path.name.split("-")[0].removesuffix(".json")]
        errors = list(which.iter_errors(json.loads(path.read_text())))
        assert not errors, f"{path.name}: {errors[0].message}"
    kinds = {path.name.split("-")[0].removesuffix(".json") for path in printed}
    assert kinds == set(schemas), kinds
print(f"{len(printed)} printed texts pass, {checked} files pass, {wrong + 1} spoilt ones do not")
