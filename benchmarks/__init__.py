"""Speed, measured: each figure against a plain way of doing the same work on the same machine."""
