"""``dustcap devices``: the sound cards that PortAudio lists."""

from dataclasses import asdict
from typing import Annotated

import typer

from app.cli.output import print_json, print_table


def devices(
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """List sound cards with their channels, rates and driver family."""
    from hardware.soundcard.devices import devices as list_devices

    found = list_devices()
    if as_json:
        print_json({"devices": [asdict(device) for device in found]})
        return
    print_table(
        ("name", "host API", "in", "out", "rate"),
        [
            (
                device.name,
                device.host_api,
                str(device.max_input_channels),
                str(device.max_output_channels),
                f"{device.default_sample_rate_hz:.0f} Hz",
            )
            for device in found
        ],
        empty="No sound card is listed. The rig in software needs none: dustcap demo",
    )
