"""What a proposal stands on is read whole in a window of 1280 px, with any one remark."""

import numpy as np
import pytest

from app.desktop.bay_words_view import place_lines
from app.desktop.presenters.limits_propose import proposal_words
from app.measure.limit_ways import limits_of
from app.measure.proposal import HeldOut, Proposal
from app.measure.risks import _remark
from app.measure.wish import Wish
from app.procedure.mask_schema import Mask
from dsp.statistics.proportion import proportion

_ROOM = 537  # px that a row of 1280 leaves beside its tabs and `Save as revision 12`
_NEXT = "Next: look at what it stops, then save the draft (Ctrl S); Ctrl Z takes it back."
_MASK = Mask(quantity="high_order", upper=((20.0, 1.0), (1000.0, 1.0)), lower=None)

pytestmark = pytest.mark.usefixtures("qapp")


def remarks_of(wish: Wish, *, gauge: float = 0.0) -> tuple[str, ...]:
    values = np.random.default_rng(3).normal(size=(400, 240))
    values[:8] += 20.0
    floor = np.where(np.arange(240) < 112, gauge, 0.0)
    return limits_of(values, mask=_MASK, wish=wish, floor=floor).remarks


REMARKS = (
    *remarks_of(Wish(way="unit_rate", rate=0.001, robust=True)),
    *remarks_of(Wish(way="percentile", coverage=0.999, confidence=0.95)),
    remarks_of(Wish(way="sigma", k=3.0), gauge=9.0)[0],
    _remark(2.5, guard=0.0),
)


@pytest.mark.parametrize("remark", REMARKS)
def test_no_word_of_a_remark_is_cut(remark: str) -> None:
    share = proportion(9712, of=9800)
    found = Proposal(
        mask=_MASK,
        units=10_000,
        k=None if "confidence" in remark else 3.12,  # ordered units have none
        held_out=HeldOut(conform=share, fail=proportion(88, of=9800)),
        remarks=(remark,),
    )
    lines = place_lines(proposal_words(found, title="High order"), _NEXT, room=_ROOM)
    assert not [line.text for line in lines if "…" in line.text]


def test_every_kind_of_remark_is_tried() -> None:
    for words in ("set aside", "read on", "would do", "than the gauge", "too coarse"):
        assert sum(words in remark for remark in REMARKS) == 1
