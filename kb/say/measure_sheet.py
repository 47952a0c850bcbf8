"""The list of measurements as a sheet to print, with boxes to write in: plain text, or HTML for A4.

The text can be filled in with an editor, too, and read back: `kb.reading_sheet.read_sheet`.
"""

from __future__ import annotations

import textwrap
from html import escape

from kb.errors import visible
from kb.say.measure import INSTEAD, Line, tell
from kb.worth import Advice

WIDTH = 78
FILL = "_" * 14
WRITE = (
    "Write each figure into its box with its unit, and tick it off. Cross out an instrument that you did not use and "
    "write the one that you did."
)
ENTER = "Fill it in with an editor, then: matchmark measure {build} --enter FILE"


def as_sheet(advice: Advice, *, system: str = "mm") -> str:
    """The sheet as plain text of at most 78 columns, one line to fill in for each reading."""
    told = tell(advice, system)
    lines = [*_wrap(told.title), "=" * min(WIDTH, len(told.title)), "", *_wrap(told.summary), *_wrap(WRITE)]
    if not advice.build.loose:
        lines += _wrap(ENTER.format(build=advice.build.id))
    lines += ["", f"Read by: {FILL}{FILL}   Date: {FILL}"]
    for _, heading, here in told.where:
        lines += ["", f"{heading}:"]
        for line in here:
            lines += ["", _blank(line), *_wrap(_words(line), "      ")]
    for note in told.notes:
        lines += ["", *_wrap(note)]
    lines += ["", *_wrap(told.caution)]
    return visible("\n".join(lines) + "\n")


def _blank(line: Line) -> str:
    if not line.can_enter:
        return f"[ ] {line.name}: a list, write it on a sheet of its own (matchmark blank)"
    unit = f" {line.unit}" if line.unit else f" ({', '.join(line.choices)})" if line.choices else ""
    tool = f"  with {line.tool.id}" if line.tool.id else ""
    return f"[ ] {line.name} = {FILL}{unit}{tool}" + (f"  {INSTEAD}" if line.supersedes else "")


def _words(line: Line) -> str:
    said = [f"{line.meaning} ({line.part})" if line.meaning else line.part, line.how]
    if line.tool.id not in ("", "eye"):
        said.append(f"{line.tool.name}: {line.tool.hold[:1].lower()}{line.tool.hold[1:].rstrip('.')}")
    elif not line.tool.id:
        said.append(line.tool.name)
    said += [line.good, line.settles]
    return "; ".join(each.rstrip(".") for each in said if each) + "."


def _wrap(words: str, indent: str = "") -> list[str]:
    return textwrap.wrap(words, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False) or [""]


_STYLE = """
@page { size: A4; margin: 14mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.35 sans-serif; color: #000; background: #fff; max-width: 182mm; margin: 0 auto; padding: 4mm; }
h1 { font-size: 16pt; margin: 0 0 2mm; }
h2 { font-size: 13pt; margin: 6mm 0 2mm; border-bottom: 1.5pt solid #000; break-after: avoid; }
p { margin: 0 0 2mm; }
.who { display: flex; gap: 6mm; margin: 4mm 0; }
.who span { flex: 1; border-bottom: 1pt solid #000; padding-bottom: 1mm; min-height: 9mm; }
.reading { display: grid; grid-template-columns: 9mm minmax(0, 1fr) 62mm; gap: 4mm; padding: 3mm 0;
  border-bottom: .5pt solid #777; break-inside: avoid; }
.tick { width: 8mm; height: 8mm; border: 1.2pt solid #000; }
.box { height: 15mm; border: 1.2pt solid #000; display: flex; align-items: flex-end; justify-content: flex-end;
  padding: 1mm 2mm; color: #333; }
.name { font: bold 11pt monospace; overflow-wrap: anywhere; }
.small { font-size: 9.5pt; margin: 1mm 0 0; }
.caution { border: 1pt solid #000; border-left-width: 4mm; padding: 2mm 3mm; margin-top: 6mm; font-size: 9.5pt;
  break-inside: avoid; }
@media (max-width: 150mm) { .reading { grid-template-columns: 9mm minmax(0, 1fr); } .box { grid-column: 1 / -1; } }
@media print { body { padding: 0; } }
"""


def as_html(advice: Advice, *, system: str = "mm") -> str:
    """The sheet as one HTML page without any other file, laid out for A4."""
    told = tell(advice, system)
    title = escape(told.title)
    body = [f"<h1>{title}</h1>", f"<p>{escape(told.summary)}</p>", f"<p>{escape(WRITE)}</p>"]
    body.append('<div class="who"><span>Read by</span><span>Date</span></div>')
    for _, heading, here in told.where:
        body.append(f"<h2>{escape(heading)}</h2>")
        body += [_row(line) for line in here]
    body += [f'<p class="small">{escape(note)}</p>' for note in told.notes]
    body.append(f'<p class="caution">{escape(told.caution)}</p>')
    page = "\n".join(body)
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{title}</title>\n'
        f"<style>{_STYLE}</style>\n</head>\n<body>\n{page}\n</body>\n</html>\n"
    )


def _row(line: Line) -> str:
    tool = "" if line.tool.id == "eye" else f"{line.tool.name}, {line.minutes}: {line.tool.hold}"
    old = " This reading sets the old ones aside." if line.supersedes else ""
    small = [line.how, tool, f"{line.good}{'.' if line.good else ''}{old}", line.settles]
    words = "".join(f'<p class="small">{escape(each)}</p>' for each in small if each)
    beside = line.unit or ", ".join(line.choices)
    return (
        f'<section class="reading"><span class="tick"></span><div><span class="name">{escape(line.name)}</span> '
        f"{escape(line.meaning)} ({escape(line.part)}){words}</div>"
        f'<span class="box">{escape(beside)}</span></section>'
    )
