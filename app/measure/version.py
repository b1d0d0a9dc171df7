"""The version that a take names as the one that derived it."""

from importlib.metadata import version

SOFTWARE_VERSION = version("dustcap")
