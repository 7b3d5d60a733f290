"""The domain: what Benchwide knows and does, whoever asks."""
