"""The generic reckoning: it knows contracts, never a concrete duty."""
