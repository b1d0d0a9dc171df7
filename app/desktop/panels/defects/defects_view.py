"""The defects of the take that is shown: read in the worker, painted as pictures and facts."""

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal, Slot

from app.desktop.bench import Bench
from app.desktop.panels.defects.defects_page import DefectsPage
from app.desktop.panels.defects.defects_panel import DefectsPanel
from app.desktop.panels.defects.defects_results import DefectsResults
from app.desktop.panels.measure.again import Again, Opener
from app.desktop.panels.measure.plots import Plots
from app.desktop.presenters.defects_facts import (
    impulse_rows,
    loudest_tone,
    sweep_facts,
    tone_facts,
    tone_rows,
)
from app.desktop.presenters.defects_plots import (
    TONES,
    OverTime,
    drive_span,
    irregular_plot,
    level_map,
    over_time,
    pictures,
)
from app.desktop.presenters.defects_words import (
    FindingsState,
    findings_state,
    no_findings,
    words_of_defects,
    words_of_impulse,
    words_of_tile,
    words_without_residual,
)
from app.desktop.presenters.figures import hz_text
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_scene import View
from app.measure.auralise import residual_of
from app.measure.defects_seen import DefectsSeen, defects_seen
from app.measure.events import Finished
from app.records.store import Store
from dsp.defects.reading import DefectReading

_TOPIC = "defects"
_NO_TAKE = "Play a unit, or press a take below: what it does beside its harmonics appears here."
_NOTHING = "This take has no residual: that needs a microphone, and a sweep or tones that last."
_TYPES_THIS = "choose the procedure line-defects (Ctrl O), then press Play."
_PICTURE_HINT = "The residual over what was played and heard appears here."
_TIME_HINT = "Its level over time, with impulses, appears here."


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Just:
    """The reading of the take that was made last: nobody has to derive it again."""

    take_id: str
    reading: DefectReading | None


class DefectsView(QObject):
    """Follows the shown take; asks only while somebody looks.

    ``found`` (DefectsSeen or None) tells that another residual is shown; ``said`` (BayWords) what
    it comes to.
    """

    found = Signal(object)
    said = Signal(object)

    def __init__(
        self,
        bench: Bench,
        *,
        again: Again,
        plots: Plots,
        page: DefectsPage,
        panel: DefectsPanel,
        results: DefectsResults,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._plots, self._opener = bench, plots, again.opener
        self._page, self._panel, self._results = page, panel, results
        self._shown: Shown | None = None
        self._asked = ""  # id of the take that is read, or being read
        self._just: _Just | None = None
        self._seen: DefectsSeen | None = None
        plots.view_changed.connect(self._look)
        bench.take_kept.connect(self._remember)
        panel.tone_chosen.connect(self._choose_tone)
        panel.impulse_chosen.connect(self._choose_impulse)
        panel.picture_chosen.connect(self._choose_picture)
        page.picture.tile_pressed.connect(self._press_tile)
        page.moments.moment_pressed.connect(lambda place: self._choose_impulse(str(place)))
        page.moments.time_pressed.connect(self._press_time)
        self._paint_none(no_findings(_NO_TAKE))

    @property
    def seen(self) -> DefectsSeen | None:
        """What is shown."""
        return self._seen

    @property
    def shown(self) -> Shown | None:
        """Of which take."""
        return self._shown

    def show_take(self, shown: Shown | None) -> None:
        """Follow another take; the same one again says nothing new."""
        same = shown is not None and shown.take.id == self._asked
        self._shown = shown
        if not same:
            self._look(self._plots.view)

    @Slot(object)
    def _remember(self, finished: Finished) -> None:
        self._just = _Just(take_id=finished.take.id, reading=finished.derived.defects)

    @Slot(object)
    def _look(self, view: View) -> None:
        if view is not View.DEFECTS:
            return
        shown = self._shown
        if shown is None:
            self._asked = ""
            self._paint_none(no_findings(_NO_TAKE))
            return
        if self._asked == shown.take.id:
            self._tell()
            return
        self._asked = shown.take.id
        store, opener, just = self._bench.store, self._opener, self._just

        def work() -> DefectsSeen | None:
            reading = _reading(store, opener, take_id=shown.take.id, just=just)
            chain = shown.take.chain.chain
            return None if reading is None else defects_seen(reading, chain=chain)

        self._bench.worker.ask(_TOPIC, work, then=self._take, refused=self._refuse)

    def _take(self, seen: DefectsSeen | None) -> None:
        if seen is None:
            self._paint_none(no_findings(_NOTHING, next_step=_TYPES_THIS))
        else:
            self._seen = seen
            self._paint(seen)
            self.found.emit(seen)
        self._tell()

    def _refuse(self, error: Exception) -> None:
        self._asked = ""
        sentence = str(error).rstrip(".")
        self._paint_none(no_findings(f"{sentence[:1].upper()}{sentence[1:]}."))

    def _tell(self) -> None:
        shown = self._shown
        if shown is None or self._plots.view is not View.DEFECTS:
            return
        if self._seen is None:
            self.said.emit(words_without_residual(shown.number))
        else:
            self.said.emit(words_of_defects(shown, self._seen))

    def _paint_none(self, findings: FindingsState) -> None:
        self._seen = None
        page, panel = self._page, self._panel
        page.set_picture(None, hint=_PICTURE_HINT)
        page.set_curve(irregular_plot(self._shown, seen=None), span_hz=drive_span(None))
        page.set_over_time(OverTime(), hint=_TIME_HINT)
        page.set_cursor(None)
        panel.set_tones((), chosen=None, sentence="Each tone will stand here with its reading.")
        panel.set_impulses(())
        panel.set_pictures((), chosen="")
        panel.fit()
        self._results.set_findings(findings)
        self._results.set_facts((), title="Reading", told="")
        self.found.emit(None)

    def _paint(self, seen: DefectsSeen) -> None:
        shown = self._shown
        if shown is None:
            return
        page, panel = self._page, self._panel
        options = pictures(seen)
        picture = self._panel.picture.key()
        if picture not in dict(options):
            picture = options[0][0]
        page.set_curve(irregular_plot(shown, seen=seen), span_hz=drive_span(seen))
        page.set_picture(level_map(seen, picture=picture), hint=_PICTURE_HINT)
        page.set_over_time(over_time(seen), hint=_TIME_HINT)
        page.set_cursor(self._plots.cursor_hz)
        tone = loudest_tone(seen)
        sentence = "" if tone is not None else "No tone was played long enough to be read."
        panel.set_tones(tone_rows(seen), chosen=tone, sentence=sentence)
        panel.set_impulses(impulse_rows(seen))
        panel.set_pictures(options, chosen=picture)
        panel.fit()
        self._results.set_findings(findings_state(shown, seen))
        self._show_tone(tone)

    def _show_tone(self, place: int | None) -> None:
        seen = self._seen
        if seen is None:
            return
        if place is None:
            self._results.set_facts(sweep_facts(seen), title="Sweep", told="k = 2")
            return
        tone = seen.reading.tones[place]
        title = f"Tone {hz_text(tone.frequency_hz)}"
        self._results.set_facts(
            tone_facts(seen, place), title=title, told="dB re fundamental, k = 2"
        )

    @Slot(str)
    def _choose_tone(self, key: str) -> None:
        if self._seen is None:
            return
        place = int(key)
        self._panel.tones.choose(key)
        self._show_tone(place)
        self._page.set_cursor(self._seen.reading.tones[place].frequency_hz)

    @Slot(str)
    def _choose_impulse(self, key: str) -> None:
        if self._seen is None:
            return
        one = self._seen.impulses[int(key)]
        self._panel.impulses.choose(key)
        self._page.moments.choose(int(key))
        self._page.set_cursor(one.drive_hz)
        self.said.emit(words_of_impulse(one))

    @Slot(str)
    def _choose_picture(self, key: str) -> None:
        if self._seen is not None:
            self._page.set_picture(level_map(self._seen, picture=key), hint=_PICTURE_HINT)
            self._page.set_cursor(self._plots.cursor_hz)

    @Slot(float, float)
    def _press_tile(self, played_hz: float, heard_hz: float) -> None:
        shown = self._page.picture.map
        tile = None if shown is None else shown.at(played_hz, heard_hz)
        if tile is None:
            return
        if self._panel.picture.key() == TONES:
            self._choose_tone_at(played_hz)
        self.said.emit(words_of_tile(tile))

    @Slot(float)
    def _press_time(self, time_s: float) -> None:
        for part in self._page.moments.scene.parts:
            if part.time_s[0] <= time_s <= part.time_s[-1]:
                self._choose_tone_at(float(part.drive_hz[0]))

    def _choose_tone_at(self, hz: float) -> None:
        tones = () if self._seen is None else self._seen.reading.tones
        for place, tone in enumerate(tones):
            if tone.frequency_hz == hz:
                self._choose_tone(str(place))
                return


def _reading(
    store: Store, opener: Opener, *, take_id: str, just: _Just | None
) -> DefectReading | None:
    if just is not None and just.take_id == take_id:
        return just.reading
    return residual_of(opener.opened(store, take_id))
