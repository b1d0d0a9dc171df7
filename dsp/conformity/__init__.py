"""Limits, margins and the verdict."""
