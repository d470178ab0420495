"""The schemas for editors: made from the reader's own tables, sound, and true of the shipped book."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from trees.book import shipped_book_path
from trees.book.json_schema import all_schemas, as_file, file_name, schema_for
from trees.book.reader import FILES

SCHEMAS = Path(__file__).parents[3] / "trees" / "book" / "schema"
SHIPPED = shipped_book_path()
FILES_OF_BOOK = sorted(path.relative_to(SHIPPED).as_posix() for path in SHIPPED.rglob("*.yaml"))


class EditorLoader(yaml.SafeLoader):
    """Reads as editors do, by the core schema of YAML 1.2: `yes` is text, keys of a mapping are text."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012 - the base class states it so

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        return {key.value: self.construct_object(value, deep=True) for key, value in node.value}


EditorLoader.add_constructor("tag:yaml.org,2002:map", EditorLoader.construct_mapping)
for tag, pattern, first in (
    ("bool", "true|True|TRUE|false|False|FALSE", "tTfF"),
    ("null", "~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("int", "[-+]?[0-9]+", "-+0123456789"),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", "-+.0123456789"),
):
    EditorLoader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(f"(?:{pattern})$"), list(first))


def as_editor(text: str) -> Any:
    """Return a file as an editor sees it."""
    return yaml.load(text, EditorLoader)


def place_of(name: str) -> str:
    """Return the place in FILES of a book's file."""
    return name if name in FILES else name.partition("/")[0]


@cache
def validator(place: str) -> jsonschema.Draft7Validator:
    """Return the validator for a place."""
    return jsonschema.Draft7Validator(schema_for(place))


@pytest.mark.parametrize("place", FILES)
@pytest.mark.parametrize("draft", [jsonschema.Draft7Validator, jsonschema.Draft202012Validator])
def test_schema_is_sound_under_both_drafts(place: str, draft: Any) -> None:
    """Draft 7 is what editors know, 2020-12 the newest."""
    draft.check_schema(schema_for(place))


@pytest.mark.parametrize("name", FILES_OF_BOOK)
@pytest.mark.parametrize("draft", [jsonschema.Draft7Validator, jsonschema.Draft202012Validator])
def test_shipped_book_is_valid(name: str, draft: Any) -> None:
    """An editor underlines nothing in the book that ships."""
    errors = draft(schema_for(place_of(name))).iter_errors(as_editor((SHIPPED / name).read_text("utf-8")))
    assert [(error.json_path, error.message[:200]) for error in errors] == []


@pytest.mark.parametrize("name", FILES_OF_BOOK)
def test_shipped_file_names_its_schema(name: str) -> None:
    """The first line leads an editor to the schema of this kind of file, by a relative path."""
    first = (SHIPPED / name).read_text("utf-8").split("\n", 1)[0]
    found = re.fullmatch(r"# yaml-language-server: \$schema=(\S+)", first)
    assert found is not None
    assert ((SHIPPED / name).parent / found[1]).resolve() == (SCHEMAS / file_name(place_of(name))).resolve()
    assert ((SHIPPED / name).parent / found[1]).is_file()


def test_files_are_what_the_generator_makes() -> None:
    """`sootline schema --out trees/book/schema` would change nothing."""
    made = {name: as_file(schema) for name, schema in all_schemas().items()}
    assert {path.name: path.read_text("utf-8") for path in SCHEMAS.glob("*")} == made


def test_tiny_book_is_valid(tiny: Any) -> None:
    """The tiny book uses forms that the shipped one may not."""
    for name, text in tiny.files.items():
        assert list(validator(place_of(name)).iter_errors(as_editor(text))) == [], name


SLIPS = [
    ("book.yaml", "title: A tiny book", "titel: A tiny book"),
    ("book.yaml", "often: 0.55", "often: 1.55"),
    ("families.yaml", "voltage: 12\n", "voltage: 12 V\n"),
    ("signs.yaml", "levels: [none, light, hard]", "levels: [none]"),
    ("causes.yaml", "kind: root", "kind: rot"),
    ("causes.yaml", "share: 6", "share: 140"),
    ("cautions.yaml", "grade: DANGER", "grade: GRAVE"),
    ("fixes.yaml", "minutes: 45", "minutes: 45 min"),
    ("gate.yaml", "  unknown: yes\nalarm_before", "alarm_before"),
    ("gate.yaml", "stop: exhaust_gas", "stops: exhaust_gas"),
    ("checks/burner.yaml", "uses_start: true", "uses_start: yes"),
    ("checks/burner.yaml", "  look: What is on the burner insert?\n", ""),
    ("checks/burner.yaml", "plausible: [0, 3]", "plausible: [0, 3, 5]"),
    ("checks/supply.yaml", "of: [family.dose]", "of: [dose]"),
    ("trees/supply_voltage.yaml", "no: 301", "no: 0"),
    ("trees/commissioning.yaml", "end: released", "end: relased"),
    ("trees/smoke_on_start.yaml", "{on: [enough], to: look_in}", "{on: [enough]}"),
]


@pytest.mark.parametrize(("name", "right", "wrong"), SLIPS, ids=[f"{n}: {w.strip()[:30]}" for n, _, w in SLIPS])
def test_slip_is_underlined_where_the_checker_finds_it(tiny: Any, name: str, right: str, wrong: str) -> None:
    """What is wrong in itself, without other files, an editor sees as the checker does."""
    tiny.change(name, right, wrong)
    assert list(validator(place_of(name)).iter_errors(as_editor(tiny.files[name])))
    assert {problem.spot.file for problem in tiny.check().problems if problem.severity == "error"} >= {name}


def test_schema_completes_words_and_says_what_belongs() -> None:
    """Choices are listed and each value is described, which is what an editor shows."""
    cause = schema_for("causes.yaml")["definitions"]["cause"]["properties"]
    assert cause["kind"]["enum"] == ["root", "consequence", "both"]
    assert cause["leads_to"]["items"]["description"] == "the name of a cause"
    assert json.dumps(schema_for("checks")).count('"description"') > 20
