"""A JSON Schema for each kind of file of a book, made from the tables that the reader uses, for editors to complete by.

Only what draft 7 and 2020-12 both know is used. A schema is looser than the checker: it knows no names of other files.
Any plain value passes as text, because an editor reads `12` as a number where a book means the text.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from typing import Any

from trees.book import shapes, tables, values
from trees.book.fields import Forms, Items, Key, OneOrMore, Pairs, Table
from trees.book.languages import FOLDER
from trees.book.languages import table as translation_table
from trees.book.reader import FILES, SHAPES
from trees.book.values import Shape

Schema = dict[str, Any]

_SCALAR = ["string", "number", "boolean"]
_NAME = "^[a-z0-9][a-z0-9_]*$"


def file_name(place: str) -> str:
    """Return the schema's file for a file or folder of a book: `causes.json` for `causes.yaml`."""
    return f"{place.removesuffix('.yaml')}.json"


def schema_for(place: str) -> Schema:
    """Return the schema of a file or folder of a book, by its place in FILES or `languages`; KeyError for another."""
    maker = _Maker()
    if place == FOLDER:
        head = {"$schema": "http://json-schema.org/draft-07/schema#", "title": "texts in another language"}
        return {**head, **maker.table(translation_table()), "definitions": maker.definitions}
    kind = FILES[place]
    if kind in {"book", "tree"}:
        made = maker.table(tables.BOOK if kind == "book" else tables.TREE)
    else:
        made = {
            "type": "object",
            "properties": {"source": maker.of(tables.SOURCE.shape)},
            "additionalProperties": maker.of(SHAPES[kind]),
            "propertyNames": {"pattern": _NAME},
        }
    head = {"$schema": "http://json-schema.org/draft-07/schema#", "title": f"{kind} ({place} of a book)"}
    return {**head, **made, "definitions": maker.definitions}


def all_schemas() -> dict[str, Schema]:
    """Return every schema by its file name."""
    return {file_name(place): schema_for(place) for place in (*FILES, FOLDER)}


def as_file(schema: Schema) -> str:
    """Return a schema as it is written to a file."""
    return json.dumps(schema, ensure_ascii=False, indent=1) + "\n"


class _Maker:
    """Turns shapes into schemas; tables are written once, as definitions."""

    def __init__(self) -> None:
        self.definitions: dict[str, Schema] = {}
        self._names: dict[int, str] = {}

    def of(self, shape: Shape) -> Schema:
        """Return the schema of one value, with what belongs there as its description."""
        if isinstance(shape, Table):
            return self._defined(shape)
        made = self._makers()[type(shape)](shape)
        if "$ref" not in made:
            made = {**made, "description": shape.expects()}
        return made

    def table(self, table: Table) -> Schema:
        """Return the schema of a record."""
        made: Schema = {"type": "object", "properties": {name: self._key(key) for name, key in table.keys.items()}}
        needed = [name for name, key in table.keys.items() if key.needed]
        if needed:
            made["required"] = needed
        return {**made, "additionalProperties": False}

    def _key(self, key: Key) -> Schema:
        made = self.of(key.shape)
        if not key.says:
            return made
        if "$ref" in made:  # what stands beside a reference is not read
            made = {"allOf": [made]}
        return {**made, "description": f"{key.says}; {made['description']}" if "description" in made else key.says}

    def _defined(self, table: Table) -> Schema:
        name = self._names.get(id(table), "")
        if not name:
            name = base = re.sub(r"\W+", "_", table.what)
            while name in self.definitions:
                name = f"{base}_{len(self.definitions)}"
            self._names[id(table)] = name
            self.definitions[name] = {}
            self.definitions[name] = {"title": table.what, **self.table(table)}
        return {"$ref": f"#/definitions/{name}"}

    def _makers(self) -> Mapping[type[Shape], Callable[[Any], Schema]]:
        return {
            values.Text: lambda _: {"type": _SCALAR},
            values.Name: lambda _: {"type": _SCALAR, "pattern": _NAME},
            values.Number: _number,
            values.Truth: lambda _: {"type": "boolean"},
            values.Choice: lambda choice: {"enum": list(choice.options)},
            Items: self._items,
            OneOrMore: lambda both: {"anyOf": [self.of(both.item), self._items(Items(both.item, least=1))]},
            Pairs: self._pairs,
            Forms: lambda forms: {"oneOf": [self._defined(table) for table in forms.tables.values()]},
            shapes.Chance: lambda _: {"anyOf": [self.of(shapes.FRACTION), {"type": "string", "pattern": _NAME}]},
            shapes.NumberOrPairs: lambda both: {
                "anyOf": [self.of(both.value), self.of(Pairs(values.Name(), both.value, least=1))]
            },
            shapes.LevelMap: lambda _: self._pairs(Pairs(values.Name("sign"), values.Name())),
            shapes.SourceShape: lambda _: {"anyOf": [{"enum": ["practice", "memory"]}, self.of(shapes.PUBLISHED)]},
            shapes.EdgeShape: lambda _: {
                "anyOf": [
                    {"type": "number"},
                    {"type": "string", "pattern": r"^family\.[a-z0-9_]+$"},
                    self._pairs(Pairs(shapes.VoltageKey(), values.Number(), least=1)),
                ]
            },
            shapes.MediumShape: lambda _: {"type": _SCALAR, "pattern": _NAME},
            shapes.VoltageKey: lambda _: {"anyOf": [self.of(shapes.VOLTS), {"enum": ["any"]}]},
            shapes.AppliesShape: lambda _: self.of(shapes.APPLIES),
            shapes.Link: lambda link: {
                "type": _SCALAR,
                "pattern": r"^(family|figure)\.[a-z0-9_]+$" if link.figure else r"^[a-z0-9_]+(\.[a-z0-9_]+)?$",
            },
            shapes.GoShape: lambda _: {
                "anyOf": [
                    self._pairs(Pairs(values.Name(), values.Name("step"))),
                    self._items(Items(shapes.WAY)),
                ]
            },
            shapes.GivenShape: lambda _: {
                "anyOf": [
                    {"type": _SCALAR},
                    self._items(Items(values.Text())),
                    self._pairs(Pairs(values.Name(), values.Text(), least=1)),
                ]
            },
        }

    def _items(self, items: Items) -> Schema:
        made: Schema = {"type": "array", "items": self.of(items.item)}
        if items.least or items.exactly:
            made["minItems"] = items.exactly or items.least
        if items.exactly or items.most:
            made["maxItems"] = items.exactly or items.most
        return made

    def _pairs(self, pairs: Pairs) -> Schema:
        key = pairs.key
        names = {"enum": list(key.options)} if isinstance(key, values.Choice) else {"pattern": _key_pattern(key)}
        made: Schema = {"type": "object", "additionalProperties": self.of(pairs.value), "propertyNames": names}
        if pairs.least:
            made["minProperties"] = pairs.least
        return made


def _key_pattern(key: Shape) -> str:
    if isinstance(key, shapes.VoltageKey):
        return "^([0-9.]+|any)$"
    return "^." if isinstance(key, values.Text) else _NAME


def _number(number: values.Number) -> Schema:
    made: Schema = {"type": "integer" if number.whole else "number"}
    if number.low is not None:
        made["minimum"] = number.low
    if number.high is not None:
        made["maximum"] = number.high
    return made
