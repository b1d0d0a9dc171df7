"""Panels of the Chain bay: each paints a state and asks; none keeps a truth."""
