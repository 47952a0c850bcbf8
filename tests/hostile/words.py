"""What hostile input is made of: texts that break out of something, and changes of texts and bytes that were good."""

from __future__ import annotations

import random

SCRIPT = "<script>alert(1)</script>"
BREAK_OUT = "\"'><img src=x onerror=alert(2)>"
SQL = "x'; DROP TABLE part; --"
# Each ends something that a careless program would have opened: a tag, an attribute, a statement, a path, a format.
HOSTILE = (
    "",
    " ",
    "\t",
    "\n",
    "\r\n",
    "\x00",
    "a\x00b",
    "\x1b[2J",
    "\x7f",
    "\u202e",
    "\u2028",
    "\ufeff",
    "\U0001f529",
    "e\u0301" * 20,
    "\u0130",
    "\u00df",
    "\u0661\u0662",
    "\ufb01",
    SCRIPT,
    BREAK_OUT,
    SQL,
    "' OR '1'='1",
    '" OR ""="',
    "1; SELECT zeroblob(900000000)",
    "%' OR 1=1 --",
    "NEAR(",
    "a AND",
    "*",
    "^",
    '"',
    "'",
    "\\",
    "`",
    "--",
    "-",
    "--help",
    "{{7*7}}",
    "${7*7}",
    "{0.__class__}",
    "%s%n",
    "%00",
    "%2e%2e%2f",
    "../../../etc/passwd",
    "..\\..\\boot.ini",
    "javascript:alert(1)",
    "data:text/html,<script>1</script>",
    "//evil.example",
    "http://evil.example/",
    "file:///etc/passwd",
    "None",
    "null",
    "undefined",
    "true",
    "False",
    "NaN",
    "nan",
    "inf",
    "-inf",
    "Infinity",
    "1e999",
    "-1",
    "0",
    "-0",
    "1e-400",
    "9" * 40,
    "9" * 5000,
    "0x10",
    "012",
    "1_000",
    "1/0",
    "0/0 in",
    "1 1/0 in",
    "190 mm",
    "7 1/2 in",
    "190 +/- 1 mm",
    "1 to 2 mm",
    "190 mm +/- -1 mm",
    "-190 mm",
    "1e308 mm",
    "1e-320 mm",
    "190 furlongs",
    "190 psi",
    "190 mmm",
    "1,250 cfm",
    '3/8"',
    "1/2-20",
    "M6x1",
    "36-1",
    "60-2",
    "[",
    "]",
    "{",
    "}",
    "a=b",
    "=",
    "a=",
    "=a",
    "a.b.c=d",
    ":",
    "pan:",
    ":pan",
    "pan:x:y",
    "pan=pan=pan",
    "x" * 200,
    "x" * 3000,
    "[[[[[[[[[[[[[[[[",
    "((((((((((",
    "<<<<",
    "&amp;",
    "&#x3c;script&#x3e;",
    "]]>",
    "<!--",
    "<svg onload=1>",
    "2024-02-30",
    "0000-00-00",
    "9999-12-31",
    "1996-1990",
    "a/b",
    "a/../b",
    ".",
    "..",
    "con",
    "CON.txt",
    "a" * 80,
    "A",
    "\u00e4",
)
SHORT = tuple(text for text in HOSTILE if len(text) <= 200)
_SIGNS = "0123456789 ./-+\u00b1x'\"%,:;=<>(){}[]_#&?@!\\\n\tabzAZ\u00bd\u00e9\u00b0\u4e2d\U0001f529\x00\x1b\u202e"
_BYTES = (
    b"\x00",
    b"\xff",
    b"\xfe\xff",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\x1b",
    b"\r",
    b"\n",
    b"\t",
    b": ",
    b"- ",
    b"{",
    b"[",
    b'"',
    b"'",
    b"&a ",
    b"*a",
    b"!!str ",
    b"---\n",
    b"? ",
    b"|\n",
    b">\n",
    b"#",
    b"%YAML 1.1\n",
    b"9" * 30,
    b"<<: ",
    b",",
    b";",
    b"e",
    b"-",
    b".",
    b"0",
    b"null",
    b"true",
    b"\xef\xbb\xbf",
)


def text(rnd: random.Random, good: str = "") -> str:
    """A hostile text: from the list, made of odd signs, or `good` with something changed."""
    luck = rnd.random()
    if luck < 0.45 or not good:
        return rnd.choice(HOSTILE) if luck < 0.4 else "".join(rnd.choices(_SIGNS, k=rnd.randint(1, 60)))
    if luck < 0.6:
        return rnd.choice((good + rnd.choice(SHORT), rnd.choice(SHORT) + good))
    return changed(rnd, good)


def changed(rnd: random.Random, good: str) -> str:
    """`good` with one to three small changes: a sign put in, taken out, doubled, replaced or moved."""
    signs = list(good)
    for _ in range(rnd.randint(1, 3)):
        at = rnd.randrange(len(signs) + 1)
        kind = rnd.randrange(5)
        if kind == 0 or not signs:
            signs.insert(at, rnd.choice(_SIGNS))
        elif kind == 1:
            del signs[at % len(signs)]
        elif kind == 2:
            signs[at % len(signs)] = rnd.choice(_SIGNS)
        elif kind == 3:
            end = rnd.randrange(at, len(signs) + 1)
            signs[at:at] = signs[at:end] * rnd.choice((1, 1, 30))
        else:
            signs[at % len(signs)] = signs[at % len(signs)].swapcase()
    return "".join(signs)[:40_000]


def bytes_changed(rnd: random.Random, good: bytes, others: bytes = b"") -> bytes:
    """`good` with one to six changes of bytes: flipped, put in, cut, doubled, or a piece of `others` put in."""
    data = bytearray(good)
    for _ in range(rnd.choice((1, 1, 2, 3, 6))):
        at = rnd.randrange(len(data) + 1)
        kind = rnd.randrange(7)
        if kind == 0 and data:
            data[at % len(data)] ^= 1 << rnd.randrange(8)
        elif kind == 1 and data:
            data[at % len(data)] = rnd.randrange(256)
        elif kind == 2:
            data[at:at] = rnd.choice(_BYTES)
        elif kind == 3:
            del data[at : at + rnd.choice((1, 1, 4, 40))]
        elif kind == 4:
            data[at:at] = data[at : at + rnd.choice((1, 10, 100))] * rnd.choice((1, 2, 50))
        elif kind == 5 and others:
            start = rnd.randrange(len(others))
            data[at:at] = others[start : start + rnd.choice((3, 20, 200))]
        else:
            lines = bytes(data).split(b"\n")
            first, second = rnd.randrange(len(lines)), rnd.randrange(len(lines))
            lines[first], lines[second] = lines[second], lines[first]
            data = bytearray(b"\n".join(lines))
    return bytes(data)
