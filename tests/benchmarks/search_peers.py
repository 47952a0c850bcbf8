"""The same search put to other engines, by hand: DuckDB, polars and SQLite, each plainly and factored.

What the rules say of exact parts is written out here once more, as someone would who had only those engines: figures in
whole micrometres, prices in whole cents. `plain` joins everything and filters. `factored` knows what the search could
find out: that a gasket only raises the pan's floor, that rings matter to the pickup alone; it joins groups by a range
of levels. `prefix` goes one step further and replaces the range join by running sums and the nearest row, which is what
kb.search does itself.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from tests.benchmarks.search_exact import BORE, BORE_DEPTH, CHAMFER, GROUND, JOINTS, RAILS, REARS, SIDES, TOPS

if TYPE_CHECKING:
    from tests.benchmarks.search_catalogue import Catalogue

TAKE = 20
COLUMNS = {
    "pan": ("rail", "rear", "side", "depth", "sump", "shelf", "price"),
    "pickup": (
        "joint", "bolts", "brace", "shape", "hang", "length", "width", "bore", "groove", "groove_width", "groove_at",
        "spigot", "price",
    ),
    "pan_gasket": ("holes", "thick", "price"),
    "pickup_seal": ("cord", "inner", "price"),
}  # fmt: skip
Row = tuple[int, int, int, int, int]  # cents, then the numbers of pan, pickup, gasket, ring
Answer = Callable[[], Any]


def _places(values: tuple[Any, ...], wanted: str) -> str:
    return f"({', '.join(str(at) for at, each in enumerate(values) if each == wanted)})"


WANTED = (("rail", RAILS, "calder-38"), ("rear", REARS, "one_piece"), ("side", SIDES, "right"))

# -- the rules, as conditions -----------------------------------------------------------------------------------------

# The 1e-6 mm, or millionth, by which limits are inclusive (kb.finding.slack_of) matters to ratios alone.
PAN = (
    f"pan.rail IN {_places(RAILS, 'calder-38')} AND pan.rear IN {_places(REARS, 'one_piece')} "
    f"AND pan.side IN {_places(SIDES, 'right')}"
)
PICKUP = (
    f"k.joint IN {_places(JOINTS, 'radial')} AND 2 * k.brace + (CASE WHEN k.bolts >= 2 THEN 1 ELSE 0 END) >= 1 "
    f"AND {CHAMFER + BORE_DEPTH} - k.spigot >= 0"
)
GASKET = "g.holes = 1"
CLEAR = (
    f"{TOPS['crossmember']} - (pan.shelf + g.thick) >= 15000 AND {TOPS['drag link']} - (pan.shelf + g.thick) >= 25000 "
    f"AND {GROUND} - ((CASE WHEN pan.sump > pan.shelf THEN pan.sump ELSE pan.shelf END) + g.thick) >= 100000"
)
GAP = "pan.depth + g.thick - k.hang"
WIDTH = "(CASE WHEN k.shape = 0 THEN k.length ELSE k.width END)"
PERIMETER = f"(2.0 * (k.length - {WIDTH}) + pi() * {WIDTH})"
AREA = "(pi() / 4.0 * k.bore * k.bore)"
FLOOR = f"{GAP} BETWEEN 1500 AND 12700 AND {PERIMETER} * ({GAP}) / {AREA} >= 2.0 - 1e-6"
DEPTH = f"(({BORE} - k.groove) / 2.0)"
STRETCH = "((k.groove - s.inner) * 1.0 / s.inner)"
THINNED = f"(s.cord * (1.0 - (1.0 - pow(1.0 + {STRETCH}, -0.5))))"
SQUEEZE = f"(({THINNED} - {DEPTH}) / {THINNED})"
FILL = f"(pi() * s.cord * s.cord / 4.0 / ({DEPTH} * k.groove_width) * (s.inner + s.cord) / (k.groove + {DEPTH}))"
RING = (
    f"{STRETCH} BETWEEN -0.02 - 1e-8 AND 0.05 + 1e-8 AND k.groove_at - s.cord / 2.0 - {CHAMFER} >= 0 "
    f"AND {SQUEEZE} BETWEEN 0.15 - 1e-8 AND 0.22 + 1e-8 AND {DEPTH} > 0 AND {FILL} <= 0.85 + 1e-8"
)

# -- plain ------------------------------------------------------------------------------------------------------------

JOINED = "FROM pan, pickup AS k, pan_gasket AS g, pickup_seal AS s"
WHERE = f"WHERE {PAN} AND {PICKUP} AND {GASKET} AND {CLEAR} AND {FLOOR} AND {RING}"
PLAIN_COUNT = f"SELECT count(*) {JOINED} {WHERE}"
# The same with the window solved for the pan's depth, so that a range join can serve; the small tables first.
RANGE = "pan.depth >= k.hang - g.thick + 1500 AND pan.depth <= k.hang - g.thick + 12700"
RANGED_COUNT = (
    "SELECT count(*) FROM (SELECT k.*, g.thick FROM pickup AS k, pan_gasket AS g, pickup_seal AS s "
    f"WHERE {PICKUP} AND {GASKET} AND {RING}) AS k JOIN (SELECT * FROM pan WHERE {PAN}) AS pan "
    f"ON {RANGE.replace('g.thick', 'k.thick')} "
    f"WHERE {CLEAR.replace('g.thick', 'k.thick')} AND {FLOOR.replace('g.thick', 'k.thick')}"
)
# Ties go by price and then id, role after role, as kb.search has them; ids are numbers here, in the order of the names.
BY = "total, pan_price, a, k_price, b, g_price, c, s_price, d"
PLAIN_TOP = (
    "SELECT pan.price + k.price + g.price + s.price AS total, pan.price AS pan_price, pan.id AS a, k.price AS k_price, "
    f"k.id AS b, g.price AS g_price, g.id AS c, s.price AS s_price, s.id AS d {JOINED} {WHERE} "
    f"ORDER BY {BY} LIMIT {TAKE}"
)

# -- factored ---------------------------------------------------------------------------------------------------------

LEAST = f"greatest(1500, CAST(ceil((2.0 - 1e-6) * {AREA} / {PERIMETER}) AS BIGINT))"
LEVELS = f"""
    SELECT pan.depth + g.thick AS level, sum(pan.n * g.n) AS n
    FROM (SELECT depth, sump, shelf, count(*) AS n FROM pan WHERE {PAN} GROUP BY depth, sump, shelf) AS pan,
         (SELECT thick, count(*) AS n FROM pan_gasket AS g WHERE {GASKET} GROUP BY thick) AS g
    WHERE {CLEAR} GROUP BY 1"""
ASKED = f"""
    SELECT k.hang + {LEAST} AS low, k.hang + 12700 AS high, count(*) AS n
    FROM (SELECT * FROM pickup AS k WHERE {PICKUP}) AS k, pickup_seal AS s WHERE {RING} GROUP BY k.id, 1, 2"""
FACTORED_COUNT = f"""
    WITH l AS MATERIALIZED ({LEVELS}), u AS MATERIALIZED ({ASKED})
    SELECT sum(u.n * l.n) FROM u JOIN l ON l.level >= u.low AND l.level <= u.high"""
PAIRS = f"""
    SELECT pan.depth + g.thick AS level, pan.price + g.price AS price, pan.price AS pan_price, pan.id AS a,
           g.price AS g_price, g.id AS c
    FROM pan, pan_gasket AS g WHERE {PAN} AND {GASKET} AND {CLEAR}"""
RINGED = f"""
    SELECT k.hang + {LEAST} AS low, k.hang + 12700 AS high, k.price + s.price AS price, k.price AS k_price, k.id AS b,
           s.price AS s_price, s.id AS d
    FROM (SELECT * FROM pickup AS k WHERE {PICKUP}) AS k, pickup_seal AS s WHERE {RING}"""
# The twentieth best of the cheapest combinations of each pickup bounds what any of the first twenty may cost.
FACTORED_TOP = f"""
    WITH l AS MATERIALIZED ({PAIRS}), u AS MATERIALIZED ({RINGED}),
         cheap AS MATERIALIZED (SELECT level, min(price) AS price FROM l GROUP BY level),
         own AS MATERIALIZED (SELECT b, low, high, min(price) AS price FROM u GROUP BY b, low, high),
         best AS MATERIALIZED (
             SELECT own.b, min(own.price + cheap.price) AS price
             FROM own JOIN cheap ON cheap.level >= own.low AND cheap.level <= own.high GROUP BY own.b),
         bound AS MATERIALIZED (SELECT max(price) AS price, count(*) AS many
             FROM (SELECT price FROM best ORDER BY price LIMIT {TAKE}) AS first),
         few AS MATERIALIZED (
             SELECT u.* FROM u JOIN best ON u.b = best.b, bound WHERE best.price <= bound.price OR bound.many < {TAKE}),
         pairs AS MATERIALIZED (
             SELECT l.* FROM l, bound
             WHERE bound.many < {TAKE} OR l.price <= bound.price - (SELECT min(price) FROM few))
    SELECT few.price + pairs.price AS total, pan_price, a, k_price, b, g_price, c, s_price, d
    FROM few JOIN pairs ON pairs.level >= few.low AND pairs.level <= few.high, bound
    WHERE bound.many < {TAKE} OR few.price + pairs.price <= bound.price ORDER BY {BY} LIMIT {TAKE}"""
# Running sums over the levels and the nearest row below each bound: DuckDB's own word for it.
PREFIX_COUNT = f"""
    WITH l AS MATERIALIZED ({LEVELS}), u AS MATERIALIZED ({ASKED}),
         sums AS MATERIALIZED (SELECT level, sum(n) OVER (ORDER BY level) AS upto FROM l)
    SELECT sum(u.n * (coalesce(top.upto, 0) - coalesce(bottom.upto, 0)))
    FROM u ASOF LEFT JOIN sums AS top ON u.high >= top.level ASOF LEFT JOIN sums AS bottom ON u.low > bottom.level"""
PREFIX_COUNT_SQLITE = f"""
    WITH u AS MATERIALIZED ({ASKED})
    SELECT sum(u.n * (coalesce((SELECT upto FROM sums WHERE level <= u.high ORDER BY level DESC LIMIT 1), 0)
                    - coalesce((SELECT upto FROM sums WHERE level < u.low ORDER BY level DESC LIMIT 1), 0))) FROM u"""


def _sqlite_sql(sql: str) -> str:
    return sql.replace("greatest(", "max(").replace("BIGINT", "INTEGER")


def rows(found: Any) -> list[Row]:
    """Cents and numbers of the parts, without the columns that they were sorted by."""
    return [tuple(int(row[at]) for at in (0, 2, 4, 6, 8)) for row in found]  # type: ignore[misc]


def fill_sqlite(con: sqlite3.Connection, made: Catalogue) -> None:
    """Tables of whole numbers, as plain as they come; with the index that a range join over the pans would use."""
    for kind, names in COLUMNS.items():
        con.execute(f"CREATE TABLE {kind} (id INTEGER PRIMARY KEY, {', '.join(f'{name} INTEGER' for name in names)})")
        table = zip(range(made.sizes[kind]), *(getattr(made, kind)[name].tolist() for name in names), strict=True)
        con.executemany(f"INSERT INTO {kind} VALUES ({', '.join('?' * (len(names) + 1))})", table)
    con.execute("CREATE INDEX pan_depth ON pan (depth)")
    con.execute("ANALYZE")
    con.commit()


class SQLite:
    """In memory, or a file."""

    def __init__(self, made: Catalogue | None, path: str = ":memory:") -> None:
        self.con = sqlite3.connect(path)
        if made is not None:
            fill_sqlite(self.con, made)

    def plain_count(self) -> int:
        return int(self.con.execute(_sqlite_sql(PLAIN_COUNT)).fetchone()[0])

    def plain_top(self) -> list[Row]:
        return rows(self.con.execute(_sqlite_sql(PLAIN_TOP)).fetchall())

    def factored_count(self) -> int:
        """With an index on the levels, which a statement alone cannot have."""
        self.con.execute("DROP TABLE IF EXISTS temp.l")
        self.con.execute(f"CREATE TEMP TABLE l AS {_sqlite_sql(LEVELS)}")
        self.con.execute("CREATE INDEX temp.l_level ON l (level, n)")
        met = "SELECT sum(u.n * l.n) FROM u CROSS JOIN l ON l.level BETWEEN u.low AND u.high"
        sql = f"WITH u AS MATERIALIZED ({_sqlite_sql(ASKED)}) {met}"
        return int(self.con.execute(sql).fetchone()[0] or 0)

    def prefix_count(self) -> int:
        self.con.execute("DROP TABLE IF EXISTS temp.sums")
        self.con.execute("CREATE TEMP TABLE sums (level INTEGER PRIMARY KEY, upto INTEGER)")
        levels = f"SELECT level, sum(n) OVER (ORDER BY level) FROM ({_sqlite_sql(LEVELS)})"
        self.con.execute(f"INSERT INTO sums {levels}")
        return int(self.con.execute(_sqlite_sql(PREFIX_COUNT_SQLITE)).fetchone()[0] or 0)

    def factored_top(self) -> list[Row]:
        return rows(self.con.execute(_sqlite_sql(FACTORED_TOP)).fetchall())


class DuckDB:
    """Two threads, as many as the machine has."""

    def __init__(self, made: Catalogue) -> None:
        import duckdb
        import numpy

        self.con = duckdb.connect()
        for kind, names in COLUMNS.items():
            figures = {name: getattr(made, kind)[name].astype(numpy.int64) for name in names}
            self.con.register("given", {"id": numpy.arange(made.sizes[kind]), **figures})
            self.con.execute(f"CREATE TABLE {kind} AS SELECT * FROM given")
            self.con.unregister("given")

    def _one(self, sql: str) -> int:
        found = self.con.execute(sql).fetchone()
        return int(found[0] or 0) if found else 0

    def plain_count(self) -> int:
        return self._one(PLAIN_COUNT)

    def ranged_count(self) -> int:
        return self._one(RANGED_COUNT)

    def plain_top(self) -> list[Row]:
        return rows(self.con.execute(PLAIN_TOP).fetchall())

    def factored_count(self) -> int:
        return self._one(FACTORED_COUNT)

    def prefix_count(self) -> int:
        return self._one(PREFIX_COUNT)

    def factored_top(self) -> list[Row]:
        return rows(self.con.execute(FACTORED_TOP).fetchall())


class Polars:
    """Two threads. Joins by a range are `join_where`; the rules are the same sums, as expressions."""

    def __init__(self, made: Catalogue) -> None:
        import polars

        self.pl = polars
        self.table = {
            kind: polars.DataFrame({"id": range(made.sizes[kind]), **{at: getattr(made, kind)[at] for at in names}})
            .cast(polars.Int64).lazy()
            for kind, names in COLUMNS.items()
        }  # fmt: skip

    def _pans(self) -> Any:
        """Pans with gaskets: level and prices of each pair that clears the car."""
        pl = self.pl
        pan, gasket = self.table["pan"], self.table["pan_gasket"]
        for name, values, wanted in WANTED:
            pan = pan.filter(pl.col(name).is_in([at for at, each in enumerate(values) if each == wanted]))
        both = pan.join(gasket.filter(pl.col("holes") == 1), how="cross", suffix="_g")
        shelf, lowest = pl.col("shelf") + pl.col("thick"), pl.max_horizontal("sump", "shelf") + pl.col("thick")
        clear = (TOPS["crossmember"] - shelf >= 15_000) & (TOPS["drag link"] - shelf >= 25_000)
        return both.filter(clear & (GROUND - lowest >= 100_000)).with_columns(level=pl.col("depth") + pl.col("thick"))

    def _pickups(self) -> Any:
        """Pickups with rings: from which level to which they take a pan, of each pair that seals."""
        pl = self.pl
        pi = 3.141592653589793
        k = self.table["pickup"].filter(
            pl.col("joint").is_in([at for at, each in enumerate(JOINTS) if each == "radial"])
            & (2 * pl.col("brace") + (pl.col("bolts") >= 2) >= 1)
            & (CHAMFER + BORE_DEPTH - pl.col("spigot") >= 0)
        )
        width = pl.when(pl.col("shape") == 0).then("length").otherwise("width")
        k = k.with_columns(around=2.0 * (pl.col("length") - width) + pi * width, area=pi / 4 * pl.col("bore") ** 2)
        least = ((2.0 - 1e-6) * pl.col("area") / pl.col("around")).ceil().cast(pl.Int64)
        k = k.with_columns(low=pl.col("hang") + pl.max_horizontal(least, 1500), high=pl.col("hang") + 12_700)
        both = k.join(self.table["pickup_seal"], how="cross", suffix="_s")
        depth = (BORE - pl.col("groove")) / 2.0
        stretch = (pl.col("groove") - pl.col("inner")) / pl.col("inner")
        both = both.filter(stretch.is_between(-0.02 - 1e-8, 0.05 + 1e-8))
        both = both.filter((pl.col("groove_at") - pl.col("cord") / 2.0 - CHAMFER >= 0) & (depth > 0))
        thinned = pl.col("cord") * (1.0 - (1.0 - (1.0 + stretch) ** -0.5))
        both = both.filter(((thinned - depth) / thinned).is_between(0.15 - 1e-8, 0.22 + 1e-8))
        fill = pi * pl.col("cord") ** 2 / 4 / (depth * pl.col("groove_width"))
        fill = fill * (pl.col("inner") + pl.col("cord")) / (pl.col("groove") + depth)
        return both.filter(fill <= 0.85 + 1e-8)

    def _levels(self) -> Any:
        """Groups of pans first, so that a range join meets as few rows as can be."""
        pl = self.pl
        pan, gasket = self.table["pan"], self.table["pan_gasket"].filter(pl.col("holes") == 1)
        for name, values, wanted in WANTED:
            pan = pan.filter(pl.col(name).is_in([at for at, each in enumerate(values) if each == wanted]))
        both = pan.group_by("depth", "sump", "shelf").len("n").join(
            gasket.group_by("thick").len("n_g"), how="cross"
        )  # fmt: skip
        shelf, lowest = pl.col("shelf") + pl.col("thick"), pl.max_horizontal("sump", "shelf") + pl.col("thick")
        clear = (TOPS["crossmember"] - shelf >= 15_000) & (TOPS["drag link"] - shelf >= 25_000)
        both = both.filter(clear & (GROUND - lowest >= 100_000)).with_columns(level=pl.col("depth") + pl.col("thick"))
        many = pl.col("n").cast(pl.Int64) * pl.col("n_g").cast(pl.Int64)
        return both.group_by("level").agg(many=many.sum())

    def factored_count(self) -> int:
        pl = self.pl
        asked = self._pickups().group_by("low", "high").agg(own=pl.len().cast(pl.Int64)).collect().lazy()
        levels = self._levels().collect().lazy()
        met = asked.join_where(levels, pl.col("level") >= pl.col("low"), pl.col("level") <= pl.col("high"))
        return int(met.select((pl.col("own") * pl.col("many")).sum()).collect().item())

    def prefix_count(self) -> int:
        pl = self.pl
        levels = self._levels().sort("level").with_columns(upto=pl.col("many").cum_sum()).collect().lazy()
        asked = self._pickups().group_by("low", "high").agg(own=pl.len().cast(pl.Int64))
        upper = asked.sort("high").join_asof(levels, left_on="high", right_on="level").select("low", "own", top="upto")
        both = upper.sort("low").with_columns(under=pl.col("low") - 1).join_asof(
            levels, left_on="under", right_on="level"
        )  # fmt: skip
        inside = pl.col("top").fill_null(0) - pl.col("upto").fill_null(0)
        return int(both.select((pl.col("own") * inside).sum()).collect().item())

    def factored_top(self) -> list[Row]:
        pl = self.pl
        l = self._pans().select(  # noqa: E741
            "level", pair=pl.col("price") + pl.col("price_g"), pan_price="price", a="id", g_price="price_g", c="id_g"
        ).collect()  # fmt: skip
        u = self._pickups().select(
            "low", "high", own=pl.col("price") + pl.col("price_s"), k_price="price", b="id", s_price="price_s", d="id_s"
        ).collect()  # fmt: skip
        cheap = l.group_by("level").agg(pl.col("pair").min())
        first = u.group_by("b", "low", "high").agg(pl.col("own").min())
        inside = (pl.col("level") >= pl.col("low"), pl.col("level") <= pl.col("high"))
        best = first.lazy().join_where(cheap.lazy(), *inside).group_by("b").agg(
            best=(pl.col("own") + pl.col("pair")).min()
        ).collect()  # fmt: skip
        bound = int(best["best"].sort()[TAKE - 1]) if len(best) >= TAKE else 1 << 60
        few = u.join(best.filter(pl.col("best") <= bound), on="b", how="semi")
        pairs = l.filter(pl.col("pair") <= bound - int(few["own"].min() or 0))  # type: ignore[arg-type]
        found = few.lazy().join_where(pairs.lazy(), *inside).with_columns(total=pl.col("own") + pl.col("pair"))
        by = ["total", "pan_price", "a", "k_price", "b", "g_price", "c", "s_price", "d"]
        return rows(found.filter(pl.col("total") <= bound).select(by).sort(by).head(TAKE).collect().rows())

    def plain_count(self) -> int:
        """Each cross join filtered as it is made; the last one by a range."""
        pl = self.pl
        inside = (pl.col("level") >= pl.col("low"), pl.col("level") <= pl.col("high"))
        return int(
            self._pickups()
            .select("low", "high")
            .join_where(self._pans().select("level"), *inside)
            .select(pl.len())
            .collect()
            .item()
        )
