"""A propagation scheduler keyed to root-zone temperature."""

__version__ = "0.1.0"
