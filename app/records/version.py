"""The version that takes and calibrations name as the one that computed them."""

from importlib.metadata import version

SOFTWARE_VERSION = version("dustcap")
