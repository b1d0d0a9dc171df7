"""Lots of simulated units, good and faulty, and how well they are told apart."""
