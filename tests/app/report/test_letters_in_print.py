"""What a page says can be found and copied as it reads."""

from pathlib import Path

from matplotlib.figure import Figure  # noqa: TID253

from app.report.sheet import write_pdf
from tests.app.report.pdf_words import pdf_words


def test_no_ligature_hides_a_part_of_a_number(tmp_path: Path) -> None:
    figure = Figure()
    figure.text(0.1, 0.5, "b8fff6e0 of a certificate")
    page = write_pdf([figure], tmp_path / "page.pdf", title="page")
    assert "b8fff6e0 of a certificate" in pdf_words(page)
