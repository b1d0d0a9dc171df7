"""What of a sound an ear hears beside the rest: thresholds in quiet and behind maskers."""
