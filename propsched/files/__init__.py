"""Text to domain and back: all knowledge of file formats."""
