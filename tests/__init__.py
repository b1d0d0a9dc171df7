"""Tests mirror the three packages; see DEVELOPERS.md."""
