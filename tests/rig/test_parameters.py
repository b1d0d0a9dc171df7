"""Parameters of the virtual unit over PortAudio, against its closed form at rest."""

import json
from pathlib import Path

import pytest

from app.cli.main import main
from hardware.chain.schema import Ambient
from hardware.virtual.bench import air_of
from hardware.virtual.truth import small_signal
from hardware.virtual.unit import find_unit
from tests.rig.rig_device import CHAIN

PROCEDURE = """
name = "parameters"
[excitation]
kind = "log_sweep"
start_hz = 10
stop_hz = 20000
duration_s = 2.0
level_v_rms = 0.2
[geometry]
mounting = "baffle"
[quantities.parameters]
sd_cm2 = 85
sd_uncertainty_percent = 0.5
"""
# Greatest relative error that the program claims for itself.
ALLOWED = {"fs_hz": 0.002, "qts": 0.01, "bl_tm": 0.015, "mms_g": 0.015}


@pytest.mark.usefixtures("device")
def test_the_virtual_unit_over_portaudio_is_what_it_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    procedure, chain = tmp_path / "procedure.toml", tmp_path / "measuring.toml"
    procedure.write_text(PROCEDURE)
    chain.write_text(CHAIN.replace("DEVICE", 'name = "Tram Rig"'))
    store = ["--store", str(tmp_path / "store.sqlite"), "--json"]
    main(["measure", str(procedure), "--chain", str(chain), *store])
    numbers = json.loads(capsys.readouterr().out)["numbers"]
    true = truth()
    for name, allowed in ALLOWED.items():
        found = numbers[name]
        error = abs(found["value"] - true[name])
        assert found["reason"] == ""
        assert error <= allowed * true[name], name
        assert error <= found["uncertainty"], name


def truth() -> dict[str, float]:
    unit = find_unit("T130")
    at_rest = small_signal(unit, air=air_of(Ambient()))
    return {
        "fs_hz": at_rest.fs_hz,
        "qts": at_rest.qts,
        "bl_tm": unit.bl_tm,
        "mms_g": 1e3 * unit.mms_kg,
    }
