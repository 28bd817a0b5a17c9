"""The things of the trade as frozen values: no files, no arrays, no solver."""
