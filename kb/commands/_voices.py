"""What several people say of one incompatibility, on the command line."""

from __future__ import annotations

import argparse
from typing import Any

from kb.terminal import say, who


def speak(given: argparse.Namespace) -> None:
    """Write down one more voice on an incompatibility."""
    from kb.commands._shared import print_json
    from kb.confidence import confidence
    from kb.store.change import add_report

    agrees = given.action == "agree"
    record = add_report(given.db, given.id, agrees=agrees, text=given.text, by=given.by or who(), date=given.date)
    share = confidence(record).share
    if given.json:
        print_json({"id": given.id, "agrees": agrees, "confidence": round(share, 4)})
    else:
        what = "you met the same" if agrees else "the pair worked for you"
        say(f"{given.id}: noted that {what}; its confidence is {share:.0%}")


def confidence_words(record: dict[str, Any]) -> str:
    """The share and the voices that it comes from."""
    from kb.confidence import confidence

    found = confidence(record)
    voices = ", ".join(f"{each.by or 'somebody'} {each.what} ({each.weight:g})" for each in found.voices)
    return f"{found.share:.0%} = (1 + {found.pro:g}) / (2 + {found.pro:g} + {found.contra:g}); {voices}"
