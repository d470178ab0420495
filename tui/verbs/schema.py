"""`sootline schema`: JSON Schemas of a book's files, for editors to complete and validate by."""

from __future__ import annotations

import argparse
import json

from trees.errors import BookError
from trees.language import _, reason_of
from tui.command_line import Exit


def run(options: argparse.Namespace) -> int:
    """Print one schema or all by file name, or write them into a folder."""
    from trees.book.json_schema import all_schemas, as_file

    schemas = all_schemas()
    if options.kind is not None:
        name = f"{options.kind.removesuffix('.yaml').removesuffix('.json')}.json"
        if name not in schemas:
            kinds = ", ".join(known.removesuffix(".json") for known in schemas)
            raise BookError(_("There is no schema of that name; there are {kinds}.").format(kinds=kinds))
        schemas = {name: schemas[name]}
    if options.out is None:
        shown = next(iter(schemas.values())) if options.kind is not None else schemas
        print(json.dumps(shown, ensure_ascii=False, indent=1))
        return Exit.FINE
    try:
        options.out.mkdir(parents=True, exist_ok=True)
        for name, schema in schemas.items():
            if (options.out / name).is_symlink():
                raise BookError(
                    _("{out} is a link, so nothing was written there; take it away first.").format(
                        out=options.out / name
                    )
                )
            (options.out / name).write_text(as_file(schema), encoding="utf-8")
            print(options.out / name)
    except OSError as error:
        raise BookError(
            _("The schemas can't be written to {out}: {strerror}.").format(out=options.out, strerror=reason_of(error))
        ) from error
    return Exit.FINE
