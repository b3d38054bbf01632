"""Pages: each module has its routes in ``ROUTES``."""
