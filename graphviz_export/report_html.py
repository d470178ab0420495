"""A report as one HTML file: no script, nothing from outside, every text escaped, bars as inline SVG."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from html import escape as html_escape

from graphviz_export.letterhead import Letterhead, Logo
from graphviz_export.report_customer import CustomerPage
from graphviz_export.report_records import FIRST_WORDS, INVENTED, Bar, Report
from graphviz_export.report_sections import (
    NOTE_PARTS,
    NOTE_SUSPECTS,
    NOTE_UNCERTAINTY,
    Section,
    Table,
    advice_section,
    customer_sections,
    evidence_sections,
    figures_table,
    found_sections,
    late_sections,
    pairs_table,
    readings_table,
    record_facts,
    work_table,
)
from trees.language import _
from trees.text import printable

_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
_STYLE = """
@page { size: A4; margin: 12mm 15mm }
:root { color-scheme: light }
body { font: 16px/1.4 Arimo, Arial, Helvetica, sans-serif; color: #111; background: #fff; max-width: 60rem;
  margin: 1.5rem auto; padding: 0 1rem; overflow-wrap: break-word }
h1 { font-size: 1.6rem; margin: .4rem 0 } h2 { font-size: 1.1rem; margin: 1.2rem 0 .3rem } h3 { font-size: 1rem;
  margin: .9rem 0 .2rem }
header { display: flex; justify-content: space-between; gap: 2rem; color: #333 } header img { max-height: 4rem;
  max-width: 14rem }
header p { margin: 0 } .invented { background: #eee; border: 1px dashed #111; padding: .4rem .6rem; font-weight: bold }
.stop { border: 3px solid #111; padding: .6rem .8rem; margin: .8rem 0 } .stop strong { font-size: 1.2rem }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .1rem 1rem; margin: .5rem 0 } dt { color: #444 }
dd { margin: 0 } ul, ol { margin: .2rem 0; padding-left: 1.2rem }
table { border-collapse: collapse; width: 100%; font-size: .9em } th, td { text-align: left; vertical-align: top;
  border-bottom: 1px solid #bbb; padding: .25rem .4rem } td:nth-child(2), .pairs td:nth-child(3) { font-weight: bold }
.pairs td:nth-child(2) { font-weight: normal }
.wide { overflow-x: auto } .small { color: #444; font-size: .9em }
svg { display: block; max-width: 100%; height: auto }
.record { border-top: 3px double #111; margin-top: 2rem; padding-top: .5rem }
footer { border-top: 1px solid #bbb; margin-top: 1.2rem; padding-top: .4rem; color: #444; font-size: .85em }
@media print { body { font-size: 9.2pt; line-height: 1.18; margin: 0; max-width: none; padding: 0 }
  h1 { font-size: 14pt; margin: 1mm 0 } h2 { font-size: 10.5pt; margin: 1.7mm 0 .4mm } h3 { font-size: 9.5pt;
  margin: 1.6mm 0 .4mm } h2, h3 { break-after: avoid } p, ul, ol, dl { margin-top: .4mm; margin-bottom: .4mm }
  th, td { padding: .3mm 1mm } .wide { overflow: visible } .invented { padding: 1mm 2mm } svg { height: auto;
  width: 130mm } footer { margin-top: 2mm; padding-top: 1mm } .record { break-before: page; border: 0; margin: 0;
  padding: 0 } tr, .stop, svg { break-inside: avoid } }
"""


def escape(text: str) -> str:
    """Return a text that HTML shows as it is, in an element or in a quoted attribute."""
    return html_escape(printable(text), quote=True)


def html(report: Report, page: CustomerPage, letterhead: Letterhead | None = None, logo: Logo | None = None) -> str:
    """Return the report as one HTML document: the customer's page, then the record."""
    head = letterhead or Letterhead()
    title = _("Report {number}").format(number=report.number)
    body = [
        '<main><section class="customer">',
        _head(head, logo),
        f"<h1>{escape(title)}</h1>",
        _invented(report),
        *_customer(page, head),
        "</section>",
        '<section class="record">',
        f"<h1>{escape(_('The record behind report {number}').format(number=report.number))}</h1>",
        _invented(report),
        *_record(report),
        f"<footer>{escape(_(FIRST_WORDS))} {escape(report.book)}.</footer>",
        "</section></main>",
    ]
    language = report.language if report.language.replace("-", "").isalnum() else "en"
    return "\n".join(
        [
            "<!DOCTYPE html>",
            f'<html lang="{escape(language)}"><head><meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{escape(title)}</title>",
            f"<style>{_STYLE}</style></head><body>",
            *(part for part in body if part),
            "</body></html>",
            "",
        ]
    )


def _head(head: Letterhead, logo: Logo | None) -> str:
    lines = "<br>".join(escape(line) for line in head.address)
    name = f"<strong>{escape(head.workshop)}</strong><br>" if head.workshop else ""
    picture = ""
    if logo is not None:
        data = base64.b64encode(logo.data).decode("ascii")
        picture = f'<img src="data:{logo.media_type};base64,{data}" alt="{escape(head.workshop or "Logo")}">'
    return f"<header><p>{name}{lines}</p>{picture}</header>" if name or lines or picture else ""


def _invented(report: Report) -> str:
    return f'<p class="invented">{_(INVENTED)}</p>' if report.invented else ""


def _customer(page: CustomerPage, head: Letterhead) -> Iterable[str]:
    yield _facts(page.facts)
    if page.stop:
        steps = "".join(f"<li>{escape(line)}</li>" for line in page.stop_lines)
        stopped = _("STOPPED FOR SAFETY: {stop}").format(stop=page.stop)
        yield f'<div class="stop"><strong>{escape(stopped)}</strong><ol>{steps}</ol></div>'
    yield from map(_list, customer_sections(page))
    yield _table(pairs_table(page)).replace('class="wide"', 'class="wide pairs"')
    yield _bars(_("Run hours at each output step"), page.run_hours)
    number = escape(head.emergency_number or _("your local emergency number"))
    call = escape(_("Fire, alarm or feeling unwell: out into the air, then call {number}."))
    yield f"<footer>{call.format(number=f'<strong>{number}</strong>')}"
    yield f" {escape(_(FIRST_WORDS))} {escape(page.moved)}</footer>"


def _record(report: Report) -> Iterable[str]:
    yield _facts(record_facts(report))
    if report.starts_forbidden:
        yield f"<p><strong>{escape(_('Starts were forbidden:'))}</strong> {escape(report.starts_forbidden)}</p>"
    yield f"<h2>{escape(_('What was found'))}</h2>"
    yield from (_list(section, level=3) for section in found_sections(report))
    yield _table(work_table(report))
    if report.parts:
        yield f"<p>{escape(_('Parts used: {parts}.').format(parts=', '.join(report.parts)))} {_(NOTE_PARTS)}</p>"
    yield _list(advice_section(report))
    yield _table(readings_table(report))
    yield f'<p class="small">{_(NOTE_UNCERTAINTY)}</p>' if report.readings else ""
    yield _table(figures_table(report))
    yield _bars(_("Causes by the answers"), report.suspects)
    yield f'<p class="small">{_(NOTE_SUSPECTS)}</p>' if report.suspects else ""
    yield f"<p>{escape(report.suspects_trouble)}</p>" if report.suspects_trouble else ""
    yield f"<h2>{escape(_('Evidence for each cause'))}</h2>" if report.evidence else ""
    yield from (_list(section, level=3) for section in evidence_sections(report))
    yield from map(_list, late_sections(report))


def _facts(rows: Iterable[tuple[str, str]]) -> str:
    return f"<dl>{''.join(f'<dt>{name}</dt><dd>{escape(text)}</dd>' for name, text in rows)}</dl>"


def _list(section: Section, *, level: int = 2) -> str:
    if not section.told:
        return ""
    items = "".join(f"<li>{escape(line)}</li>" for line in section.lines)
    body = f"<ul>{items}</ul>" if items else f"<p>{escape(section.empty)}</p>"
    return f"<h{level}>{escape(section.title)}</h{level}>{body}"


def _table(shown: Table) -> str:
    lines = ["<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in shown.rows]
    if not lines:
        return f"<h2>{escape(shown.title)}</h2><p>{escape(shown.empty)}</p>" if shown.empty else ""
    top = "".join(f'<th scope="col">{escape(head)}</th>' for head in shown.heads)
    table = f"<table><thead><tr>{top}</tr></thead><tbody>{''.join(lines)}</tbody></table>"
    return f'<h2>{escape(shown.title)}</h2><div class="wide">{table}</div>'


def _bars(title: str, bars: Sequence[Bar]) -> str:
    """Draw bars as SVG: label and number as text, so that nothing rests on colour or on length alone."""
    if not bars:
        return ""
    rows = []
    for n, bar in enumerate(bars):
        y = 24 * n
        rows.append(
            f'<text x="0" y="{y + 16}" font-size="13">{escape(_short(bar.label))}</text>'
            f'<rect x="330" y="{y + 5}" width="260" height="14" fill="none" stroke="#999"/>'
            f'<rect x="330" y="{y + 5}" width="{260 * bar.share:.1f}" height="14" fill="#333"/>'
            f'<text x="600" y="{y + 16}" font-size="13">{escape(bar.told)}</text>'
        )
    told = "; ".join(f"{bar.label} {bar.told}" for bar in bars)
    height = 24 * len(bars) + 2
    return (
        f'<h2>{escape(title)}</h2><svg viewBox="0 0 720 {height}" width="720" height="{height}" role="img" '
        f'aria-label="{escape(told)}">{"".join(rows)}</svg>'
    )


def _short(label: str) -> str:
    return label if len(label) <= 46 else f"{label[:45]}…"
