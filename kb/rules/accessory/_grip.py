"""How much of its grip each pulley needs: tensions round the belt, from the loads and the tensioner's pull."""

from __future__ import annotations

import math
from typing import Any

from kb.rules.accessory._drive import Drive, crank_of
from kb.standards.belt_drive import span_tensions
from kb.standards.belts import section

SLACK = 10.0  # share of the grip that stands for a run without any pull


def tensions(drive: Drive, profile: str, tension: float) -> list[float]:
    """Pull, N, in the run behind each pulley, list order; below 0 where the tensioner leaves it slack.

    Beside a sprung tensioner the pull is the spring's; with none, or one that is bolted fast, the mean is as at rest.
    """
    crank = crank_of(drive.entries)
    radii = drive.pitch_radii(section(profile).pitch_offset)
    forces = [each.load_torque / radius for each, radius in zip(drive.entries, radii, strict=True)]
    forces[crank] = -sum(force for at, force in enumerate(forces) if at != crank)
    sprung = [arm.at for arm in drive.arms if drive.entries[arm.at].drives == "idler"]
    count = len(forces)
    known = [run for at in sprung for run in ((at - 1) % count, at)] or list(range(count))
    return span_tensions(forces, drive.travels_along(), known, tension)


def shares(drive: Drive, profile: str, friction: float, tension: float) -> list[tuple[str, float]]:
    """(pulley, ln(tight / slack) over what friction and wrap can hold) of every pulley that takes or gives torque."""
    runs = tensions(drive, profile, tension)
    crank = crank_of(drive.entries)
    found = []
    for at, each in enumerate(drive.entries):
        if at != crank and not each.load_torque:
            continue
        tight, slack = max(runs[at - 1], runs[at]), min(runs[at - 1], runs[at])
        wedge = 1.0 if drive.backs[at] else math.sin(section(profile).half_angle)
        holds = friction * drive.route.wraps[at] / wedge
        found.append((each.id, min(math.log(tight / slack) / holds, SLACK) if slack > 0 and holds > 0 else SLACK))
    return found


def grip_detail(drive: Drive, profile: str, friction: float, tension: float) -> dict[str, Any]:
    """`runs` with their pull, and `notes`: the slackest and the tightest."""
    runs = list(zip(drive.span_names, tensions(drive, profile, tension), strict=True))
    slackest, tightest = min(runs, key=lambda run: run[1]), max(runs, key=lambda run: run[1])
    held = (
        f"slackest run {slackest[0]}: {slackest[1]:.0f} N" if slackest[1] > 0 else f"the run {slackest[0]} goes slack"
    )
    return {
        "runs": [{"id": name, "pull": pull} for name, pull in runs],
        "grip": [{"id": name, "share": share} for name, share in shares(drive, profile, friction, tension)],
        "notes": [f"with all loads at once: {held}; tightest run {tightest[0]}: {tightest[1]:.0f} N"],
    }
