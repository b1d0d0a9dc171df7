"""A page that nobody sees yet is dressed and laid out ahead, so that it is soon painted."""

from collections.abc import Iterator

from PySide6.QtWidgets import QWidget


def lay_out_ahead(page: QWidget) -> Iterator[None]:
    """Give every widget of a page its style and its place; yields where others may go on."""
    widgets = (page, *page.findChildren(QWidget))
    for widget in widgets:
        widget.ensurePolished()
    yield
    for widget in widgets:  # from the outermost inwards, as it happens when the page is shown
        if (layout := widget.layout()) is not None:
            layout.activate()
