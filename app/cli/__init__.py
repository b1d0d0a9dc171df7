"""The command dustcap."""
