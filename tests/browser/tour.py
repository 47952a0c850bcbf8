"""What the picture tour shows and says; `python -m tests.browser.pictures --tour` makes docs/tour.md from it."""

from __future__ import annotations

from textwrap import fill
from typing import NamedTuple

_PHONE, _DESK = (390, 844), (1100, 760)


class Shot(NamedTuple):
    """One picture. path: of the sample. at: what to scroll to, as a CSS selector. shows: for who cannot see it."""

    name: str
    title: str
    path: str
    says: str
    shows: str
    size: tuple[int, int] = _PHONE
    scheme: str = "light"
    at: str = ""

    @property
    def scale(self) -> float:
        """Pixels of the picture to one of the page: a phone's page is narrow enough for sharp letters."""
        return 1.5 if self.size == _PHONE else 1


SHOTS = (
    Shot("home", "The first page", "/",
         "One search over everything, and your builds with how far each of them is on the way to its first drive.",
         "First page on a phone: three buttons for the ways in, the search, and the builds with four milestones "
         "each"),
    Shot("here", "A part in front of you", "/here?build=drover&role=pan&part=aldine-33-38-pan",
         "In the yard with a phone: the build, the sort of part, the part, and the verdict stands there, with what "
         "to measure next. What the caliper reads goes into the one field below; the verdict follows while you "
         "type.",
         "Verdict on a phone: does not fit, one known clash, eleven questions open; below it a field for a reading"),
    Shot("fit", "Will it fit", "/fit?build=drover",
         "Every question that the rules ask of these parts, with the verdict in words, shape and colour, what to "
         "measure first, and a section to scale. Change a part or try a value beside it; nothing is written down "
         "by trying.",
         "The check of a build on a desk: does not fit, with the one that says no, and the section through the "
         "sump",
         _DESK),
    Shot("section", "Drawn to scale", "/fit?build=drover",
         "Sump, belts, engine bay, crank and converter are drawn from the figures of the parts, with the band that "
         "each figure may be off by.",
         "Section through sump, pickup and gasket on a phone, with depths below the rail and two details",
         at="#section"),
    Shot("finding", "One finding", "/fit?build=drover",
         "A finding says what was computed, from which figures and how each of them is known, how likely it is "
         "that the limit holds, what to measure if that is open, and what to do.",
         "The end of a finding that cannot be told, on a phone in dark: the curve of the gap against its limits; "
         "below it the questions that are good, by subsystem",
         scheme="dark", at="#pickup-floor-gap .picture"),
    Shot("part", "A part", "/part/aldine-33-38-pan",
         "What is known of a part and what is not, drawn; where each figure comes from; what it mates with; who "
         "carries it; and the clashes that people found.",
         "Outline of a pan on a phone, in dark: known dimensions with their bands, unknown ones marked by a "
         "question mark",
         scheme="dark", at=".mm-drawing"),
    Shot("build", "A build", "/build/drover",
         "How far it is: four milestones, each with what stands before it, worst first.",
         "Build page on a desk: a board of prime, crank, fire and drive, none of them ready, with their blockers",
         _DESK),
    Shot("measure", "What to measure", "/build/drover/measure",
         "Which readings settle the most in the fewest minutes, with the instrument, how to hold it, and a field "
         "for it.",
         "List of readings on a phone: the first is the depth of the pan's sump, with a field and an instrument"),
    Shot("plan", "The cheapest way there", "/build/drover/plan",
         "The purchases that make every rule hold at the least cost, or the smallest change to what you have; and "
         "a plain reason where there is none.",
         "Plan on a desk: what to buy, at which price, from whom, and what each purchase mends",
         _DESK, "dark"),
    Shot("trace", "From a symptom to its cause", "/build/drover/trace?symptom=oil-prime",
         "One test at a time, chosen by what it tells for its trouble; what is known of this very build counts "
         "from the start.",
         "Trace on a phone: no oil pressure when priming, and the cause that is almost certain"),
    Shot("circuits", "Circuits", "/build/drover/circuits",
         "Every port from the pan to the last bearing, from the battery to the starter, with the place where it "
         "breaks.",
         "Oil circuit on a desk: boxes in the order of the flow, and the joint that lets the oil fall back",
         _DESK, at=".mm-drawing"),
    Shot("incompatibility", "An incompatibility", "/incompatibility/aldine-pan-on-calder-38",
         "What somebody found, with symptom, cause, evidence and remedy, so that nobody buys that pair again.",
         "A recorded clash on a desk, confirmed, between a pan and a block",
         _DESK, "dark"),
    Shot("rule", "A rule", "/rule/pickup-floor-gap",
         "The formula, the limits with their reasons and sources, how to measure each input, worked cases, and the "
         "rule at work on a build of this base.",
         "Rule page on a desk: the gap under the pickup's foot, its formula and its two limits",
         _DESK),
    Shot("table", "Tables", "/base/pan",
         "Everything in the base to filter, sort, count and take along as JSON or CSV. On a phone each row stands "
         "by itself.",
         "Table of pans on a phone: each with its first five filled columns"),
)  # fmt: skip
HEAD = """# A tour in pictures

All of it is the sample, an invented engine in an invented car: `matchmark init --sample`, then `matchmark serve`. Every
page works on a phone and on a desk, in light and in dark, without scripts, by keyboard, and on paper. The address under
each picture opens the same page on your own server.
"""


def text() -> str:
    """docs/tour.md."""
    parts = [HEAD]
    for shot in SHOTS:
        width, height = shot.size
        picture = f'<img src="pictures/tour/{shot.name}.png" width="{width}" height="{height}" alt="{shot.shows}">'
        parts.append(f"## {shot.title}\n\n{fill(shot.says, 120)}\n\n{picture}\n\n`{shot.path}`\n")
    made = "These pictures and this page are made by `python -m tests.browser.pictures --tour`."
    return "\n".join([*parts, f"{made}\n"])
