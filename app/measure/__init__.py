"""Runs a procedure on a chain, and makes quantities and a verdict of what came back."""
