"""Array types, and the lock that makes frozen data truly frozen."""

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

AnyArray = TypeVar("AnyArray", bound=NDArray[Any])


def read_only(array: AnyArray) -> AnyArray:
    """Return a view of ``array`` that cannot be written to.

    Parameters
    ----------
    array : (...) array
        Any shape, unit and type; its own flag is left alone, so keep no other reference to it.

    Returns
    -------
    (...) array, the same memory, closed.
    """
    view = array.view()
    view.flags.writeable = False
    return view
