"""The first-start sheet in words: text for a terminal or a printer, one HTML page for A4 and phone, plain data."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from html import escape
from typing import Any, NamedTuple

from kb.circuit.words import told as unsaid
from kb.errors import visible
from kb.explain import CAUTION
from kb.ready.sheet import Figure, Sheet, Step, sheet
from kb.report import plain
from kb.trace.trees import trees
from kb.unit_show import show

__all__ = ["ToldPhase", "ToldSheet", "ToldStep", "as_html", "as_json", "as_text", "sheet", "told"]

TITLE = "First start"
HOW = (
    "Work from the top. Tick a box when its value is reached; where it is not, stop there and trace the symptom that "
    "stands beside it. Nothing below a box that is open is to be done."
)


LACKS = "the sheet holds only what the parts of this build call for, and these parts are lacking or do not join"


class ToldStep(NamedTuple):
    """A step in words. state: 'done', 'open', 'broken' (the records say that it will fail) or '' (nobody ticks it).

    notes: what the records say about it. caution: empty where it is that of the step before. symptom: to trace,
    trouble: its words.
    write: a figure is read here, so that there is room to write it down.
    """

    number: int
    id: str
    text: str
    passes: str
    stop: str
    symptom: str
    caution: str
    state: str
    done: str
    notes: tuple[str, ...]
    source: str
    write: bool = False
    trouble: str = ""


class ToldPhase(NamedTuple):
    """Steps that belong together."""

    id: str
    title: str
    milestone: str
    steps: tuple[ToldStep, ...]


class ToldSheet(NamedTuple):
    """The sheet in words. lacking: why this sheet is not the whole way to a first start."""

    build: str
    title: str
    name: str
    summary: str
    phases: tuple[ToldPhase, ...]
    caution: str
    lacking: tuple[str, ...] = ()
    how: str = HOW


def told(found: Sheet, system: str = "mm") -> ToldSheet:
    """The sheet in words; `system` is mm, in or in64."""
    number = 0
    phases = []
    for phase in found.phases:
        last, steps = "", []
        for step in phase.steps:
            number += 1
            steps.append(_step(step, number, system, last))
            last = step.caution or last
        phases.append(ToldPhase(phase.id, phase.title, phase.milestone, tuple(steps)))
    steps_all = [each for phase in phases for each in phase.steps]
    done = sum(each.state == "done" for each in steps_all)
    bad = sum(each.state == "broken" for each in steps_all)
    summary = f"{len(steps_all)} steps for the parts of this build; {done} ticked already"
    summary += f", {bad} that the records say will fail" if bad else ""
    lacking: tuple[str, ...] = ()
    if found.elsewhere:
        head = f"Do not start it yet: {LACKS} (matchmark ready {found.build.id} names everything)"
        lacking = (head, *found.elsewhere)
    return ToldSheet(found.build.id, TITLE, found.build.name, summary, tuple(phases), CAUTION, lacking)


def _step(step: Step, number: int, system: str, last: str) -> ToldStep:
    figures = {each.name: _figure(each, system) for each in step.figures}
    notes = [f"The records say: {words}." for words in step.breaks]
    notes += [f"{words[:1].upper()}{words[1:]}." for words in step.open]
    notes += [f"{asks} By the records: {verdict}." for asks, verdict in step.doubts]
    notes += [f"Perhaps not called for: {unsaid(path)} ({path})." for path in step.unsure]
    state = "broken" if step.breaks else "done" if step.done else "open" if step.done is False else ""
    done = f"done{', ' + step.note if step.note else ''}" if step.done else ""
    return ToldStep(
        number, step.id, step.text, step.passes.format(**figures), step.stop.format(**figures), step.trace,
        step.caution if step.caution != last else "", state, done, tuple(notes), step.source.title,
        any(each.quantity for each in step.figures), trees()[step.trace].words if step.trace else "",
    )  # fmt: skip


def _figure(figure: Figure, system: str) -> str:
    if isinstance(figure.value, str):
        return figure.value
    quantity = figure.quantity or "number"
    return show(figure.value, quantity, system, digits=2 if quantity == "voltage" else None)


def symptom_words(build: str, symptom: str) -> str:
    """What to type when a step fails."""
    return f"matchmark trace {build} --symptom {symptom}"


def as_text(found: Sheet, *, width: int = 80, system: str = "mm") -> str:
    """The sheet as plain text with boxes."""
    words = told(found, system)
    lines = [*_wrap(f"{words.title}: {words.name}", width), ""]
    lines += [*_wrap(f"{words.summary}.", width), *_wrap(words.how, width), "", *_wrap(words.caution, width)]
    for number, each in enumerate(words.lacking):
        lines += ["", *_wrap(f"STOP: {each}:", width)] if not number else _wrap(f"- {each}.", width, "  ")
    for phase in words.phases:
        lines += ["", phase.title.upper(), "-" * len(phase.title)]
        for step in phase.steps:
            lines += ["", *_lines(step, words.build, width)]
    lines += ["", "Read by: ______________________   Date: ______________"]
    return visible("\n".join(lines) + "\n")


def _lines(step: ToldStep, build: str, width: int) -> Iterator[str]:
    indent = " " * 8
    if step.caution:
        yield from _wrap(f"!   {step.caution}", width, "    ")
    box = "[x]" if step.state == "done" else "[ ]"
    yield from _wrap(f"{box} {step.number:2}. {step.text}", width, indent)
    if step.passes:
        room = "   read: __________" if step.write else ""
        yield from _wrap(f"{indent}Reach: {step.passes}.{room}", width, indent)
    if step.stop:
        yield from _wrap(f"{indent}STOP: {step.stop}.", width, indent)
    for note in (step.done, *step.notes):
        if note:
            yield from _wrap(f"{indent}({note.rstrip('.')})", width, indent)
    if step.symptom:
        yield from _wrap(f"{indent}If not: {symptom_words(build, step.symptom)}", width, indent)


def _wrap(text: str, width: int, later: str = "") -> list[str]:
    lead = len(text) - len(text.lstrip())
    return textwrap.wrap(
        text.strip(), max(30, width), initial_indent=" " * lead, subsequent_indent=later, break_on_hyphens=False
    )


def as_json(found: Sheet, system: str = "mm") -> dict[str, Any]:
    """The sheet as plain data: words, and each figure in SI."""
    words = told(found, system)
    figures = {step.id: step for step in found.steps}
    phases = []
    for phase in words.phases:
        steps = []
        for step in phase.steps:
            raw = figures[step.id]
            values = {each.name: {"value": plain(each.value), "quantity": each.quantity} for each in raw.figures}
            steps.append(
                {
                    **step._asdict(),
                    "notes": list(step.notes),
                    "caution": raw.caution,
                    "figures": values,
                    "tick": raw.tick,
                    "circuit": raw.circuit,
                }
            )
        phases.append({"id": phase.id, "title": phase.title, "milestone": phase.milestone, "steps": steps})
    return {
        "build": words.build,
        "name": words.name,
        "summary": words.summary,
        "phases": phases,
        "caution": words.caution,
        "lacking": list(words.lacking),
    }


_STYLE = """
@page { size: A4; margin: 14mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.4 sans-serif; color: #000; background: #fff; max-width: 182mm; margin: 0 auto; padding: 4mm; }
h1 { font-size: 16pt; margin: 0 0 2mm; }
h2 { font-size: 13pt; margin: 7mm 0 2mm; border-bottom: 1.5pt solid #000; break-after: avoid; }
p { margin: 0 0 2mm; }
ol { list-style: none; margin: 0; padding: 0; }
li { padding: 0; }
ol li { display: grid; grid-template-columns: 9mm minmax(0, 1fr) 38mm; gap: 0 4mm; padding: 3mm 0;
  border-bottom: .5pt solid #777; break-inside: avoid; }
.tick { width: 8mm; height: 8mm; border: 1.2pt solid #000; text-align: center; line-height: 7mm; font-size: 14pt; }
.box { height: 12mm; border: 1.2pt solid #000; }
.small { font-size: 9.5pt; margin: 1mm 0 0; overflow-wrap: anywhere; }
.pass { margin: 1mm 0 0; border-left: 2pt solid #000; padding-left: 2mm; }
.stop { margin: 1mm 0 0; font-weight: bold; }
.care { grid-column: 1 / -1; border: 1pt solid #000; border-left-width: 4mm; padding: 1mm 3mm; margin: 0 0 2mm;
  font-size: 9.5pt; }
.who { display: flex; gap: 6mm; margin: 4mm 0; }
.who span { flex: 1; border-bottom: 1pt solid #000; padding-bottom: 1mm; min-height: 9mm; }
.caution { border: 1pt solid #000; border-left-width: 4mm; padding: 2mm 3mm; font-size: 9.5pt; break-inside: avoid; }
@media (prefers-color-scheme: dark) and (not print) {
  body { color: #e8edef; background: #14191b; }
  h2, .tick, .box, .pass, .care, .caution, .who span { border-color: #e8edef; }
}
@media (max-width: 130mm) {
  ol li { grid-template-columns: 9mm minmax(0, 1fr); }
  .box { grid-column: 1 / -1; margin-top: 2mm; }
}
@media print { body { padding: 0; } }
"""


def as_html(found: Sheet, *, system: str = "mm") -> str:
    """The sheet as one HTML page without any other file, laid out for A4 and for a phone."""
    words = told(found, system)
    title = escape(f"{words.title}: {words.name}")
    body = [f"<h1>{title}</h1>", f"<p>{escape(words.summary)}. {escape(words.how)}</p>"]
    body.append(f'<p class="caution"><strong>Take care.</strong> {escape(words.caution)}</p>')
    if words.lacking:
        head, *rest = map(escape, words.lacking)
        body.append(f'<p class="stop">Stop. {head}:</p><ul>{"".join(f"<li>{each}</li>" for each in rest)}</ul>')
    body.append('<div class="who"><span>Done by</span><span>Date</span></div>')
    for phase in words.phases:
        rows = "\n".join(_row(step, words.build) for step in phase.steps)
        body.append(f"<section>\n<h2>{escape(phase.title)}</h2>\n<ol>\n{rows}\n</ol>\n</section>")
    page = "\n".join(body)
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>{title}</title>\n'
        f"<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n{page}\n</main>\n</body>\n</html>\n"
    )


def _row(step: ToldStep, build: str) -> str:
    care = f'<p class="care"><strong>Take care.</strong> {escape(step.caution)}</p>' if step.caution else ""
    mark = "&#10003;" if step.state == "done" else ""
    said = "done" if step.state == "done" else "to tick"
    parts = [f"<strong>{step.number}. {escape(step.text)}</strong>"]
    if step.passes:
        parts.append(f'<p class="pass">Reach: {escape(step.passes)}</p>')
    if step.stop:
        parts.append(f'<p class="stop">Stop: {escape(step.stop)}</p>')
    parts += [f'<p class="small">{escape(note)}</p>' for note in (step.done, *step.notes) if note]
    if step.symptom:
        parts.append(f'<p class="small">If not: <code>{escape(symptom_words(build, step.symptom))}</code></p>')
    box = '<span class="box" role="img" aria-label="room for the reading"></span>' if step.write else ""
    tick = f'<span class="tick" role="img" aria-label="{said}">{mark}</span>'
    return f"<li>{care}{tick}<div>{''.join(parts)}</div>{box}</li>"
