"""What the lathe is and what it has shown."""
