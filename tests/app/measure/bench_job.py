"""A job on the bench in software, short enough to run in every test."""

from pathlib import Path

from app.measure.make_take import Job
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from app.records.store import Store
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot


def chain(*, noise_db_spl: float = 20.0, **virtual: object) -> ChainSnapshot:
    return ChainSnapshot(
        chain=Chain.model_validate(
            {
                "name": "bench in software",
                "device": {"backend": "virtual", "sample_rate": 48_000},
                "output": {
                    "drive": {
                        "channel": 1,
                        "full_scale_v": 10.0,
                        "max_terminal_v_rms": 6.0,
                        "nominal_ohm": 8.0,
                    }
                },
                "input": {
                    "pressure": {
                        "channel": 1,
                        "full_scale_v": 2.0,
                        "sensitivity_v_per_pa": 0.05,
                    },
                    "sense": {"channel": 2, "full_scale_v": 1.0, "resistor_ohm": 0.22},
                    "loopback": {"channel": 3, "full_scale_v": 20.0},
                },
                "virtual": {"noise_db_spl": noise_db_spl, **virtual},
            }
        )
    )


def procedure(**changes: object) -> LoadedProcedure:
    content: dict[str, object] = {
        "name": "half a second",
        "excitation": {
            "kind": "log_sweep",
            "start_hz": 20.0,
            "stop_hz": 20_000.0,
            "duration_s": 0.5,
            "level_v_rms": 2.0,
        },
        "masks": {
            "level": {
                "quantity": "level",
                "upper": [[100.0, 100.0], [10_000.0, 100.0]],
                "lower": [[100.0, 60.0], [10_000.0, 60.0]],
            }
        },
    }
    return LoadedProcedure(
        procedure=Procedure.model_validate(content | changes), file="half-a-second.toml"
    )


def job(
    *, store: Store | None = None, loaded: LoadedProcedure | None = None, **virtual: object
) -> Job:
    return Job(
        procedure=loaded or procedure(),
        chain=chain(**virtual),  # type: ignore[arg-type]  # pydantic checks them
        unit="T4-W31-0417",
        lot="T4-W31",
        store=store,
    )


def open_store(folder: Path) -> Store:
    return Store.open(folder / "records.sqlite")
