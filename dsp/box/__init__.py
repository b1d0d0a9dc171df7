"""Predicted response of a drive unit in a closed or a vented box, at small signals."""
