"""From a recording to what each channel answered: alignment, separation, harmonics, noise."""
