"""A kept calibration as it is opened: in Chain, and in Records."""
