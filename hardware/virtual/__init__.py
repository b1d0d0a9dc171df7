"""A sound card, amplifier, drive unit and microphone in software, with a known truth."""
