"""Every test of the window sees it dressed as a person does, and shares one engine's process."""

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication

from app.desktop import engine_link
from app.desktop.style import dress
from tests.app.desktop.collecting import _collected_between_files, _imports_frozen  # noqa: F401
from tests.app.desktop.engine_child import TROUBLE
from tests.app.desktop.kept_engine import Engines


@pytest.fixture(scope="session", autouse=True)
def _dressed(qapp: QApplication) -> None:
    dress(qapp, dark=False)


@pytest.fixture(scope="session", autouse=True)
def engines(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engines]:  # noqa: ARG001
    trouble = tmp_path_factory.mktemp("engine") / "trouble"
    made = Engines(trouble)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(TROUBLE, str(trouble))
        patch.setattr(engine_link, "start_engine", made.start)
        yield made
        made.end()
