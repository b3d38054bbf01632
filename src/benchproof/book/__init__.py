"""The book: the file a builder keeps. Evidence in it is added to, never overwritten."""
