"""The screens: a small server on this machine that shows what the other layers work out."""
