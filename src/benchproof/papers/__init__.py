"""What the builder prints or takes to the lathe: drawings, cards, sheets, files."""
