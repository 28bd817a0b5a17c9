"""Temperature and heat: weather, sun, the root-zone column."""
