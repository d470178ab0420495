"""Which texts of the interface are translated: read from the source, kept in a .po file, compiled to what is shipped.

`make catalogue` runs this file: it adds new texts to each catalogue, empty until somebody translates them, drops those
that are gone, and compiles. Babel is needed for that and not for running the program.
"""

from __future__ import annotations

import ast
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from trees.figures import registry
from trees.language import speaking

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "trees" / "languages"
PACKAGES = ("trees", "graphviz_export", "tui")
SHOWN = {"Command": ((2, "label"), (3, "help"), (5, "shown_as")), "Binding": ((2, "description"), (-1, "key_display"))}
"""Records whose texts are translated where they are shown → place and name of these texts."""
PLAIN = {"plain.py", "plain_job.py", "plain_beside.py", "plain_bench.py", "plain_calls.py", "plain_end.py"}
WORD = re.compile("[A-Za-z]{2}")
"""A sign or the name of a function key is the same in every language."""


@dataclass(frozen=True, slots=True)
class Message:
    """One text of the interface."""

    text: str
    many: str = ""
    context: str = ""
    where: str = ""


def literal(node: ast.expr | None) -> str:
    """Return a text that stands in the source; empty for anything else."""
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


def messages_of(path: Path) -> Iterator[Message]:
    """Yield the marked texts of a file in the order of the source."""
    tree = ast.parse(path.read_text("utf-8"))
    where = path.relative_to(ROOT).as_posix()
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    for call in sorted(calls, key=lambda node: (node.lineno, node.col_offset)):
        name = call.func.id if isinstance(call.func, ast.Name) else ""
        given = [literal(argument) for argument in call.args]
        if name in {"_", "N_"} and given and given[0]:
            yield Message(given[0], where=where)
        elif name == "ngettext" and given[0]:
            yield Message(given[0], given[1], where=where)
        elif name == "pgettext" and given[1]:
            yield Message(given[1], context=given[0], where=where)
        elif name in SHOWN:
            named = {keyword.arg: literal(keyword.value) for keyword in call.keywords}
            for place, key in SHOWN[name]:
                text = given[place] if 0 <= place < len(given) else named.get(key, "")
                if WORD.search(text):
                    yield Message(text, where=where)


def words_of_plain_mode(path: Path) -> Iterator[Message]:
    """Yield the help of the words of plain mode: the first line of what says what a method does."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.AsyncFunctionDef) and (told := ast.get_docstring(node)):
            yield Message(told.partition("\n")[0], where=path.relative_to(ROOT).as_posix())


def texts_of_figures() -> Iterator[Message]:
    """Yield what figures say of themselves: a registration is data, and the name of an input may come from its key."""
    with speaking("en"):
        figures = tuple(registry().values())
    for info in figures:
        where = f"trees/figures/{info.field}.py"
        own = (info.title, info.meaning, info.result.meaning, info.accuracy)
        for text in (*own, *(text for field in info.inputs.values() for text in (field.label, field.meaning))):
            if WORD.search(text):
                yield Message(text, where=where)


def messages() -> tuple[Message, ...]:
    """Return the texts of the whole interface, each once."""
    found: dict[tuple[str, str], Message] = {}
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            more = words_of_plain_mode(path) if path.name in PLAIN else ()
            for message in (*messages_of(path), *more):
                known = found.setdefault((message.context, message.text), message)
                if message.many and not known.many:
                    found[message.context, message.text] = message
    for message in texts_of_figures():
        found.setdefault((message.context, message.text), message)
    return tuple(found.values())


def read(language: str) -> Catalog:
    """Return the catalogue of a language."""
    with (FOLDER / f"{language}.po").open("rb") as file:
        return read_po(file, locale=language)


def renewed(old: Catalog, language: str) -> Catalog:
    """Return a catalogue with exactly the texts of the source and what was translated of them."""
    new = Catalog(locale=language, project="Sootline", charset="utf-8", fuzzy=False)
    for message in messages():
        known = old.get(message.text, context=message.context or None)
        said = known.string if known is not None else ""
        key: str | tuple[str, str] = (message.text, message.many) if message.many else message.text
        if message.many and not isinstance(said, tuple):
            said = ("", "")
        if not message.many and isinstance(said, tuple):
            said = ""
        new.add(key, said, locations=[(message.where, None)], context=message.context or None)
    return new


def po_bytes(catalogue: Catalog) -> bytes:
    """Return the catalogue as the text that people translate; nothing in it changes from day to day."""
    file = io.BytesIO()
    write_po(file, catalogue, width=110, omit_header=True, include_lineno=False)
    forms = catalogue.plural_forms
    head = (
        f'# The interface of Sootline. `make catalogue` adds new texts and compiles.\nmsgid ""\nmsgstr ""\n'
        f'"Language: {catalogue.locale_identifier}\\n"\n"Content-Type: text/plain; charset=utf-8\\n"\n'
        f'"Plural-Forms: {forms}\\n"\n\n'
    )
    return head.encode() + file.getvalue()


def mo_bytes(catalogue: Catalog) -> bytes:
    """Return the catalogue as the program reads it; a text that is not translated is left out."""
    # a date of its own would make the same source compile to other bytes a minute later
    never = datetime(2026, 1, 1, tzinfo=UTC)
    kept = Catalog(locale=catalogue.locale, charset="utf-8", fuzzy=False, creation_date=never, revision_date=never)
    for message in catalogue:
        whole = all(message.string) if isinstance(message.string, tuple) else bool(message.string)
        if message.id and whole:
            kept.add(message.id, message.string, context=message.context)
    kept.mime_headers = [
        ("Language", str(catalogue.locale_identifier)),
        ("Content-Type", "text/plain; charset=utf-8"),
        ("Plural-Forms", catalogue.plural_forms),
    ]
    file = io.BytesIO()
    write_mo(file, kept)
    return file.getvalue()


def main() -> None:
    """Renew and compile every catalogue; say what is still to translate."""
    for path in sorted(FOLDER.glob("*.po")):
        catalogue = renewed(read(path.stem), path.stem)
        path.write_bytes(po_bytes(catalogue))
        path.with_suffix(".mo").write_bytes(mo_bytes(catalogue))
        left = sum(not (all(m.string) if isinstance(m.string, tuple) else m.string) for m in catalogue if m.id)
        print(f"{path.relative_to(ROOT)}: {len(catalogue)} texts, {left} to translate")


if __name__ == "__main__":
    main()
