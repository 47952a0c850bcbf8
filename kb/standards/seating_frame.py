"""The flange as an elastic frame: a ring (or an open run) of straight beams in one plane, bent out of it.

Every node has a height and two slopes (dz/dx, dz/dy). Each beam bends with EI along its own direction and
twists with GJ across it, so a corner passes on a bending moment as a torque, as a real flange does: there a
straight "unrolled" beam would be some 2.5 times too stiff. Beams are cubic between nodes, which is exact
because forces act at nodes only. A plane costs no energy: the flange as a whole may sink and tilt freely.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

SAME_PLACE = 1e-3  # m: neighbours nearer than this share a node; a gasket's stations are not read finer
_IN_LINE = 1e-9  # share of the longest distance

_Block = tuple[float, float, float, float, float, float, float, float, float]
_Own = tuple[float, float, float, float, float, float]


class Frame(NamedTuple):
    """Stiffness of the frame, ready to be solved for any springs under its nodes.

    `node` gives each station's node; `own` the symmetric 3x3 block of each node (11, 12, 13, 22, 23, 33) and
    `link` the 3x3 block that couples node n to node n + 1; `closing` couples the first node to the last.
    The slopes are carried as slope times `span`, so all unknowns are metres.
    """

    node: tuple[int, ...]
    own: tuple[_Own, ...]
    link: tuple[_Block, ...]
    closing: _Block
    span: float


def nodes_along(places: Sequence[tuple[float, float]], closed: bool) -> tuple[int, ...]:
    """The node of each station: neighbours in one place share a node, in a closed run the last with the first too."""
    node = [0]
    spot = places[0]
    for here in places[1:]:
        if math.dist(spot, here) > SAME_PLACE:
            spot = here
            node.append(node[-1] + 1)
        else:
            node.append(node[-1])
    if closed and node[-1] > 0 and math.dist(spot, places[0]) <= SAME_PLACE:
        last = node[-1]
        node = [0 if number == last else number for number in node]
    return tuple(node)


@lru_cache(maxsize=64)
def frame(places: tuple[tuple[float, float], ...], ei: float, gj: float, closed: bool) -> Frame | None:
    """The frame through `places` (m) in their order, with bending EI and torsion GJ (N.m2).

    None with fewer than three places: forces at two ends bend nothing. `closed` joins the last to the first.
    Beam of length L: EI/L (s2 - s1)^2 / 2 + 3 EI/L (s1 + s2 - 2 (z2 - z1)/L)^2 / 2 + GJ/L (t2 - t1)^2 / 2 with
    slopes s along and t across it: the energy of a cubic (Hermite) beam and of uniform torsion [Roark].
    """
    node = nodes_along(places, closed)
    spots: list[tuple[float, float]] = []
    for number, place in zip(node, places, strict=True):
        if number == len(spots):
            spots.append(place)
    count = len(spots)
    if count < 3:
        return None
    pairs = [(n, n + 1) for n in range(count - 1)]
    if closed:
        pairs.append((count - 1, 0))
    lengths = [math.dist(spots[i], spots[j]) for i, j in pairs]
    span = sum(lengths) / len(lengths)
    own = [[0.0] * 6 for _ in spots]
    link: list[_Block] = []
    closing: _Block = (0.0,) * 9
    for (i, j), length in zip(pairs, lengths, strict=True):
        tx, ty = (spots[j][0] - spots[i][0]) / length / span, (spots[j][1] - spots[i][1]) / length / span
        bend, shear, twist = ei / length, 3.0 * ei / length, gj / length
        rise = 2.0 / length
        # each block is a sum of stiffness x (strain by dof of one node) x (strain by dof of the other)
        slope_s, slope_b, slope_t = shear * rise, shear + bend, shear - bend
        w_a, w_b = slope_s * tx, slope_s * ty
        both = (
            slope_s * rise,
            slope_b * tx * tx + twist * ty * ty,
            (slope_b - twist) * tx * ty,
            slope_b * ty * ty + twist * tx * tx,
        )
        for number, sign in ((i, 1.0), (j, -1.0)):
            entry = own[number]
            entry[0] += both[0]
            entry[1] += sign * w_a
            entry[2] += sign * w_b
            entry[3] += both[1]
            entry[4] += both[2]
            entry[5] += both[3]
        aa = slope_t * tx * tx - twist * ty * ty
        ab = (slope_t + twist) * tx * ty
        bb = slope_t * ty * ty - twist * tx * tx
        if j == 0:
            # rows of the first node, columns of the last: the transpose of the beam's own block
            closing = (-both[0], -w_a, -w_b, w_a, aa, ab, w_b, ab, bb)
        else:
            link.append((-both[0], w_a, w_b, -w_a, aa, ab, -w_b, ab, bb))
    far = max(spots, key=lambda spot: math.dist(spot, spots[0]))
    reach = math.dist(far, spots[0])
    ux, uy = (far[0] - spots[0][0]) / reach, (far[1] - spots[0][1]) / reach
    if all(abs(ux * (y - spots[0][1]) - uy * (x - spots[0][0])) <= _IN_LINE * reach for x, y in spots):
        # all in one line: nothing holds or drives the slope across it, so any hold on it is exact
        hold = max(entry[3] + entry[5] for entry in own)
        for entry in own:
            entry[3] += hold * uy * uy
            entry[4] -= hold * ux * uy
            entry[5] += hold * ux * ux
    blocks = tuple((e[0], e[1], e[2], e[3], e[4], e[5]) for e in own)
    return Frame(node, blocks, tuple(link), closing, span)


def solve_frame(body: Frame, springs: Sequence[float], forces: Sequence[float]) -> list[float]:
    """Heights (m) of the nodes under `forces` (N), each node standing on a spring of `springs` (N/m).

    Block elimination around the ring: every step removes one node, and carries its coupling to the next
    node and to the last one. Written out in scalars because this is the innermost loop of a check.
    """
    own, link = body.own, body.link
    last = len(own) - 1
    b11, b12, b13, b21, b22, b23, b31, b32, b33 = body.closing
    l11, l12, l13, l22, l23, l33 = own[last]
    l11 += springs[last]
    g1, g2, g3 = forces[last], 0.0, 0.0
    d11, d12, d13, d22, d23, d33 = own[0]
    f1, f2, f3 = forces[0], 0.0, 0.0
    steps = []
    for n in range(last):
        d11 += springs[n]
        u11, u12, u13, u21, u22, u23, u31, u32, u33 = link[n]
        c11, c12, c13 = d22 * d33 - d23 * d23, d13 * d23 - d12 * d33, d12 * d23 - d13 * d22
        scale = 1.0 / (d11 * c11 + d12 * c12 + d13 * c13)
        i11, i12, i13 = c11 * scale, c12 * scale, c13 * scale
        i22, i23, i33 = (
            (d11 * d33 - d13 * d13) * scale,
            (d12 * d13 - d11 * d23) * scale,
            (d11 * d22 - d12 * d12) * scale,
        )
        y1, y2, y3 = (
            i11 * f1 + i12 * f2 + i13 * f3,
            i12 * f1 + i22 * f2 + i23 * f3,
            i13 * f1 + i23 * f2 + i33 * f3,
        )
        if n == last - 1:
            b11, b12, b13 = b11 + u11, b12 + u12, b13 + u13
            b21, b22, b23 = b21 + u21, b22 + u22, b23 + u23
            b31, b32, b33 = b31 + u31, b32 + u32, b33 + u33
        p11, p12, p13 = (
            i11 * b11 + i12 * b21 + i13 * b31,
            i11 * b12 + i12 * b22 + i13 * b32,
            i11 * b13 + i12 * b23 + i13 * b33,
        )
        p21, p22, p23 = (
            i12 * b11 + i22 * b21 + i23 * b31,
            i12 * b12 + i22 * b22 + i23 * b32,
            i12 * b13 + i22 * b23 + i23 * b33,
        )
        p31, p32, p33 = (
            i13 * b11 + i23 * b21 + i33 * b31,
            i13 * b12 + i23 * b22 + i33 * b32,
            i13 * b13 + i23 * b23 + i33 * b33,
        )
        l11 -= b11 * p11 + b21 * p21 + b31 * p31
        l12 -= b11 * p12 + b21 * p22 + b31 * p32
        l13 -= b11 * p13 + b21 * p23 + b31 * p33
        l22 -= b12 * p12 + b22 * p22 + b32 * p32
        l23 -= b12 * p13 + b22 * p23 + b32 * p33
        l33 -= b13 * p13 + b23 * p23 + b33 * p33
        g1 -= b11 * y1 + b21 * y2 + b31 * y3
        g2 -= b12 * y1 + b22 * y2 + b32 * y3
        g3 -= b13 * y1 + b23 * y2 + b33 * y3
        if n == last - 1:
            steps.append(
                (y1, y2, y3, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, p11, p12, p13, p21, p22, p23, p31, p32, p33)
            )
            break
        q11, q12, q13 = (
            i11 * u11 + i12 * u21 + i13 * u31,
            i11 * u12 + i12 * u22 + i13 * u32,
            i11 * u13 + i12 * u23 + i13 * u33,
        )
        q21, q22, q23 = (
            i12 * u11 + i22 * u21 + i23 * u31,
            i12 * u12 + i22 * u22 + i23 * u32,
            i12 * u13 + i22 * u23 + i23 * u33,
        )
        q31, q32, q33 = (
            i13 * u11 + i23 * u21 + i33 * u31,
            i13 * u12 + i23 * u22 + i33 * u32,
            i13 * u13 + i23 * u23 + i33 * u33,
        )
        steps.append(
            (y1, y2, y3, q11, q12, q13, q21, q22, q23, q31, q32, q33, p11, p12, p13, p21, p22, p23, p31, p32, p33)
        )
        e11, e12, e13, e22, e23, e33 = own[n + 1]
        d11 = e11 - (u11 * q11 + u21 * q21 + u31 * q31)
        d12 = e12 - (u11 * q12 + u21 * q22 + u31 * q32)
        d13 = e13 - (u11 * q13 + u21 * q23 + u31 * q33)
        d22 = e22 - (u12 * q12 + u22 * q22 + u32 * q32)
        d23 = e23 - (u12 * q13 + u22 * q23 + u32 * q33)
        d33 = e33 - (u13 * q13 + u23 * q23 + u33 * q33)
        f1 = forces[n + 1] - (u11 * y1 + u21 * y2 + u31 * y3)
        f2 = -(u12 * y1 + u22 * y2 + u32 * y3)
        f3 = -(u13 * y1 + u23 * y2 + u33 * y3)
        b11, b12, b13, b21, b22, b23, b31, b32, b33 = (
            -(u11 * p11 + u21 * p21 + u31 * p31),
            -(u11 * p12 + u21 * p22 + u31 * p32),
            -(u11 * p13 + u21 * p23 + u31 * p33),
            -(u12 * p11 + u22 * p21 + u32 * p31),
            -(u12 * p12 + u22 * p22 + u32 * p32),
            -(u12 * p13 + u22 * p23 + u32 * p33),
            -(u13 * p11 + u23 * p21 + u33 * p31),
            -(u13 * p12 + u23 * p22 + u33 * p32),
            -(u13 * p13 + u23 * p23 + u33 * p33),
        )
    c11, c12, c13 = l22 * l33 - l23 * l23, l13 * l23 - l12 * l33, l12 * l23 - l13 * l22
    scale = 1.0 / (l11 * c11 + l12 * c12 + l13 * c13)
    c22, c23, c33 = l11 * l33 - l13 * l13, l12 * l13 - l11 * l23, l11 * l22 - l12 * l12
    z1, z2, z3 = (
        (c11 * g1 + c12 * g2 + c13 * g3) * scale,
        (c12 * g1 + c22 * g2 + c23 * g3) * scale,
        (c13 * g1 + c23 * g2 + c33 * g3) * scale,
    )
    heights = [z1]
    x1 = x2 = x3 = 0.0
    for (
        y1,
        y2,
        y3,
        q11,
        q12,
        q13,
        q21,
        q22,
        q23,
        q31,
        q32,
        q33,
        p11,
        p12,
        p13,
        p21,
        p22,
        p23,
        p31,
        p32,
        p33,
    ) in reversed(steps):
        x1, x2, x3 = (
            y1 - q11 * x1 - q12 * x2 - q13 * x3 - p11 * z1 - p12 * z2 - p13 * z3,
            y2 - q21 * x1 - q22 * x2 - q23 * x3 - p21 * z1 - p22 * z2 - p23 * z3,
            y3 - q31 * x1 - q32 * x2 - q33 * x3 - p31 * z1 - p32 * z2 - p33 * z3,
        )
        heights.append(x1)
    heights.reverse()
    return heights
