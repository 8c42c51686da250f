"""Lengths, conductors, bundles, coverings and heat."""
