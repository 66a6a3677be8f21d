"""Engines, kit templates, fit and customised kits. Knows inventory, never the shop."""
