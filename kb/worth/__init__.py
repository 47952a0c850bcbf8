"""How much each measurement is worth: what it would settle, for the time and tool that it takes.

    prospects.py   what a reading of one input may say, and what the input is known as afterwards
    settle.py      the probability that a finding is decided once the reading is there
    advised.py     what the list consists of
    ordering.py    the list of readings worth taking, in order of what each settles

found = advice(base.check("drover"))
found.items[0].settled            # expected number of undecided verdicts that the first reading settles
"""

from kb.worth.advised import Advice, Item, Measurement
from kb.worth.ordering import advice
from kb.worth.settle import Settling, settling, settling_together

__all__ = ["Advice", "Item", "Measurement", "Settling", "advice", "settling", "settling_together"]
