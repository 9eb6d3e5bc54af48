"""prepkit: drinks prep worked out like a laboratory."""

__version__ = "0.1.0"
