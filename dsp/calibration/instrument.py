"""Pistonphone or sound calibrator: what it is said to give, and how sure that is."""

import math
from dataclasses import asdict, dataclass, replace
from enum import Enum
from typing import Literal

from dsp.errors import DspError

AccuracyClass = Literal["LS", "1", "2"]

STANDARD_LEVELS_DB = (94.0, 104.0, 114.0, 124.0)


class InstrumentKind(Enum):
    """How the sound is made."""

    PISTONPHONE = "pistonphone"  # pistons change a volume: the level follows the static pressure
    CALIBRATOR = "sound calibrator"  # a small loudspeaker, its level held by feedback


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassLimits:
    """What IEC 60942 lets an instrument of one class do at reference conditions.

    Attributes
    ----------
    level_db : float
        dB, by how much the level may differ from the stated one.
    fluctuation_db : float
        dB, by how much the level may come and go in a short time.
    frequency_percent : float
        %, by how much the frequency may differ from the stated one.
    distortion_percent : float
        %, of the whole sound, everything but the tone.
    """

    level_db: float
    fluctuation_db: float
    frequency_percent: float
    distortion_percent: float

    @property
    def settled_within_db(self) -> float:
        """Width in dB, lowest to highest level, that counts as settled.

        Twice as much as it may come and go: what lies in between is told as unsteady, not as
        unsettled.
        """
        return 4 * self.fluctuation_db


# IEC 60942:2017, acceptance limits from 160 Hz to 1250 Hz. Written down from memory, all twelve;
# that there are these classes, and that LS is the narrowest and 2 the widest, is in the standard's
# public abstract. A calibration with a certificate need not stand on them: the certificate's own
# limits take their place (``CertifiedLimits``), and its level uncertainty that of ``level_db``.
CLASS_LIMITS: dict[AccuracyClass, ClassLimits] = {
    "LS": ClassLimits(
        level_db=0.10, fluctuation_db=0.03, frequency_percent=0.7, distortion_percent=2.0
    ),
    "1": ClassLimits(
        level_db=0.25, fluctuation_db=0.07, frequency_percent=0.7, distortion_percent=2.5
    ),
    "2": ClassLimits(
        level_db=0.40, fluctuation_db=0.15, frequency_percent=1.7, distortion_percent=3.0
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CertifiedLimits:
    """What the certificate of one instrument says that it does; None: as its class allows.

    Attributes
    ----------
    fluctuation_db : float or None
        dB, by how much the level may come and go in a short time.
    frequency_percent : float or None
        %, by how much the frequency may differ from the stated one.
    distortion_percent : float or None
        %, of the whole sound, everything but the tone.

    Raises
    ------
    DspError
        A limit that is not above 0, or wider than any instrument needs.
    """

    fluctuation_db: float | None = None
    frequency_percent: float | None = None
    distortion_percent: float | None = None

    def __post_init__(self) -> None:
        for name, most in (
            ("fluctuation_db", 1.0),
            ("frequency_percent", 5.0),
            ("distortion_percent", 10.0),
        ):
            given = getattr(self, name)
            if given is not None and not 0 < given <= most:
                allowed = f"above 0 to {most:g}"
                raise DspError("instrument", f"{name} outside", given=given, allowed=allowed)


AS_ITS_CLASS = CertifiedLimits()


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadVolume:
    """What the cavity of a pistonphone was adjusted for, and what is put into it.

    Attributes
    ----------
    cavity_cm3 : float
        cm³, the cavity without the microphone's equivalent volume.
    stated_cm3 : float
        cm³, load volume that the stated level holds for.
    microphone_cm3 : float
        cm³, load volume of the microphone with its adaptor.
    microphone_uncertainty_cm3 : float
        cm³, expanded, k = 2.

    Raises
    ------
    DspError
        A volume that no coupler has.
    """

    cavity_cm3: float
    stated_cm3: float
    microphone_cm3: float
    microphone_uncertainty_cm3: float = 0.0

    def __post_init__(self) -> None:
        for name in ("cavity_cm3", "stated_cm3", "microphone_cm3"):
            given = getattr(self, name)
            if not 0 < given < 1000:
                raise DspError("load volume", f"{name} outside", given=given, allowed="0 to 1000")
        if not 0 <= self.microphone_uncertainty_cm3 < 1000:
            raise DspError(
                "load volume",
                "microphone_uncertainty_cm3 outside",
                given=self.microphone_uncertainty_cm3,
                allowed="0 to 1000",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A pistonphone or a sound calibrator.

    Attributes
    ----------
    kind : InstrumentKind
        Either of both.
    level_db : float
        dB re 20 µPa at reference conditions, from its certificate, else the nominal one.
    frequency_hz : float
        Hz, likewise.
    accuracy_class : str
        ``LS``, ``1`` or ``2`` of IEC 60942.
    level_uncertainty_db : float or None
        dB, expanded, k = 2, from its certificate; None: it has none, and anywhere within the
        limits of its class is as likely.
    needs_pressure : bool or None
        Whether its level follows the static pressure; None: as its kind does.
    load : LoadVolume or None
        None: the microphone has the load volume that the level holds for.
    temperature_db_per_c, humidity_db_per_percent : float
        dB/°C and dB/%, from its certificate, re 23 °C and 50 %.
    certified : CertifiedLimits
        What its certificate says in the place of its class.

    Raises
    ------
    DspError
        A level, a frequency or a volume that no such instrument has.
    """

    kind: InstrumentKind
    level_db: float
    frequency_hz: float
    accuracy_class: AccuracyClass = "1"
    level_uncertainty_db: float | None = None
    needs_pressure: bool | None = None
    load: LoadVolume | None = None
    temperature_db_per_c: float = 0.0
    humidity_db_per_percent: float = 0.0
    certified: CertifiedLimits = AS_ITS_CLASS

    def __post_init__(self) -> None:
        for name, low, high in (
            ("level_db", 60.0, 140.0),
            ("frequency_hz", 20.0, 20_000.0),
            ("level_uncertainty_db", 0.0, 3.0),
            ("temperature_db_per_c", -0.1, 0.1),
            ("humidity_db_per_percent", -0.1, 0.1),
        ):
            given = getattr(self, name)
            if given is not None and not low <= given <= high:
                raise DspError(
                    "instrument", f"{name} outside", given=given, allowed=f"{low:g} to {high:g}"
                )

    @property
    def limits(self) -> ClassLimits:
        """Of its certificate where that states any, otherwise of its class."""
        stated = {name: value for name, value in asdict(self.certified).items() if value}
        return replace(CLASS_LIMITS[self.accuracy_class], **stated)

    def who_limits(self, name: str) -> str:
        """Tell whose limit it is.

        Parameters
        ----------
        name : str
            Of ``CertifiedLimits``.

        Returns
        -------
        str, for a sentence: ``class 1`` or ``its certificate``.
        """
        if getattr(self.certified, name) is not None:
            return "its certificate"
        return f"class {self.accuracy_class}"

    @property
    def follows_pressure(self) -> bool:
        """Whether its level has to be corrected for the static pressure."""
        if self.needs_pressure is not None:
            return self.needs_pressure
        return self.kind is InstrumentKind.PISTONPHONE

    @property
    def level_standard_uncertainty_db(self) -> float:
        """dB, k = 1; without a certificate that of a rectangle as wide as its class allows."""
        if self.level_uncertainty_db is not None:
            return self.level_uncertainty_db / 2
        return self.limits.level_db / math.sqrt(3)
