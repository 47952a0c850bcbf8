"""Order of a wheel's teeth, from the name of its pattern."""

from kb.roles import trigger_wheel
from kb.rules._rule import derive
from kb.standards.patterns import spelt_out


@derive(trigger_wheel.teeth, because="the name of the pattern says where every tooth stands")
def wheel_teeth(pattern=trigger_wheel.pattern):
    """teeth = the pattern's code, where it leaves nothing open"""
    return spelt_out(pattern)
