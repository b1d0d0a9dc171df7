"""Takes with the line's procedure for defects, made once for all tests of their view."""

from dataclasses import replace
from functools import cache

from app.desktop.presenters.measure_lines import Shown
from app.measure.defects_seen import DefectsSeen, defects_seen
from app.measure.events import Finished
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from app.procedure.shipped import demo_chain, find_procedure
from hardware.toml_edit import with_values
from tests.app.desktop.measure.made import make, virtual

FAULTS = {"coil_rub": 0.2, "particle": 0.1}


@cache
def good() -> Finished:
    """A unit without a fault."""
    return make(procedure=line(), chain=demo_chain())


@cache
def buzzing() -> Finished:
    """A unit whose coil rubs, with a particle in its gap."""
    return make(procedure=line(), chain=virtual(faults=FAULTS))


def line() -> LoadedProcedure:
    """The line's procedure for defects, every take made once."""
    loaded = find_procedure("line-defects")
    once = with_values(loaded.procedure, {("quantities", "defects", "retakes"): 0})
    return replace(loaded, procedure=once)


def noise() -> LoadedProcedure:
    """Noise: nothing that defects could be looked for in."""
    content = {
        "name": "noise",
        "excitation": {"kind": "noise", "duration_s": 0.5, "level_v_rms": 1.0},
    }
    return LoadedProcedure(procedure=Procedure.model_validate(content), file="noise.toml")


def seen(finished: Finished) -> DefectsSeen:
    """What is shown of it."""
    reading = finished.derived.defects
    assert reading is not None
    return defects_seen(reading, chain=finished.take.chain.chain)


def shown(finished: Finished, *, number: int = 7) -> Shown:
    """It on the plots."""
    return Shown(take=finished.take, number=number, slot=0)
