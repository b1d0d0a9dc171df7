#!/usr/bin/env python3
"""Write the reference pages beside this script, from the schemas that check the files.

Run it after a change of a schema: ``.venv/bin/python docs/reference/make_reference.py``. A test
fails until the pages are in step.
"""

from pathlib import Path

from app.procedure.limit_set import LimitSet
from app.procedure.schema import Procedure
from app.procedure.signature_schema import Signatures
from hardware.chain.schema import Chain
from hardware.toml_reference import reference_page

HERE = Path(__file__).parent
_WRITTEN = "Written by `make_reference.py` from what checks the files; do not edit."


def pages() -> dict[str, str]:
    """Write every page.

    Returns
    -------
    dict from file name to Markdown.
    """
    return {
        "chain-file.md": reference_page(
            Chain,
            title="The chain file",
            intro=f"""{_WRITTEN}

What is wired where, and what each link is worth: a TOML file. Channels count from 1.
`full_scale_v` is the peak voltage at the jack that digital 1.0 stands for. Uncertainties are
expanded ones, k = 2, as a certificate states them; a link that states none counts as exact, and
the record then says that intervals cover noise alone. A link past its `recalibrate_after_days` is
named in every take, and nothing is decided on it. An unknown key is an error.

Wire amplifier and sense resistor with the power off. An amplifier can hold voltages that hurt, and
a coil gets hot long before it looks so: keep to the local code, leave mains wiring to those who are
licensed for it, and set `max_terminal_v_rms` to what the unit stands, not to what the amplifier
gives.""",
        ),
        "procedure-file.md": reference_page(
            Procedure,
            title="The procedure file",
            intro=f"""{_WRITTEN}

What is played, in what geometry, what is derived and held against which limits: a TOML file.
Levels are volts across the unit's terminals. An unknown key is an error. `dustcap measure` takes
the path of such a file, or the name of one that ships: `line-check`, `baffle-sweep`,
`baffle-stepped`, `impedance`. Start from one of those in `app/procedure/shipped/`.

A level of a few volts at one metre can be loud enough to hurt hearing, more so at resonance and
close by: wear protection, and follow the local rules for noise at work.""",
        ),
        "limit-set-file.md": reference_page(
            LimitSet,
            title="The limit-set file",
            intro=f"""{_WRITTEN}

The masks of one revision of a limit set, to be carried to another station, sent to a customer, or
tried on stored units: a TOML file. `[masks.NAME]` tables alone are enough. Approval does not
travel: what is read from a file is a draft until somebody approves it there. A file of a newer
`format` is refused. An unknown key is an error.""",
        ),
        "signature-file.md": reference_page(
            Signatures,
            title="The signature file",
            intro=f"""{_WRITTEN}

How faults of a unit show, and what is looked at to tell them apart: a TOML file. The one that
ships is `app/procedure/shipped/signatures.toml`; a file `signatures.toml` beside the store is used
in its place, and one that cannot be used is told with file, line and key, while the take is made
all the same. How causes are weighed: section 17 of [how it is computed](../how-it-is-computed.md).
An unknown key is an error.""",
        ),
    }


if __name__ == "__main__":
    for name, text in pages().items():
        (HERE / name).write_text(text, encoding="utf-8")
