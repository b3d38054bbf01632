"""The screens: a local web app for the bench and the desk. It shows what others reckon."""
