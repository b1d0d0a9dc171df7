"""What is played: sweeps, stepped sines, tones, noise, multitones, and how they are laid out."""
