"""Damage, repair and exchange."""
