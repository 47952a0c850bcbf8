"""With nothing fitted in the crank's rear bore, the bore itself centres the converter's nose."""

from kb.roles import crank, pilot
from kb.rules._rule import derive


@derive(pilot.bore, because="nothing is fitted there, so the crank's own bore counts", when={pilot.sort: ("none",)})
def bore_of_bare_crank(bore=crank.pilot_bore):
    """bore = the crank's own"""
    return bore
