"""Dustcap: what a person touches."""
