"""The panels of the Measure bay."""
