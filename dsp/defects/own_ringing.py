"""Whether what rings is the unit's own: outside, nothing falls again and again in every tone."""

from collections.abc import Sequence

# Of three clanks a second, all of them heard, 0.4 s hold three or more once in eight times, three
# such tones together twelve or more once in 2500 (Poisson); of one a second never.
_IN_EACH, _IN_ALL = 3, 12


def rings_of_itself(counts: Sequence[int]) -> bool:
    """Tell whether impulses that ring come from the unit.

    A loose particle is hit at random as long as the coil moves, in every tone alike; when it
    drags something along that rings, its clicks ring as what falls in a hall does.

    Parameters
    ----------
    counts : sequence of int
        Impulses that ring, of each tone in turn; without those that a second microphone heard.

    Returns
    -------
    bool
    """
    return bool(counts) and min(counts) >= _IN_EACH and sum(counts) >= _IN_ALL
