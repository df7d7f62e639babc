"""Four ways to press the openers down, with the same push on level ground, over the same pass."""

from collections.abc import Callable, Sequence
from threading import Event

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Pascal
from downforce.study.ground.pass_cases import PassCase, long_pass_shares
from downforce.study.openers.load_shares import LoadShares
from downforce.study.setting.same_target import springs_that_give
from downforce.study.springs.rivals import USUAL_GAS_RATIO, closed_line_rival, gas_spring_rival, usual_gas


def four_ways(drill: Drill, field: Field, gauge_pressure: Pascal, **way) -> tuple[PassCase, ...]:
    """The drill's spring, its cylinder at held pressure, that cylinder with its line shut, and a gas spring.

    gauge_pressure: of the cylinders on level ground; the others are set to the same down force there, the
        springs as near as their adjuster goes.
    way: seed, stations, spacing and speed, as in `PassCase`.
    Result: named "spring", "cylinder", "closed line" and "gas spring".
    """
    opener, cylinder = drill.opener, drill.cylinder
    push = float(cylinder.down_force(opener, 0.0, gauge_pressure))
    spring = springs_that_give(drill, push)
    line = closed_line_rival(opener, cylinder, gauge_pressure, usual_gas(opener, cylinder))
    strut = gas_spring_rival(opener, drill.spring, push, USUAL_GAS_RATIO)
    return (
        PassCase("spring", drill, field, spring, **way),
        PassCase("cylinder", drill, field, cylinder, gauge_pressure, **way),
        PassCase("closed line", drill, field, line, **way),
        PassCase("gas spring", drill, field, strut, **way),
    )


def shares_of(
    cases: Sequence[PassCase], progress: Callable | None = None, stop: Callable | Event | None = None
) -> dict[str, LoadShares]:
    """Shares of each case, one long pass after another.

    progress: called with the share of all of them that is done, 0 to 1.
    Result: by name of the case.
    """
    found = {}
    for place, case in enumerate(cases):

        def done(share, place=place):
            if progress is not None:
                progress((place + share) / len(cases))

        found[case.name] = long_pass_shares(case, done, stop)
    return found
