"""Voltage and current at the unit: its impedance."""
