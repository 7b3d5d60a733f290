"""The administration, for the person who runs the server."""
