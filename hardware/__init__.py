"""The measuring chain: its file, its calibrations, sound cards and the virtual rig."""
