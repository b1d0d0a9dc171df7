"""The chain as it is, where the rig knows better than the chain file."""

from hardware.chain.schema import Chain
from hardware.chain.virtual_schema import Truth

_INPUTS = ("pressure", "sense", "terminal", "loopback")


def truth_of(chain: Chain) -> Truth:
    """Return what the rig knows.

    Parameters
    ----------
    chain : Chain
        With or without a ``[virtual]`` table.

    Returns
    -------
    Truth
    """
    return chain.virtual.truth if chain.virtual else Truth()


def in_truth(chain: Chain) -> Chain:
    """Put what the links are in the place of what the chain states.

    Parameters
    ----------
    chain : Chain
        As written.

    Returns
    -------
    Chain; what its ``[virtual.truth]`` leaves out is as the chain states it.
    """
    truth = truth_of(chain)
    inputs = {}
    for name in _INPUTS:
        link, full_scale_v = getattr(chain.input, name), getattr(truth, f"{name}_full_scale_v")
        if link is not None and full_scale_v is not None:
            inputs[name] = link.model_copy(update={"full_scale_v": full_scale_v})
    if chain.input.sense is not None and truth.resistor_ohm is not None:
        sense = inputs.get("sense", chain.input.sense)
        inputs["sense"] = sense.model_copy(update={"resistor_ohm": truth.resistor_ohm})
    drive = {
        key: value
        for key, value in (
            ("full_scale_v", truth.output_full_scale_v),
            ("amplifier_gain", truth.amplifier_gain),
        )
        if value is not None
    }
    output = chain.output.model_copy(update={"drive": chain.output.drive.model_copy(update=drive)})
    return chain.model_copy(
        update={"output": output, "input": chain.input.model_copy(update=inputs)}
    )
