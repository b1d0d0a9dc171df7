"""Plots of our own: log frequency, masks, bands, one cursor through a stack."""
