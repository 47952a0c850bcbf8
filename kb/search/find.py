"""Which parts of a catalogue fit a role, or two or three roles together, with what is already fixed.

found = find({"pan": pans, "pickup": pickups}, build, Settings())
for row in found.fits:
    print([each.id for each in row.parts], row.margin, row.price)

The product of the candidates is never listed. Rules over one role thin out its candidates; those over two or three are
asked of classes of candidates that look the same to them, the quickest first, and each only of what the ones before it
leave standing. Counts are exact, and the best rows are found without listing the others.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.errors import Fault
from kb.finding import Finding
from kb.judge import judge
from kb.known import Incompatibility
from kb.roles import base_role
from kb.rules._rule import Rule
from kb.search import tables
from kb.search._clashes import ClashRule, clash_cells
from kb.search._join import Join, Ranked
from kb.search.candidates import Candidate
from kb.search.columns import Columns
from kb.search.counting import Factored, Unranged

DRAWS = 200  # for the one finding that a row tells
MOST = 3  # roles searched together
COUNTED = 6  # roles of which combinations are counted, where that needs no list of them
WORTH = 20_000  # combinations from which counting without a list is quicker
ORDERS = ("margin", "price")

Tell = Callable[[str, int, int], None]


class Row(NamedTuple):
    """One combination, its parts in the order of the roles asked.

    margin: the least margin of its rules as a share of the limit's scale (`kb.search._verdict.scales`), None where no
    rule has one or the verdict is not "fits". price: of all parts, None when one has none. codes: of each rule that was
    asked, by name (`kb.search.tables`). finding: of the rule that matters most: the tightest of a row that fits, one
    that cannot tell, one that says no. clash: the recorded clash that stands in the place of such a rule.
    """

    parts: tuple[Candidate, ...]
    verdict: str
    margin: float | None
    price: float | None
    codes: Mapping[str, int]
    finding: Finding | None = None
    clash: Incompatibility | None = None

    @property
    def undecided(self) -> tuple[str, ...]:
        """Names of the rules that cannot tell."""
        return tuple(name for name, code in self.codes.items() if code == tables.OPEN)

    @property
    def rejected(self) -> tuple[str, ...]:
        """Names of the rules that say no, costly ones left out once one does."""
        return tuple(name for name, code in self.codes.items() if code == tables.NOT)


class Rejection(NamedTuple):
    """How many combinations one rule, or recorded clash, rejects of those that the rules before it leave standing."""

    rule: Rule | ClashRule
    qualifier: str
    combinations: int

    @property
    def name(self) -> str:
        return f"{self.rule.id}:{self.qualifier}" if self.qualifier else self.rule.id


class Found(NamedTuple):
    """What a search comes to.

    roles: the roles searched. candidates: how many parts each has. total = fitting + unknown + rejected, combinations.
    rejected_by: in the order in which the rules were asked: those over one role, two, three; in each group by form
    (count, linear, smooth, rough, stations). The rules of one step count side by side, so that two of them may reject
    the same combination; a later step sees only what the earlier ones leave. apart: searched roles that no rule joins
    to the other parts, which is why nothing is said to fit. asked: how many rules read a searched role. under: rows
    that cost more, or nobody knows what, are counted and not listed. unsuited: (role, part, what the role needs) of
    parts that can never do what the role is there for, and were not searched.
    """

    roles: tuple[str, ...]
    candidates: Mapping[str, int]
    total: int
    fitting: int
    unknown: int
    rejected: int
    fits: tuple[Row, ...]
    cannot_tell: tuple[Row, ...]
    misfits: tuple[Row, ...]
    rejected_by: tuple[Rejection, ...]
    apart: tuple[str, ...]
    asked: int
    order: str
    under: float
    fixed: Build
    settings: Settings
    unsuited: tuple[tuple[str, str, str], ...] = ()


def find(
    domains: Mapping[str, Sequence[Candidate]],
    fixed: Build,
    settings: Settings,
    *,
    rules: Sequence[Rule] | None = None,
    clashes: Sequence[Incompatibility] = (),
    lines: Mapping[str, Sequence[str]] | None = None,
    limit: int = 10,
    order: str = "margin",
    under: float = math.inf,
    progress: Tell | None = None,
) -> Found:
    """Every combination of one candidate a role, judged by the rules that read one of these roles.

    Rules that read only fixed parts are not asked: they say the same of every row. fixed: the other parts; what it has
    in a searched role counts for nothing. limit: rows kept of each sort, best first. order: 'margin' (then price) or
    'price' (then margin) among those that fit; those that cannot tell come by the number of open rules, then price;
    those that do not fit are listed for a single role only. An unknown price comes last. With a limit of 0 there are
    counts alone, without `rejected_by`, and up to six roles where two of them are big and no rule joins all
    (`kb.search.counting`). Fault for more than three roles, or none.
    """
    if order not in ORDERS:
        raise Fault(f"rows cannot be sorted by {order[:40]!r}", step=f"sort by {' or '.join(ORDERS)}")
    if limit == 0 and 1 < len(domains) <= COUNTED:
        counted = _counted(domains, fixed, settings, rules, clashes, lines, order, under)
        if counted is not None:
            return counted
    if not 0 < len(domains) <= MOST:
        raise Fault(
            f"{len(domains)} roles are searched together, and one to {MOST} can be",
            step="fix some of them: write role=part",
        )
    join = Join(domains, fixed, settings, rules, clashes, lines, limit, order, progress, under)
    join.run()
    roles = tuple(domains)
    apart = _apart(join.joining, roles, fixed)
    total = math.prod(len(each) for each in domains.values())
    fitting, unknown = join.fitting, join.unknown
    fits = tuple(_row(each, FITS, settings) for each in join.best_fits())
    open_ = tuple(_row(each, OPEN, settings) for each in join.best_open())
    if apart:
        rows = (each._replace(verdict=OPEN, margin=None) for each in fits)
        fits, open_ = (), (*rows, *open_)[:limit]
        fitting, unknown = 0, fitting + unknown
    return Found(
        roles,
        {role: len(each) for role, each in domains.items()},
        total,
        fitting,
        unknown,
        total - fitting - unknown,
        fits,
        open_,
        tuple(_row(each, NOT, settings) for each in join.misfits()),
        tuple(Rejection(*each) for each in join.rejections()) if limit else (),
        apart,
        len(join.steps),
        order,
        under,
        fixed,
        settings,
    )


def _row(ranked: Ranked, verdict: str, settings: Settings) -> Row:
    margin = ranked.margin if verdict == FITS and math.isfinite(ranked.margin) else None
    prices = [each.price for each in ranked.parts]
    price = None if any(each is None for each in prices) else math.fsum(each or 0.0 for each in prices)
    finding, clash = None, None
    if ranked.telling is not None:
        rule, qualifier, build = ranked.telling
        if isinstance(rule, ClashRule):
            clash = rule.clash
        elif build is not None:
            # Few draws: the verdict is known, and what is told (margin, what to measure) does not come from them.
            finding = judge(rule, build, settings._replace(draws=DRAWS))._replace(qualifier=qualifier)
    return Row(ranked.parts, verdict, margin, price, ranked.codes, finding, clash)


def _counted(
    domains: Mapping[str, Sequence[Candidate]],
    fixed: Build,
    settings: Settings,
    rules: Sequence[Rule] | None,
    clashes: Sequence[Incompatibility],
    lines: Mapping[str, Sequence[str]] | None,
    order: str,
    under: float,
) -> Found | None:
    """The counts alone, none of the combinations listed; None where that cannot be, or is not worth it."""
    total = math.prod(len(each) for each in domains.values())
    if total < WORTH or any(each.part is None for several in domains.values() for each in several):
        return None
    columns = {role: Columns.of(several) for role, several in domains.items()}
    met = clash_cells(clashes, domains, fixed, lines)
    roles = tuple(domains)
    try:
        search = Factored(columns, fixed, settings, rules=rules, clashes=met)
        counts = search.counts()
    except Unranged:
        return None
    apart: tuple[str, ...] = ()
    if fixed.loose:
        joining = search.joining()
        # Where it hangs on the combination whether a rule is asked, both must come to the same.
        apart = _apart([each for each, _ in joining], roles, fixed)
        if apart != _apart([each for each, every in joining if every], roles, fixed):
            return None
    fitting, unknown, rejected = counts
    if apart:
        fitting, unknown = 0, fitting + unknown
    asked = len(search.split.cells)
    sizes = {role: len(each) for role, each in domains.items()}
    return Found(
        roles, sizes, total, fitting, unknown, rejected, (), (), (), (), apart, asked, order, under, fixed, settings
    )


def _apart(joining: Sequence[frozenset[str]], roles: Sequence[str], fixed: Build) -> tuple[str, ...]:
    """Searched roles that no asked rule joins to the first of them, or to a loosely named part.

    As `kb.judge.Answer.apart`: a pan and a pickup without a gasket raise questions each on its own and none together.
    """
    if not fixed.loose:
        return ()
    named = list(dict.fromkeys(base_role(role) for role in (*roles, *fixed.parts)))
    joined = {named[0]}
    for _ in named:
        for group in joining:
            if group & joined:
                joined |= group & set(named)
    return tuple(role for role in roles if base_role(role) not in joined) or (
        (roles[0],) if len(joined) == 1 else ()
    )  # fmt: skip
