"""A casebook of hundreds of jobs: the demo jobs, renumbered, on days of their own, each unit with a serial number."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import Any


def many_jobs(export: Iterable[str], copies: int, *, invented: bool, units: int = 40) -> Iterator[str]:
    """Give the lines of an export that holds each job of another one so many times, the last copies last."""
    rows = [json.loads(line) for line in export]
    jobs = [row for row in rows if row["line"] == "job"]
    entries: dict[str, list[dict[str, Any]]] = {job["number"]: [] for job in jobs}
    for row in rows:
        if row["line"] == "entry":
            entries[row["job"]].append(row)
    given = [row for row in rows if row["line"] in {"casebook", "book"}]
    yield from (json.dumps(row) for row in given)
    count = 0
    for copy in range(copies):
        back = timedelta(days=5 * (copies - copy))
        for job in reversed(jobs):
            count += 1
            number = f"R-{count:04d}"
            yield json.dumps(
                {**job, "number": number, "opened_at": moved(job["opened_at"], back), "invented": invented}
            )
            first, *rest = entries[job["number"]]
            plate = {**first, "kind": "unit", "visit": "", "data": {"serial": f"HU-{count % units:03d}", "text": ""}}
            for no, row in enumerate((first, plate, *rest), start=1):
                yield json.dumps({**row, "job": number, "no": no, "at": moved(row["at"], back)})
    told = next(row for row in rows if row["line"] == "end")
    total = sum(len(rows) + 1 for rows in entries.values()) * copies
    yield json.dumps({**told, "jobs": count, "entries": total})


def moved(at: str, back: timedelta) -> str:
    """Return a stored moment so much earlier."""
    moment = datetime.fromisoformat(at) - back
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
